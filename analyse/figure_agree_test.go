package analyse_test

import (
	"cmp"
	"maps"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"shedlight/analyse"
	"shedlight/analyse/changes"
	"shedlight/analyse/figure"
)

// saidFigures is what the analyser found.
func saidFigures(a *analyse.Analyser) []refFigure {
	var out []refFigure
	for _, g := range a.Figures() {
		chords := slices.Clone(g.Chords)
		slices.Sort(chords)
		out = append(out, refFigure{
			kind: g.Kind.String(), up: g.Up, first: g.N, last: g.End, notes: g.Notes,
			chords: chords, halfSteps: g.HalfSteps, without: g.Without, order: g.Order, link: g.Link.String(),
		})
	}
	return out
}

// requireFigures finds the figures of a take both ways.
func requireFigures(t require.TestingT, setup analyse.Setup, events []analyse.Event) []refFigure {
	a, err := analyse.New(setup)
	require.NoError(t, err)
	all(a, events[len(events)-1].Tick, events...)
	want := refFigures(t, setup, events)
	var counts figure.Counts
	for _, g := range want {
		*map[string]*int64{
			"run": &counts.Run, "arpeggio": &counts.Arpeggio, "leap": &counts.Leap, "cell": &counts.Cell, "enclosure": &counts.Enclosure,
			"thirds": &counts.Thirds, "repeated": &counts.Repeated, "trill": &counts.Trill,
		}[g.kind]++
	}
	counts.Chord = a.Summary().Figures.Chord
	require.Equal(t, counts, a.Summary().Figures, written(events))
	got := saidFigures(a)
	require.Equal(t, want[len(want)-len(got):], got, written(events))
	return want
}

// figureTakes draws what is played over one of the charts, half of it with the
// figures of the generator.
func figureTakes(charts map[string]*changes.Timeline) *rapid.Generator[take] {
	names := slices.Sorted(maps.Keys(charts))
	return rapid.OneOf(takes(charts), rapid.Custom(func(t *rapid.T) take {
		s := setup(t)
		s.Timeline = charts[rapid.SampledFrom(names).Draw(t, "chart")]
		if rapid.Bool().Draw(t, "patterns") {
			return take{s, patterns(t)}
		}
		return take{s, improvised(t, s.Timeline, s.View)}
	}))
}

// patterns draws what is practised without a rest: thirds, broken chords, runs and
// trills up and down some scale, with a foreign tone now and then.
func patterns(t *rapid.T) []analyse.Event {
	const eighth, most = 480, 90 // ticks; notes
	shapes := [][]int{{0, 2, 1, 3, 2, 4, 3, 5}, {4, 2, 3, 1, 2, 0}, {0, 4, 2, 6}, {6, 2, 4, 0}, {0, 1, 2, 3, 4, 5, 6}, {7, 6, 5, 4}, {0, 2, 4, 6}, {0, 1, 0, 1, 0}, {0, 0, 0}, {0, 1, 2, 4}}
	scale := rapid.SampledFrom([][]int{{0, 2, 4, 5, 7, 9, 11}, {0, 2, 4, 5, 7, 8, 9, 11}, {0, 2, 3, 5, 7, 8, 11}}).Draw(t, "scale")
	root := rapid.IntRange(48, 59).Draw(t, "root")
	events := []analyse.Event{{Kind: analyse.Origin, Key: 1}}
	var at int64
	for range rapid.IntRange(1, most/5).Draw(t, "how many") {
		from, foreign := rapid.IntRange(0, 8).Draw(t, "from"), rapid.SampledFrom([]int{0, 0, 0, 0, 0, 1}).Draw(t, "off")
		for i, step := range rapid.SampledFrom(shapes).Draw(t, "shape") {
			step += from
			key := root + step/len(scale)*12 + scale[step%len(scale)]
			if i == 2 {
				key += foreign
			}
			events = append(events, on(at, uint8(key)), off(at+eighth, uint8(key)))
			at += eighth
		}
	}
	slices.SortStableFunc(events, func(a, b analyse.Event) int { return cmp.Compare(a.Tick, b.Tick) })
	return events
}

func TestFiguresAgreeWithTheReference(t *testing.T) {
	all := figureTakes(chartsToJudge(t))
	rapid.Check(t, func(t *rapid.T) {
		take := all.Draw(t, "take")
		requireFigures(t, take.setup, take.events)
	})
}

// The same takes each time, with every kind of figure and link in them.
func TestFiguresAgreeOnExamples(t *testing.T) {
	const examples = 500
	all := figureTakes(chartsToJudge(t))
	kinds := map[string]int{}
	for seed := range examples {
		take := all.Example(seed)
		for _, g := range requireFigures(t, take.setup, take.events) {
			kinds[g.kind]++
			kinds[g.link]++
			if g.halfSteps > 0 {
				kinds[g.kind+" with a half step"]++
			}
			if g.order != "" {
				kinds["broken"]++
			}
			if g.without != "" {
				kinds["without the flat six"]++
			}
			if g.kind == "run" && len(g.chords) > 0 {
				kinds["run of a chord"]++
			}
		}
	}
	t.Log(kinds)
	for _, kind := range []string{
		"run", "arpeggio", "leap", "cell", "enclosure", "thirds", "repeated", "trill", "run with a half step", "arpeggio with a half step",
		"broken", "without the flat six", "run of a chord", "shared", "step", "jump",
	} {
		require.NotZero(t, kinds[kind], kind)
	}
}
