package main

import (
	_ "embed"
	"slices"
	"time"

	"shedlight/analyse"
	"shedlight/analyse/timebase"
	"shedlight/cmd/shedlight/internal/settings"
	"shedlight/cmd/shedlight/internal/tunes"
	"shedlight/cmd/shedlight/internal/usage"
	"shedlight/listen"
	"shedlight/listen/beat"
	"shedlight/listen/smf"
	"shedlight/listen/sound"
	"shedlight/listen/take"
)

// demoTake is an invented take over an invented chart, which it holds itself.
//
//go:embed demo.mid
var demoTake []byte

type demoCommand struct {
	Fast bool   `settings:"-" help:"Do not wait for the music: print everything at once."`
	API  string `name:"api" type:"system" placeholder:"NAME" help:"The system's sound to use: jack, or this machine's usual one."`
	settings.From
	settings.Sound `group:"How it sounds:"`
	settings.Band  `group:"How it sounds:"`
	settings.Look  `group:"How it looks:"`
	Plain          bool `help:"Plain lines in place of the screen."`
	JSON           bool `name:"json" settings:"-" help:"One JSON object a line on standard output."`
}

func (c *demoCommand) Help() string {
	return "A built-in take goes through the same listener, analyser and screen as an\ninstrument, is heard over a click where there is an audio device, and is summed up as a review at the end. Nothing is saved."
}

func (c *demoCommand) check() error {
	if c.JSON && c.Plain {
		return usage.Errorf("--json and --plain: choose one")
	}
	return c.Sound.Check()
}

func (c *demoCommand) Run(p *program) error {
	if err := c.check(); err != nil {
		return err
	}
	t, err := take.Read(demoTake, "the built-in take", smf.Selection{})
	if err != nil {
		return err
	}
	tune, err := tunes.Of(settings.Tune{}, settings.Hand{}, t.Settings)
	if err != nil {
		return err
	}
	tune.Hear(t.Events, t.Quantum)
	events := slices.Collect(t.Events)
	pace := listen.InTime
	if c.Fast {
		pace = listen.AtOnce
	}
	source, err := listen.NewPlayback(events, t.End, pace)
	if err != nil {
		return err
	}
	if err := startAt(c.Start, source, tune, events, t.End); err != nil {
		return err
	}
	plan := &sessionPlan{
		tune: tune, source: source, name: "the built-in take",
		look: c.Look, plain: c.Plain || c.Fast, json: c.JSON, noTake: true,
	}
	if !c.Fast {
		if err := c.sounded(p, plan, source, events, t.End); err != nil {
			return err
		}
	}
	return p.play(plan)
}

// sounded lets the take be heard, over a click that keeps its beat.
func (c *demoCommand) sounded(p *program, plan *sessionPlan, source *listen.Playback, events []analyse.Event, end int64) error {
	setup := plan.tune.Beat(0)
	setup.CountIn = 1 // as it was played
	clock, err := beat.New(setup)
	if err != nil {
		return err
	}
	plan.sound = p.startSound(c.Sound, c.BandChannels, c.API, true, soundWithin)
	if plan.sound == nil {
		return nil
	}
	plan.sound.zero = source.Zero
	plan.sound.line = func() *beat.Line { // the conductor is the only one to ask
		clock.Pass(time.Since(source.Zero()))
		return clock.Line()
	}
	plan.sound.parts = append(plan.sound.parts, playing(events))
	begun, _ := clock.Line().Song(0)
	length := plan.tune.Setup.Timeline.Length
	plan.sound.join(c.Band, plan.tune, (begun+end+length/2)/length)
	plan.press = plan.sound.press
	return nil
}

// playing is the part of whoever played a take: its notes, each for as long as its
// key was down.
func playing(events []analyse.Event) sound.Part {
	var ticks []int64 // of notes, rising
	var notes []sound.Note
	down := map[uint8]int{} // the last note of a key that is down
	for _, e := range events {
		switch {
		case e.Kind == analyse.NoteOn && e.Velocity > 0:
			down[e.Key] = len(notes)
			ticks = append(ticks, e.Tick)
			notes = append(notes, sound.Note{Voice: sound.Piano, Key: e.Key, Velocity: e.Velocity, Ticks: timebase.Quarter})
		case e.Kind == analyse.NoteOn, e.Kind == analyse.NoteOff:
			if n, held := down[e.Key]; held {
				notes[n].Ticks = max(1, e.Tick-ticks[n])
				delete(down, e.Key)
			}
		}
	}
	return striking(ticks, notes)
}

// striking is the part that strikes notes at ticks, which rise.
func striking(ticks []int64, notes []sound.Note) sound.Part {
	return func(_ *beat.Form, s beat.Stretch, strike func(int64, sound.Note)) {
		first, _ := slices.BinarySearch(ticks, s.From)
		for i := first; i < len(ticks) && ticks[i] < s.To; i++ {
			strike(ticks[i], notes[i])
		}
	}
}
