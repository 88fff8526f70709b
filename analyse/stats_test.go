package analyse_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/analysetest/linegen"
	"shedlight/analyse/changes"
	"shedlight/analyse/fit"
	"shedlight/analyse/song"
	"shedlight/analyse/tone"
)

// tally counts notes and the slips among them, and the takes that
// are told as moved by what they are moved by.
type tally struct{ notes, slips, told int }

func (c *tally) add(o tally) { c.notes += o.notes; c.slips += o.slips; c.told += o.told }

func (c tally) percent() float64 { return 100 * float64(c.slips) / float64(c.notes) }

// judgedLine plays a line, moved by so many semitones, and counts.
func judgedLine(t *testing.T, tl *changes.Timeline, view song.View, line []linegen.Note, semitones int) (c tally) {
	line = linegen.Shift(line, semitones)
	events := append([]analyse.Event{{Kind: analyse.Origin, Key: 1}}, linegen.Events(line)...)
	a := analyser(t, analyse.Setup{Timeline: tl, View: view})
	for _, v := range judged(a, events[len(events)-1].Tick, events) {
		c.notes++
		if v.slip() {
			c.slips++
		}
	}
	for _, v := range a.Summary().Fit {
		if v.Span == fit.Take && v.Says == fit.Elsewhere && v.Elsewhere.Semitones == -semitones {
			c.told++
		}
	}
	return c
}

// What a good player plays is hardly ever called a slip; the same lines a semitone
// beside the chart have more of them in every pair, and as a whole they are told as
// what they are. The generator (analyse/analysetest/linegen) was written before the
// judge and from common practice alone; the bounds are this project's own.
//
// How many slips the moved lines have is no measure: a note is judged generously, and
// each of the twelve tones has its reason over most chords. That a line is a half step
// off is for the fit to say, and here it has to.
func TestProperLinesAndTheSameBesideTheChart(t *testing.T) {
	const (
		choruses  = 12
		properMax = 2.0  // per cent of the notes
		toldMin   = 97.0 // per cent of the moved takes: told as a half step high, or low
		apartMin  = 99.4 // per cent of the pairs
	)
	for _, view := range []song.View{song.KeyView, song.ChordView} {
		t.Run(view.String(), func(t *testing.T) {
			var proper, beside tally
			pairs, apart := 0, 0
			for _, name := range changes.GenericNames() {
				var here, up, down tally
				for key := range tone.Class(12) {
					tl := generic(t, name, key.Name().String())
					line := linegen.Line(tl, view, uint64(key), choruses)
					kept := judgedLine(t, tl, view, line, 0)
					here.add(kept)
					for shift, sum := range map[int]*tally{1: &up, -1: &down} {
						moved := judgedLine(t, tl, view, line, shift)
						sum.add(moved)
						pairs++
						if kept.percent() < moved.percent() {
							apart++
						}
					}
				}
				t.Logf("%-22s %6d notes: %5.2f %% slips; a semitone up %5.2f %%, down %5.2f %%",
					name, here.notes, here.percent(), up.percent(), down.percent())
				require.Less(t, here.percent(), properMax, name)
				proper.add(here)
				beside.add(up)
				beside.add(down)
			}
			t.Logf("%-22s %6d notes: %5.2f %% slips; a semitone beside %5.2f %%; told apart in %d of %d pairs, told as it is in %d",
				"all", proper.notes, proper.percent(), beside.percent(), apart, pairs, beside.told)
			require.Zero(t, proper.told, "as played it is nowhere else")
			require.GreaterOrEqual(t, 100*float64(beside.told)/float64(pairs), toldMin)
			require.GreaterOrEqual(t, 100*float64(apart)/float64(pairs), apartMin)
		})
	}
}
