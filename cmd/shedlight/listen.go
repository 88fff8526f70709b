package main

import (
	"fmt"
	"path/filepath"
	"strings"
	"time"

	"shedlight/cmd/shedlight/internal/library"
	"shedlight/cmd/shedlight/internal/settings"
	"shedlight/cmd/shedlight/internal/tunes"
	"shedlight/cmd/shedlight/internal/usage"
	"shedlight/display"
	"shedlight/listen"
	"shedlight/listen/beat"
	"shedlight/listen/smf"
	"shedlight/listen/take"
)

type listenCommand struct {
	In  string `last:"file" placeholder:"PORT" help:"The instrument's port, as 'shedlight ports' lists it, or a MIDI file. Needed where there is more than one instrument."`
	API string `name:"api" placeholder:"NAME" help:"The system's MIDI to use: ${apis}."`

	settings.Tune `group:"What is played over:"`
	Tempo         float64 `placeholder:"N" from:"10" to:"600" unit:"beats a minute" help:"Beats a minute; by default the chart's."`
	CountIn       int     `default:"1" placeholder:"BARS" from:"0" to:"8" unit:"bars" help:"Bars counted before bar 1 of a chart (default 1)."`
	Choruses      int     `placeholder:"N" from:"1" to:"1000" help:"Stop after so many choruses, from where it was last counted off."`
	Begin         string  `default:"now" enum:"now,note" placeholder:"WHEN" help:"When the song begins: now, after the count-in, or with the first note (note)."`

	settings.Hand `group:"What it is played on:"`

	settings.Look `group:"How it looks:"`
	Quiet         bool `help:"Show verdicts only when a phrase or a chorus is over."`
	Plain         bool `last:"-" help:"Plain lines in place of the screen."`
	JSON          bool `last:"-" name:"json" help:"One JSON object a line on standard output."`

	settings.Delay
	Takes  string `type:"path" last:"folder" placeholder:"DIR" help:"The folder for takes (default ${takes})."`
	NoTake bool   `last:"-" help:"Keep no take."`
}

func (c *listenCommand) Help() string {
	return `The take is kept as a Standard MIDI File. q or Ctrl-C ends the session and saves it.
On the screen a counts in again from the top, the right and the left arrow move a bar
on and back, s stops, t taps the beat; --map puts the same under a pedal.

Examples:
  shedlight listen --centre "F major"
  shedlight listen --chart two-five-one --key Eb --tempo 132
  shedlight listen --chart blues --map cc67=again --begin note
  shedlight listen --in take.mid --centre "C minor" --plain`
}

func (c *listenCommand) check() error {
	switch {
	case c.JSON && c.Plain:
		return usage.Errorf("--json and --plain: choose one")
	case c.Choruses > 0 && c.Chart == "":
		return usage.Errorf("--choruses needs a --chart")
	}
	return nil
}

// Run listens. With no flag at all it does as last time.
func (c *listenCommand) Run(p *program) error {
	if settings.IsBare(c) {
		if typed := settings.AsLastTime(c); typed != nil {
			p.say("as last time: shedlight listen %s", strings.Join(typed, " "))
		}
	}
	if err := c.check(); err != nil {
		return err
	}
	restore := p.quieten()
	defer restore()

	s := &sessionPlan{command: c, look: c.Look, quiet: c.Quiet, plain: c.Plain, json: c.JSON, noTake: c.NoTake, takes: c.Takes}
	var err error
	if isMIDIFile(c.In) {
		c.In = library.Home(c.In)
		err = c.openFile(s, listen.InTime)
	} else {
		err = c.openPort(s)
	}
	if err != nil {
		return err
	}
	settings.Remember(c)
	return p.play(s)
}

// openFile plays a MIDI file as if it were being played now, or all at once.
func (c *listenCommand) openFile(s *sessionPlan, pace listen.Pace) error {
	if c.Tempo != 0 || c.Lag != 0 || c.Choruses != 0 || c.API != "" || c.Begin == "note" {
		return usage.Errorf("--tempo, --lag, --choruses, --begin and --api are for an instrument: %s has its own time", c.In)
	}
	t, err := take.Load(c.In, smf.Selection{})
	if err != nil {
		return usageChoice(err)
	}
	filled := *c
	settings.Fill(&filled, t.Settings)
	s.command, s.look = &filled, filled.Look
	if s.tune, err = tunes.OfTake(c.Tune, c.Hand, c.In, t); err != nil {
		return err
	}
	s.warnings = append(s.warnings, s.tune.Remarks...)
	events := s.tune.Placed(t.Events, 1)
	s.tune.Hear(events, t.Quantum)
	s.name = filepath.Base(c.In)
	if s.source, err = listen.NewPlayback(events, t.End, pace); err != nil {
		return fmt.Errorf("%s: %w", c.In, err)
	}
	for _, d := range t.Damage {
		s.warnings = append(s.warnings, fmt.Sprintf("%s: damaged at byte %d: %s", c.In, d.Offset, d.Text))
	}
	return nil
}

// openPort opens the instrument.
func (c *listenCommand) openPort(s *sessionPlan) error {
	var err error
	if s.tune, err = tunes.Of(c.Tune, c.Hand, nil); err != nil {
		return err
	}
	s.warnings = append(s.warnings, s.tune.Remarks...)
	live, err := listen.OpenLive(listen.Options{
		Port: c.In, API: c.API, Beat: c.beat(s.tune), Hands: s.tune.Controls,
	})
	if err != nil {
		return err
	}
	s.name, s.source, s.press = live.Name(), live, pressing(live)
	if c.Choruses > 0 { // there is a chart, then
		s.limit = &limit{
			line: live.Line, choruses: int64(c.Choruses),
			length: s.tune.Setup.Timeline.Length, lastChord: s.tune.LastChord(),
		}
	}
	return nil
}

// beat is what the beat clock of the session is made for.
func (c *listenCommand) beat(tune *tunes.Tune) beat.Setup {
	setup := tune.Beat(c.Tempo)
	setup.CountIn, setup.Lag = c.CountIn, time.Duration(c.Lag)*time.Millisecond
	if c.Begin == "note" {
		setup.Begin = beat.OnNote
	}
	return setup
}

// pressing returns what the keys of the screen ask of an instrument's clock.
func pressing(live *listen.Live) func(key rune) {
	keys := map[rune]beat.Action{
		'a': beat.Again, display.KeyForward: beat.BarOn, display.KeyBack: beat.BarBack, 's': beat.Stop, 't': beat.Tap,
	}
	return func(key rune) {
		if action, ok := keys[key]; ok {
			live.Do(action)
		}
	}
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
