package main

import (
	"fmt"

	"shedlight/analyse/material"
	"shedlight/cmd/shedlight/internal/settings"
	"shedlight/cmd/shedlight/internal/tunes"
	"shedlight/cmd/shedlight/internal/usage"
	"shedlight/display"
)

// etudeCommand writes an etude over a chart.
type etudeCommand struct {
	Chart string `arg:"" help:"A chart file, a MusicXML lead sheet, one of your own by its name, or one of: ${charts}."`
	Key   string `settings:"-" type:"key" placeholder:"KEY" help:"Move the chart to this key, like Eb or Cm."`

	made
}

func (c *etudeCommand) Help() string {
	return `An etude over whole choruses of a chart, sixteen bars or more: the third or the
seventh at each change, a motif that opens it and comes back, phrases and
silence, one peak in each chorus, and a landing before its end. Before the first
chord of another key the line turns to it for a beat.

Levels: 1 the scale and longer notes; 2 the home chords broken; 3 chords of the
family; 4 half steps into tones and tones around them, and starts off the beat;
5 substitutes over dominants, triplets, early ends.

It is written as lines are: see shedlight help lines.

  shedlight etude blues --key Bb --level 3 --seed 7
  shedlight etude ballad.chart --level 4 --musicxml ballad.musicxml --play`
}

func (c *etudeCommand) Run(p *program) error {
	if err := c.check(); err != nil {
		return err
	}
	t, err := tunes.Of(settings.Tune{Chart: c.Chart, Key: c.Key}, settings.Hand{}, nil)
	if err != nil {
		return err
	}
	for _, line := range t.Remarks {
		p.say("shedlight: %s", line)
	}
	r := c.request()
	key := t.Chart.Key
	if !t.Chart.HasKey {
		key = t.Setup.Timeline.Centres[0].Centre
	}
	tempo := t.Chart.Tempo
	if c.Tempo != 0 {
		tempo = int(c.Tempo)
	}
	e, err := material.Etude(t.Setup.Timeline, key, tempo, r)
	if err != nil {
		return usage.Error{Err: err}
	}
	heading := "# shedlight etude " + display.Clean(c.Chart)
	if c.Key != "" {
		heading += " --key " + t.Chart.Key.Tonic.String()
	}
	if c.Tempo != 0 {
		heading += fmt.Sprint(" --tempo ", c.Tempo)
	}
	return c.write(p, []*material.Exercise{e}, fmt.Sprintf("%s %s\n", heading, c.again(r)))
}
