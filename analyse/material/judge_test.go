package material_test

import (
	"fmt"
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/changes"
	"shedlight/analyse/fit"
	"shedlight/analyse/harmony"
	"shedlight/analyse/material"
	"shedlight/analyse/song"
	"shedlight/analyse/timebase"
)

// judge plays an exercise to the program's own judge.
func judge(t testing.TB, e *material.Exercise, view song.View, tempo int64) analyse.Summary {
	a, err := analyse.New(analyse.Setup{Timeline: e.Line, View: view})
	require.NoError(t, err)
	a.Add(analyse.Event{Kind: analyse.Tempo, Value: tempo})
	a.Add(analyse.Event{Kind: analyse.Meter, Value: e.Line.Bars[0].Meter.Packed()})
	a.Add(analyse.Event{Kind: analyse.Origin, Key: 1})
	for _, n := range e.Notes {
		a.Add(analyse.Event{Tick: n.Tick, Kind: analyse.NoteOn, Key: n.Key, Velocity: 80})
		a.Add(analyse.Event{Tick: n.Tick + n.Length, Kind: analyse.NoteOff, Key: n.Key})
	}
	a.Finish(e.Line.Length)
	return a.Summary()
}

// faults is what the judge finds, and what a line that was made is never to have: a
// slip, a tone held against its chord or left hanging, a stretch that fits elsewhere or
// nowhere.
func faults(t testing.TB, e *material.Exercise, view song.View, tempo int64) (out []string) {
	s := judge(t, e, view, tempo)
	if s.Groups.Slip > 0 {
		out = append(out, fmt.Sprint("slips ", s.Groups.Slip, " ", s.Fights))
	}
	if s.LeftHanging.Held+s.LeftHanging.PhraseEnd > 0 {
		out = append(out, fmt.Sprint("hanging ", s.LeftHanging.Over))
	}
	for _, v := range s.Fit {
		if v.Says == fit.Elsewhere || v.Says == fit.Nowhere {
			out = append(out, fmt.Sprint(v.Span, " ", v.Says, " ", v.Elsewhere))
		}
	}
	return out
}

var views = []song.View{song.KeyView, song.ChordView}

const tempo120 = timebase.Nominal

func chord(t testing.TB, symbol string) harmony.Chord {
	s, err := harmony.ParseSymbol(symbol)
	require.NoError(t, err)
	return s.Chord
}

// readChart reads a chart that comes with the program, or one of testdata.
func readChart(name string) (*changes.Timeline, *changes.Chart, error) {
	c, ok := changes.Generic(name)
	if !ok {
		f, err := os.Open("../../testdata/" + name)
		if err != nil {
			return nil, nil, err
		}
		defer f.Close()
		if c, err = changes.Read(f); err != nil {
			return nil, nil, err
		}
	}
	line, err := c.Unroll()
	return &line, c, err
}
