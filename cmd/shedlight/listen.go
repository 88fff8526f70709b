package main

import (
	"fmt"
	"path/filepath"
	"strings"
	"time"

	"shedlight/analyse/tone"
	"shedlight/cmd/shedlight/internal/library"
	"shedlight/display"
	"shedlight/listen"
	"shedlight/listen/smf"
	"shedlight/listen/take"
)

// lookFlags say how things are shown.
type lookFlags struct {
	Written string `placeholder:"C|Bb|Eb|F" default:"" enum:"C,Bb,Eb,F," help:"Show written pitch for an instrument in this key; by default as a take says, else C."`
	ASCII   bool   `name:"ascii" help:"Write b and # and no other character beyond ASCII."`
}

// merged returns the flags with the gap filled from a take's settings.
func (f lookFlags) merged(s *take.Settings) lookFlags {
	if s != nil && f.Written == "" {
		f.Written = s.Written
	}
	return f
}

func (f lookFlags) options() display.Options {
	instrument, _ := tone.ParseInstrument(f.Written) // what says nothing, or nothing known, is concert pitch
	return display.Options{ASCII: f.ASCII, Written: instrument}
}

type listenCommand struct {
	In  string `placeholder:"PORT" help:"The instrument's port, as 'shedlight ports' lists it, or a MIDI file. Needed where there is more than one instrument."`
	API string `name:"api" placeholder:"NAME" help:"The system's MIDI to use: ${apis}."`

	tuneFlags `group:"What is played over:"`
	Tempo     float64 `placeholder:"N" from:"10" to:"600" unit:"beats a minute" help:"Beats a minute; by default the chart's."`
	CountIn   int     `default:"1" placeholder:"BARS" from:"0" to:"8" unit:"bars" help:"Bars counted before bar 1 of a chart (default 1)."`
	Choruses  int     `placeholder:"N" from:"1" to:"1000" help:"Stop after so many choruses."`

	handFlags `group:"What it is played on:"`

	lookFlags `group:"How it looks:"`
	Quiet     bool `help:"Show verdicts only when a phrase or a chorus is over."`
	Plain     bool `help:"Plain lines in place of the screen."`
	JSON      bool `name:"json" help:"One JSON object a line on standard output."`

	Lag    int    `placeholder:"MS" from:"-500" to:"500" unit:"milliseconds" help:"Take this many milliseconds off every onset: what your instrument or ears add."`
	Takes  string `type:"path" placeholder:"DIR" help:"The folder for takes (default ${takes})."`
	NoTake bool   `help:"Keep no take."`
}

func (c *listenCommand) Help() string {
	return `The take is kept as a Standard MIDI File. q or Ctrl-C ends the session and saves it.

Examples:
  shedlight listen --centre "F major"
  shedlight listen --chart two-five-one --key Eb --tempo 132
  shedlight listen --in take.mid --centre "C minor" --plain`
}

func (c *listenCommand) check() error {
	switch {
	case c.JSON && c.Plain:
		return usagef("--json and --plain: choose one")
	case c.Choruses > 0 && c.Chart == "":
		return usagef("--choruses needs a --chart")
	}
	return nil
}

// Run listens. With no flag at all it does as last time.
func (c *listenCommand) Run(p *program) error {
	if *c == bareListen() {
		c.remembered(p)
	}
	if err := c.check(); err != nil {
		return err
	}
	h, err := c.hand()
	if err != nil {
		return err
	}
	restore := p.quieten()
	defer restore()

	s := &sessionPlan{look: c.lookFlags, quiet: c.Quiet, plain: c.Plain, json: c.JSON, noTake: c.NoTake, takes: c.Takes}
	if isMIDIFile(c.In) {
		c.In = library.Home(c.In)
		err = c.openFile(s, h)
	} else {
		err = c.openPort(s, h)
	}
	if err != nil {
		return err
	}
	c.remember()
	return p.play(s)
}

// openFile plays a MIDI file as if it were being played now.
func (c *listenCommand) openFile(s *sessionPlan, h hand) error {
	if c.Tempo != 0 || c.Lag != 0 || c.Choruses != 0 || c.API != "" {
		return usagef("--tempo, --lag, --choruses and --api are for an instrument: %s has its own time", c.In)
	}
	t, err := take.Load(c.In, smf.Selection{})
	if err != nil {
		return usageChoice(err)
	}
	flags := c.tuneFlags.merged(t.Settings)
	s.look = c.lookFlags.merged(t.Settings)
	chart := ""
	if t.Settings != nil {
		chart = t.Settings.Chart
		h = h.merged(handOf(t.Settings))
	}
	if chart == "" && t.Chart != nil && flags.Chart == "" {
		chart = t.Chart.String()
		s.warnings = append(s.warnings, markedChart(c.In, t)...)
	}
	if s.tune, err = flags.tune(chart, h); err != nil {
		return err
	}
	s.warnings = append(s.warnings, s.tune.remarks()...)
	events := s.tune.placed(t.Events, 1)
	s.tune.hear(events, t.Quantum)
	s.name = filepath.Base(c.In)
	if s.source, err = listen.NewPlayback(events, t.End, listen.InTime); err != nil {
		return fmt.Errorf("%s: %w", c.In, err)
	}
	for _, d := range t.Damage {
		s.warnings = append(s.warnings, fmt.Sprintf("%s: damaged at byte %d: %s", c.In, d.Offset, d.Text))
	}
	return nil
}

// openPort opens the instrument.
func (c *listenCommand) openPort(s *sessionPlan, h hand) error {
	var err error
	if s.tune, err = c.tuneFlags.tune("", h); err != nil {
		return err
	}
	s.warnings = append(s.warnings, s.tune.remarks()...)
	opening := s.tune.opening(c.Tempo, c.CountIn)
	s.tune.hear(opening, 0)
	live, err := listen.OpenLive(listen.Options{
		Port: c.In, API: c.API, Lag: time.Duration(c.Lag) * time.Millisecond, Opening: opening,
	})
	if err != nil {
		return err
	}
	s.name, s.source, s.lag = live.Name(), live, c.Lag
	if c.Choruses > 0 { // there is a chart, then
		s.lastChord, s.until = s.tune.end(opening, c.Choruses)
	}
	return nil
}

// markedChart says that a file's own markers are its chart, and how they were
// read.
func markedChart(file string, t *take.Take) []string {
	out := []string{file + ": the chord symbols in the file are its changes"}
	for _, r := range t.Chart.Remarks {
		out = append(out, file+": "+r.String())
	}
	return out
}

// isMIDIFile reports whether a name is that of a MIDI file by its extension: no
// port is called so.
func isMIDIFile(name string) bool {
	switch strings.ToLower(filepath.Ext(name)) {
	case ".mid", ".midi", ".smf", ".kar", ".rmi":
		return true
	}
	return false
}
