package material_test

import (
	"fmt"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/analyse/changes"
	"shedlight/analyse/fit"
	"shedlight/analyse/harmony"
	"shedlight/analyse/material"
	"shedlight/analyse/tone"
)

// Charts of several forms and meters.
var charts = []string{
	"blues", "minor-blues", "two-five-one", "minor-turnaround", "rhythm-bridge",
	"charts/two-bridges.chart", "charts/ferry-waltz.chart", "demo/lanterns.chart", "charts/night-shift.chart", "charts/napkin.chart",
}

// etude is one that was made, with its chart.
type etude struct {
	*material.Exercise
	name   string
	chorus *changes.Timeline
}

var etudes = sync.OnceValues(func() (all []etude, err error) {
	for i, name := range charts {
		line, chart, err := readChart(name)
		if err != nil {
			return nil, err
		}
		for level := material.MinLevel; level <= material.MaxLevel; level++ {
			e, err := material.Etude(line, chart.Key, chart.Tempo, material.Request{Level: level, Seed: uint64(10*i + level)})
			if err != nil {
				return nil, fmt.Errorf("%s, level %d: %w", name, level, err)
			}
			all = append(all, etude{e, name, line})
		}
	}
	return all, nil
})

func eachEtude(t *testing.T, f func(t *testing.T, e etude)) {
	all, err := etudes()
	require.NoError(t, err)
	for _, e := range all {
		f(t, e)
		if t.Failed() {
			t.Fatalf("%s, level %d: %s\n%s", e.name, e.Level, e.Idea, strings.Join(e.Rows(80), "\n"))
		}
	}
}

// The program's judge finds nothing in an etude, in either view, and hears it go with
// its chords or its key.
func TestEtudesAreJudgedClean(t *testing.T) {
	eachEtude(t, func(t *testing.T, e etude) {
		for _, view := range views {
			assert.Empty(t, faults(t, e.Exercise, view, tempo120))
			for _, v := range judge(t, e.Exercise, view, tempo120).Fit {
				if v.Span == fit.Take && v.Says == fit.Fits {
					assert.NotEqual(t, fit.Unsaid, v.With)
				}
			}
		}
	})
}

// phrases are the notes between rests of a beat and more.
func phrases(e etude) (out [][]material.Note) {
	for i, n := range e.Notes {
		if i == 0 || n.Tick-e.Notes[i-1].Tick-e.Notes[i-1].Length >= 960 {
			out = append(out, nil)
		}
		out[len(out)-1] = append(out[len(out)-1], n)
	}
	return out
}

// A fifth to a bit over a third of the time is silent, under half of the phrases start
// on one, seven of ten notes at most are eighths, every four bars have a note of a beat
// and a half (common practice).
func TestEtudesBreathe(t *testing.T) {
	eachEtude(t, func(t *testing.T, e etude) {
		sounding, eighths := int64(0), 0
		long := make([]bool, len(e.Line.Bars)/4+1)
		for _, n := range e.Notes {
			sounding += n.Length
			if n.Length == 480 {
				eighths++
			}
			if n.Length >= 3*480 {
				long[(e.Line.Bars[e.Line.BarAt(n.Tick, 0)].Number-1)/4] = true
			}
		}
		playable := int64(0)
		for _, s := range e.Line.Slots {
			if !s.Chord.None() {
				playable += s.End - s.Start
			}
		}
		silent := 1 - float64(sounding)/float64(playable)
		assert.True(t, silent >= 0.2-1e-9 && silent <= 0.36, "silent %.2f", silent)
		assert.LessOrEqual(t, float64(eighths), 0.7*float64(len(e.Notes)))
		downs, all := 0, phrases(e)
		for _, p := range all {
			if e.Line.Bars[e.Line.BarAt(p[0].Tick, 0)].Start == p[0].Tick {
				downs++
			}
		}
		assert.Less(t, 2*downs, max(2, len(all)))
		for i, ok := range long[:len(e.Line.Bars)/4] {
			assert.True(t, ok, "bars %d to %d have no long note", 4*i+1, 4*i+4)
		}
	})
}

// The motif of three to six notes, with one leap at most, opens the etude, not all in
// eighths; it comes back with its rhythm and the directions of its moves every eight bars
// of a form that can be parted in eights, else every four.
func TestMotifComesBack(t *testing.T) {
	eachEtude(t, func(t *testing.T, e etude) {
		var at []material.Figure
		for _, f := range e.Figure {
			if f.Kind == material.Motif {
				at = append(at, f)
			}
		}
		require.GreaterOrEqual(t, len(at), 2)
		first := e.Notes[at[0].From:at[0].To]
		assert.True(t, len(first) >= 3 && len(first) <= 6, "%d notes", len(first))
		assert.Zero(t, at[0].From)
		leaps := 0
		for i := 1; i < len(first); i++ {
			if tone.Apart(int(first[i].Key), int(first[i-1].Key)) > tone.WholeStep {
				leaps++
			}
		}
		assert.LessOrEqual(t, leaps, 1)
		for _, f := range at[1:] {
			notes := e.Notes[f.From:f.To]
			require.Len(t, notes, len(first))
			by := notes[0].Tick - first[0].Tick
			bars := e.Line.Bars[e.Line.BarAt(notes[0].Tick, 0)].Number - e.Line.Bars[e.Line.BarAt(first[0].Tick, 0)].Number
			assert.Zero(t, bars%4)
			for i := range notes {
				assert.Equal(t, first[i].Tick+by, notes[i].Tick)
				assert.Equal(t, first[i].Length, notes[i].Length)
				if i > 0 {
					was, is := int(first[i].Key)-int(first[i-1].Key), int(notes[i].Key)-int(notes[i-1].Key)
					assert.True(t, was*is > 0 || was == is)
					assert.LessOrEqual(t, tone.Apart(was, is), 2)
				}
			}
		}
	})
}

// In a form A A B A the motif comes back in the last A as it was.
func TestMotifIsAsItWasInTheLastA(t *testing.T) {
	line, chart, err := readChart("charts/two-bridges.chart")
	require.NoError(t, err)
	for seed := range uint64(3) {
		e, err := material.Etude(line, chart.Key, chart.Tempo, material.Request{Level: 3, Seed: seed})
		require.NoError(t, err)
		last := []material.Note(nil)
		for _, f := range e.Figure {
			if f.Kind == material.Motif {
				last = e.Notes[f.From:f.To]
			}
		}
		for i, n := range last {
			require.Equal(t, e.Notes[i].Key, n.Key)
		}
		require.Contains(t, e.Idea, "as it was in bar 49")
	}
}

// A chorus has one peak, at three to four fifths of it, and is struck once; the last
// phrase lands lower than it began, by the last bar but one. Not every seed has its peak
// in one place.
func TestEtudesHaveOnePeakAndLand(t *testing.T) {
	places := map[string]map[int64]bool{}
	eachEtude(t, func(t *testing.T, e etude) {
		length := e.chorus.Length
		if len(e.chorus.Bars) < 12 { // a few bars that go round are one form
			length = e.Line.Length
		}
		for chorus := range e.Line.Length / length {
			var top []int64
			high := uint8(0)
			for _, n := range e.Notes {
				if n.Tick/length != chorus {
					continue
				}
				if n.Key > high {
					high, top = n.Key, nil
				}
				if n.Key == high {
					top = append(top, n.Tick%length)
				}
			}
			require.Len(t, top, 1)
			if places[e.name] == nil {
				places[e.name] = map[int64]bool{}
			}
			places[e.name][top[0]] = true
			at := float64(top[0]) / float64(length)
			assert.True(t, at >= 0.6 && at <= 0.8, "peak at %.2f", at)
		}
		all := phrases(e)
		last := all[len(all)-1]
		end := last[len(last)-1]
		assert.LessOrEqual(t, end.Key, last[0].Key)
		assert.LessOrEqual(t, e.Line.BarAt(end.Tick, 0), len(e.Line.Bars)-2)
	})
	for name, at := range places {
		assert.Greater(t, len(at), 1, name)
	}
}

// Where a note is struck with a change of chord it is the third or the seventh (or what
// stands for them) nearly always, and where the line runs on into another centre the
// beat before it lies in the dim half of the new scale, around a tone of the chord.
func TestSkeletonAndCrossings(t *testing.T) {
	met, guides, crossings := 0, 0, 0
	all, err := etudes()
	require.NoError(t, err)
	chart, err := changes.Parse(strings.NewReader("title: Ropewalk\nkey: C\n| C6 | % | Cm7 | F7 | Bb6 | % | Bbm7 | Eb7 | Ab6 | % | Abm7 | Db7 | Gb6 | % | Dm7 | G7 |"))
	require.NoError(t, err)
	line, err := chart.Unroll()
	require.NoError(t, err)
	for seed := range uint64(10) {
		e, err := material.Etude(&line, chart.Key, 0, material.Request{Level: 3, Seed: seed})
		require.NoError(t, err)
		all = append(all, etude{e, "Ropewalk", &line})
	}
	for _, e := range all {
		for i, n := range e.Notes {
			at := e.Line.SlotAt(n.Tick, 0)
			slot := e.Line.Slots[at]
			if slot.Start != n.Tick || at == 0 || e.Line.Slots[at-1].Chord == slot.Chord {
				continue
			}
			met++
			if d := harmony.DegreeOver(slot.Chord, tone.ClassOf(int(n.Key))); strings.Contains("3 7 6 4", d) {
				guides++
			}
			before := e.Line.Slots[at-1]
			runs := i > 1 && e.Notes[i-2].Tick == n.Tick-960 && e.Notes[i-1].Tick == n.Tick-480 && e.Notes[i-1].Length == 480
			if before.Centre != slot.Centre && runs && n.Tick-before.Start >= 960 && !inMotif(e, i) {
				crossings++
				for _, m := range e.Notes[i-2 : i] {
					assert.True(t, slot.Own.Dim().Has(tone.ClassOf(int(m.Key))), "%s before %s", tone.ClassOf(int(m.Key)).Name(), slot.Symbol)
				}
			}
		}
	}
	t.Log(met, guides, crossings)
	require.Greater(t, met, 300)
	require.Greater(t, float64(guides)/float64(met), 0.8)
	require.Greater(t, crossings, 5)
}

func inMotif(e etude, i int) bool {
	for _, f := range e.Figure {
		if f.Kind == material.Motif && i-2 < f.To && i >= f.From {
			return true
		}
	}
	return false
}

func TestEtudesThatCannotBe(t *testing.T) {
	line, chart, err := readChart("blues")
	require.NoError(t, err)
	_, err = material.Etude(line, chart.Key, 0, material.Request{Bars: 300})
	require.EqualError(t, err, "an etude of 300 bars in whole choruses: expected 256 at most")
	sixteenths, err := changes.Parse(strings.NewReader("meter: 3/16\n| C6 | F6 |"))
	require.NoError(t, err)
	odd, err := sixteenths.Unroll()
	require.NoError(t, err)
	_, err = material.Etude(&odd, chart.Key, 0, material.Request{})
	require.ErrorContains(t, err, "whole eighths")
}

func BenchmarkEtude(b *testing.B) {
	line, chart, err := readChart("demo/lanterns.chart")
	require.NoError(b, err)
	for level := material.MinLevel; level <= material.MaxLevel; level++ {
		b.Run(fmt.Sprint("32 bars, level ", level), func(b *testing.B) {
			for i := range b.N {
				_, err := material.Etude(line, chart.Key, 0, material.Request{Level: level, Seed: uint64(i), Bars: 32})
				require.NoError(b, err)
			}
		})
	}
}
