package main

import (
	_ "embed"

	"shedlight/cmd/shedlight/internal/settings"
	"shedlight/cmd/shedlight/internal/tunes"
	"shedlight/cmd/shedlight/internal/usage"
	"shedlight/listen"
	"shedlight/listen/smf"
	"shedlight/listen/take"
)

// demoTake is an invented take over an invented chart, which it holds itself.
//
//go:embed demo.mid
var demoTake []byte

type demoCommand struct {
	Fast          bool `help:"Do not wait for the music: print everything at once."`
	settings.Look `group:"How it looks:"`
	Plain         bool `help:"Plain lines in place of the screen."`
	JSON          bool `name:"json" help:"One JSON object a line on standard output."`
}

func (c *demoCommand) Help() string {
	return "A built-in take goes through the same listener, analyser and screen as an\ninstrument, and is summed up as a review at the end. Nothing is saved."
}

func (c *demoCommand) Run(p *program) error {
	if c.JSON && c.Plain {
		return usage.Errorf("--json and --plain: choose one")
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
	pace := listen.InTime
	if c.Fast {
		pace = listen.AtOnce
	}
	source, err := listen.NewPlayback(t.Events, t.End, pace)
	if err != nil {
		return err
	}
	return p.play(&sessionPlan{
		tune: tune, source: source, name: "the built-in take",
		look: c.Look, plain: c.Plain || c.Fast, json: c.JSON, noTake: true,
	})
}
