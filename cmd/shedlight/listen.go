package main

import (
	"cmp"
	"errors"
	"fmt"
	"maps"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"shedlight/analyse"
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
	In  string `last:"file" placeholder:"PORT" help:"The instrument's port: its number or name as 'shedlight ports' lists it, or a part of the name; or a MIDI file. Needed where there is more than one instrument."`
	API string `name:"api" type:"system" placeholder:"NAME" help:"The system's MIDI to use: ${apis}."`

	settings.From
	settings.Tune `group:"What is played over:"`
	Tempo         float64 `placeholder:"N" from:"10" to:"600" unit:"beats a minute" help:"Beats a minute; by default the chart's."`
	Faster        string  `type:"rise" placeholder:"BPM/CHORUSES" help:"The tempo rises, by so many beats a minute at the top after so many choruses, like 4/2, to 600 at most; falls, like -4/2, to 10. Counting off again begins with the first tempo."`
	CountIn       *int    `placeholder:"BARS" from:"0" to:"8" unit:"bars" help:"Bars counted before bar 1 of a chart (default 1; 2 with sound: one, three, then one, two, three, four)."`
	Choruses      int     `placeholder:"N" from:"1" to:"1000" help:"Stop after so many choruses, from where it was last counted off."`
	Begin         string  `default:"now" enum:"now,note" placeholder:"WHEN" help:"When the song begins: now, after the count-in, or with the first note (note)."`

	settings.Sync `group:"What is played over:"`

	settings.Hand `group:"What it is played on:"`

	settings.Sound `group:"How it sounds:"`
	settings.Band  `group:"How it sounds:"`

	settings.Look `group:"How it looks:"`
	Quiet         bool `help:"Show verdicts only when a phrase or a chorus is over; with --plain a sentence for each, and nothing of single notes."`
	Plain         bool `last:"-" help:"Plain lines in place of the screen."`
	JSON          bool `last:"-" name:"json" help:"One JSON object a line on standard output."`

	settings.Delay
	Takes  string `type:"path" default:"${takes}" last:"folder" placeholder:"DIR" help:"The folder for takes (default ${takes})."`
	NoTake bool   `last:"-" help:"Keep no take."`
}

func (c *listenCommand) Help() string {
	return `The take is kept as a Standard MIDI File. q or Ctrl-C ends the session and saves it.
On the screen a counts in again from the top, the right and the left arrow move a bar
on and back, s stops, t taps the beat, f forgets a chorus (in its first bar the one before),
m marks a place, v turns to the other view, p plays the last phrase back in the rest, [ and ] change the
tempo, + and - the volume; --map puts the same under a pedal; --map learn=again asks you to press the one for it.

Examples:
  shedlight listen --centre "F major"
  shedlight listen --chart two-five-one --key Eb --tempo 132 --backing full
  shedlight listen --chart blues --sync clock --clock "Drum Machine"
  shedlight listen --chart blues --map cc67=again/forget --begin note
  shedlight listen --map learn=again --map learn=mark
  shedlight listen --in take.mid --centre "C minor" --plain`
}

func (c *listenCommand) check() error {
	switch {
	case c.JSON && c.Plain:
		return usage.Errorf("--json and --plain: choose one")
	case isMIDIFile(c.In):
		return cmp.Or(c.Sound.Check(), c.checkFile())
	case c.Start > 0:
		return usage.Errorf("--start is for a file that is played back: give it with --in")
	case c.Choruses > 0 && c.Chart == "":
		return usage.Errorf("--choruses needs a --chart")
	case c.Faster != "" && c.Chart == "":
		return usage.Errorf("--faster needs a --chart")
	case c.Clock != "" && !c.Follows():
		return usage.Errorf("--clock is for --sync clock")
	case c.Follows() && (c.Tempo != 0 || c.Faster != "" || c.CountIn != nil || c.Begin == "note"):
		return usage.Errorf("--tempo, --faster, --count-in and --begin note are for --sync own: a clock has its own time")
	case c.BandChannels != (settings.BandChannels{}) && !c.MIDI() && c.Sound.Sound+c.Speaker != "":
		return usage.Errorf("--band-channels is for --sound midi")
	case c.Plays() && c.Chart == "":
		return usage.Errorf("--backing needs a --chart")
	case (c.Key != "" || c.Bars != "") && c.Chart == "":
		return usage.Errorf("--key and --bars need a --chart")
	case c.Goal != "" && c.Chart == "":
		return usage.Errorf("--goal needs a --chart")
	case c.Trade != 0 && c.Chart == "":
		return usage.Errorf("--trade needs a --chart")
	case c.Move != 0 && c.Chart == "":
		return usage.Errorf("--move needs a --chart")
	case c.Gaps != "" && c.Chart == "":
		return usage.Errorf("--gaps needs a --chart")
	case c.Gaps != "" && (c.Plays() || c.Follows() || c.Click == "off" || c.Sound.Sound == "off"):
		return usage.Errorf("--gaps is for a click that alone keeps the time: no --backing, no --sync clock")
	case c.Voicing != "" && c.Chart == "" && c.Centre == "":
		return usage.Errorf("--voicing needs a --chart or a --centre")
	}
	return c.Sound.Check()
}

// checkFile refuses what a MIDI file has no use for, by the flags that were given.
func (c *listenCommand) checkFile() error {
	var given []string
	for _, flag := range []struct {
		name string
		set  bool
	}{
		{"--tempo", c.Tempo != 0}, {"--faster", c.Faster != ""}, {"--lag", c.Lag != 0}, {"--choruses", c.Choruses != 0},
		{"--begin", c.Begin == "note"}, {"--sync", c.Sync.Sync == "clock"}, {"--clock", c.Clock != ""}, {"--backing", c.Plays()},
		{"--sound", c.Sound.Sound != "" && c.Sound.Wanted()}, {"--out", c.Out != ""}, {"--speaker", c.Speaker != ""}, {"--api", c.API != ""},
	} {
		if flag.set {
			given = append(given, flag.name)
		}
	}
	if len(given) == 0 {
		return nil
	}
	return usage.Errorf("%s: to be left out beside a MIDI file, for %s is played in its own time, without a sound", strings.Join(given, ", "), c.In)
}

// Run listens. With no flag at all it does as last time.
func (c *listenCommand) Run(p *program) error {
	if err := c.check(); err != nil {
		return err
	}
	p.json = c.JSON
	restore := p.quieten()
	defer restore()

	s := &sessionPlan{command: c, look: c.Look, quiet: c.Quiet, plain: c.Plain, json: c.JSON, noTake: c.NoTake, takes: c.Takes}
	s.recovered = p.recoverTakes(s.folder()) // first: it hangs on no instrument
	var err error
	if isMIDIFile(c.In) {
		c.In = library.Home(c.In)
		err = c.openFile(s, p.said, listen.InTime)
	} else {
		err = c.openPort(p, s)
	}
	if err != nil {
		return err
	}
	p.said.Remember()
	return p.play(s)
}

// openFile plays a MIDI file as if it were being played now, or all at once.
func (c *listenCommand) openFile(s *sessionPlan, said *settings.Call, pace listen.Pace) error {
	filled := *c
	said.OverFile(&filled, false)
	t, err := take.Load(c.In, smf.Selection{Channels: smf.Channels(filled.Played())})
	if err != nil {
		return usageChoice(err)
	}
	said.OverFile(&filled, t.Settings != nil)
	t.Settings = said.Silence(&filled, t.Settings)
	over := filled
	settings.Fill(&filled, t.Settings)
	s.command, s.look = &filled, filled.Look
	if s.tune, err = tunes.OfTake(over.Tune, over.Hand, c.In, t); err != nil {
		return err
	}
	s.warnings = append(s.warnings, s.tune.Remarks...)
	events := s.tune.Placed(t.Events, 1)
	s.tune.Hear(events, t.Quantum)
	s.name = filepath.Base(c.In)
	all := slices.Collect(events)
	source, err := listen.NewPlayback(all, t.End, pace)
	if err != nil {
		return fmt.Errorf("%s: %w", c.In, err)
	}
	if err := startAt(c.Start, source, s.tune, all, t.End); err != nil {
		return err
	}
	s.source = source
	for _, d := range t.Damage {
		s.warnings = append(s.warnings, fmt.Sprintf("%s: damaged at byte %d: %s", c.In, d.Offset, d.Text))
	}
	return nil
}

// startAt lets a file begin to be played at a bar, 0 for its beginning.
func startAt(bar int, source *listen.Playback, tune *tunes.Tune, events []analyse.Event, end int64) error {
	if bar == 0 {
		return nil
	}
	tick, err := tune.BarTick(events, end, bar)
	if err != nil {
		return err
	}
	source.StartAt(tick)
	return nil
}

// openPort opens the instrument.
func (c *listenCommand) openPort(p *program, s *sessionPlan) error {
	err := c.learn(p)
	if err != nil {
		return err
	}
	if s.tune, err = tunes.Of(c.Tune, c.Hand, nil); err != nil {
		return err
	}
	s.warnings = append(s.warnings, s.tune.Remarks...)
	clock := s.tune.Beat(c.Tempo)
	if c.Faster != "" {
		if clock.Rise, err = settings.Rise(c.Faster); err != nil {
			return usage.Errorf("--faster%w", err)
		}
	}
	// Before the instrument: a sound system numbers its ports as they come.
	s.sound = p.startSound(c.Sound, c.BandChannels, c.API, clock.Quarter != 0 || c.Follows(), soundWithin)
	under := *c // what the take is told: with the lag that was measured
	s.command = &under
	live, err := listen.OpenLive(listen.Options{
		Port: c.In, Shown: display.Clean, API: c.API, Beat: c.beat(clock, s.sound.on()), Clock: c.Clock, Hands: s.tune.Controls,
		Lag: func(instrument string) time.Duration {
			if under.Lag == 0 {
				under.Lag = settings.Lag(instrument, s.sound.output())
			}
			return time.Duration(under.Lag) * time.Millisecond
		},
	})
	if err != nil {
		return errors.Join(err, s.sound.close(p))
	}
	if s.sound != nil {
		s.sound.line, s.sound.zero = live.Line, live.Zero
		s.sound.join(c.Band, s.tune, int64(c.Choruses))
		s.sound.echoes()
	}
	s.tune.With = c.with(s.sound.on())
	s.name, s.source, s.press, s.played = live.Name(), live, pressing(live), true
	if c.In != "" { // next time its number may be another's, and a part may fit two
		c.In = display.Clean(live.Name())
	}
	if c.Out != "" && s.sound.on() {
		c.Out = display.Clean(s.sound.output())
	}
	if c.Choruses > 0 { // there is a chart, then
		s.limit = &limit{
			line: live.Line, choruses: int64(c.Choruses),
			length: s.tune.Setup.Timeline.Length, lastChord: s.tune.LastChord(),
		}
	}
	s.coming = &coming{line: live.Line, limit: s.limit, gaps: s.tune.Setup.Gaps}
	if c.Follows() {
		s.coming.ticks = live.ClockTicks
	}
	return nil
}

// The bars of a count-in, unless the player says how many: with sound there is
// time to find the tempo (common practice).
const countInSilent, countInSounding = 1, 2

// with says who plays along: see tunes.Tune.
func (c *listenCommand) with(sounding bool) (all []string) {
	for _, one := range [...]struct {
		plays bool
		name  string
	}{
		{c.Follows(), "clock"}, {sounding && c.Click != "off", "click"},
		{sounding && c.Plays(), "bass"}, {sounding && c.Backing == "full", "piano"},
	} {
		if one.plays {
			all = append(all, one.name)
		}
	}
	return all
}

// beat fills in what the beat clock of the session is made for.
func (c *listenCommand) beat(setup beat.Setup, sounding bool) beat.Setup {
	setup.CountIn = countInSilent
	if sounding {
		setup.CountIn, setup.Ahead = countInSounding, soundAhead
	}
	if c.CountIn != nil {
		setup.CountIn = *c.CountIn
	}
	if c.Begin == "note" {
		setup.Begin = beat.OnNote
	}
	setup.Follow = c.Follows()
	return setup
}

// pressing hands on what the keys of the screen ask for.
func pressing(live *listen.Live) func(key rune) (taken bool) {
	keys := map[rune]beat.Action{
		'a': beat.Again, display.KeyForward: beat.BarOn, display.KeyBack: beat.BarBack, 's': beat.Stop, 't': beat.Tap,
		'f': beat.Forget, 'm': beat.Mark, 'v': beat.NextView, 'p': beat.PhraseBack, ']': beat.Faster, '[': beat.Slower,
	}
	maps.Copy(keys, volumeKeys())
	return func(key rune) bool {
		action, ok := keys[key]
		if ok {
			live.Do(action)
		}
		return ok
	}
}

// volumeKeys are the keys for the volume: + and = are one, on many keyboards.
func volumeKeys() map[rune]beat.Action {
	return map[rune]beat.Action{'+': beat.Louder, '=': beat.Louder, '-': beat.Softer}
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
