package analyse_test

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"shedlight/analyse"
	"shedlight/analyse/analysetest/linegen"
	"shedlight/analyse/changes"
	"shedlight/analyse/fate"
	"shedlight/analyse/song"
	"shedlight/analyse/tone"
)

// Charts that bring the rules together with what is not common time: half and
// quarter bars, changes on the off-beat, N.C., three and two in a bar, a chord
// that stays longer than four bars, a dominant that changes before it resolves or
// leads into silence, centres far from their chords, every kind of dominant.
const oddCharts = `title: Low Tide Waltz
key: F
meter: 3/4

| F6 | Gm7 . C7 | N.C. | D7b9 | Gm7 | C7 | {meter 6/8} F7 | Bb7 Bdim7 | F6 | C7 |
---
title: Night Crossing
key: Eb

| Fm7 Bb7 Eb6 Cm7 | Fm7b5 . Bb7alt . | Eb7 . . Ab7 | {meter 2/4} Abm6 |
---
title: Slack Water
key: D minor

| A7 | % | % | % | % | % | Dm6 | Edim7 |
---
title: Lamp Oil
key: C

| {A minor} C6 | N.C. | {Ab minor} G7sus4 G7 | {A minor} C6 N.C. |
| {Bb minor} Db6 | N.C. | {Ab minor} G7 G13b9 | {C major} C6 | C9 N.C. | F6 |
---
title: Ropewalk
key: A minor

| {C major} Am6 | B7sus4 | Eb7#9 | Ab6 | {E minor} Bb7 | D7b9 C#m7b5 | {Db blues} Gm | E7sus4b9 | A7#5 |
`

func chartsToJudge(t testing.TB) map[string]*changes.Timeline {
	out := map[string]*changes.Timeline{"two chords": twoChords()}
	for _, name := range changes.GenericNames() {
		out[name] = generic(t, name, "C")
	}
	for text := range strings.SplitSeq(oddCharts, "---\n") {
		chart, err := changes.Parse(strings.NewReader(text))
		require.NoError(t, err)
		unrolled, err := chart.Unroll()
		require.NoError(t, err)
		out[unrolled.Title] = &unrolled
	}
	long := *out["Slack Water"]
	long.Slots = slices.Clone(long.Slots[5:])
	long.Slots[0].Start = 0
	out["six bars of one chord"] = &long
	loop, err := out["Ropewalk"].Loop(2, 5) // its Bb7 leads to its own B7
	require.NoError(t, err)
	out["four bars of nine"] = &loop
	return out
}

// generic unrolls a chart that comes with the program in a key.
func generic(t testing.TB, name, key string) *changes.Timeline {
	chart, ok := changes.Generic(name)
	require.True(t, ok, name)
	tonic, err := tone.ParseName(key)
	require.NoError(t, err)
	out, err := chart.Transpose(tonic).Unroll()
	require.NoError(t, err)
	return &out
}

// judged plays events and returns what was said of each note in the end.
func judged(a *analyse.Analyser, end int64, events []analyse.Event) []verdict {
	var out []verdict
	for _, f := range all(a, end, events...) {
		switch f.Stage {
		case analyse.Heard:
			out = append(out, verdict{fate: f.Fate})
			if f.Fate != fate.None {
				out[f.N].by = -1
			}
		case analyse.Sorted:
			out[f.N].role = f.Role
		case analyse.Settled:
			out[f.N].fate, out[f.N].by, out[f.N].scale, out[f.N].colour = f.Fate, f.By, f.HeardScale.String(), f.Colour
		case analyse.Fought:
			out[f.N].against = f.Against
		}
	}
	return out
}

// played draws a take with the rules in reach: small intervals, gaps about the
// windows and a tick to either side, chords, overlaps, and all that a clock
// and a pedal do.
func played(t *rapid.T) []analyse.Event {
	const lowest, highest = 48, 84
	const half = 1920 // ticks: changes come on the half bar and on the bar
	key, tick := 64, int64(rapid.SampledFrom([]int{0, 0, 480, 7000}).Draw(t, "first"))
	var events []analyse.Event
	if quarter := rapid.SampledFrom([]int{0, 500_000, 1_000_000, 250_000, 333_333}).Draw(t, "tempo"); quarter > 0 {
		events = append(events, analyse.Event{Kind: analyse.Tempo, Value: int64(quarter)})
	}
	begins := int64(rapid.SampledFrom([]int{0, 0, -3840, 1920}).Draw(t, "song"))
	events = append(events, analyse.Event{Kind: analyse.Origin, Key: 1, Value: begins})
	strike := func(key int) {
		e := analyse.Event{Tick: tick, Kind: analyse.NoteOn, Key: uint8(key),
			Channel:  uint8(rapid.SampledFrom([]int{0, 0, 0, 1}).Draw(t, "channel")),
			Velocity: uint8(rapid.SampledFrom([]int{80, 80, 80, 11, 12, 13, 0}).Draw(t, "velocity"))}
		up := e
		up.Kind, up.Velocity = analyse.NoteOff, 0
		up.Tick += int64(rapid.SampledFrom([]int{30, 90, 240, 400, 479, 480, 481, 575, 576, 577, 671, 672, 900, 3000}).Draw(t, "length"))
		events = append(events, e)
		if !rapid.Bool().Draw(t, "stuck") || rapid.Bool().Draw(t, "up") {
			events = append(events, up)
		}
	}
	for range rapid.IntRange(1, 40).Draw(t, "steps") {
		tick += int64(rapid.SampledFrom([]int{480, 480, 480, 480, 240, 320, 960, 720, 1440, 1920, 1056, 384, 96, 57, 58, 86, 172, 20, 0}).Draw(t, "gap"))
		if rapid.IntRange(0, 4).Draw(t, "about a change") == 0 {
			tick = tick - tick%half + half + int64(rapid.SampledFrom([]int{-576, -480, -96, 0, 480, 720}).Draw(t, "beside"))
		}
		tick += int64(rapid.SampledFrom([]int{0, 0, 0, 1, -1}).Draw(t, "tick"))
		key += rapid.SampledFrom([]int{1, -1, 1, -1, 2, -2, 2, -2, 0, 3, -3, 4, -5, 7}).Draw(t, "interval")
		key = min(max(key, lowest), highest)
		e := analyse.Event{Tick: tick}
		switch rapid.IntRange(0, 24).Draw(t, "kind") {
		default:
			strike(key)
			continue
		case 24:
			e.Kind = analyse.NextView
		case 14: // a string is bent, mostly by a semitone or back
			bend := rapid.SampledFrom([]int{8192, 8192, 12288, 4096, 10240, 10239, 16383, 0}).Draw(t, "bend")
			e.Kind, e.Key, e.Velocity = analyse.PitchBend, uint8(bend%128), uint8(bend/128)
			e.Tick -= int64(rapid.SampledFrom([]int{0, 0, 100, 300}).Draw(t, "sooner"))
		case 15:
			e.Kind, e.Key = analyse.Control, rapid.SampledFrom([]uint8{100, 101, 6, 38, 99, 121}).Draw(t, "parameter")
			e.Velocity = rapid.SampledFrom([]uint8{0, 0, 1, 12, 127}).Draw(t, "to")
		case 16, 17: // the left hand, far below
			strike(rapid.SampledFrom([]int{40, 40, 40, 41, 43}).Draw(t, "bass"))
			continue
		case 18, 19:
			for _, third := range []int{0, 3, 7, 10} {
				strike(key + third)
			}
			continue
		case 20:
			e.Kind, e.Key = analyse.Control, rapid.SampledFrom([]uint8{64, 64, 120, 121, 123}).Draw(t, "controller")
			e.Velocity = rapid.SampledFrom([]uint8{0, 127}).Draw(t, "value")
		case 21:
			e.Kind, e.Value = analyse.Tempo, int64(rapid.IntRange(200_000, 1_500_000).Draw(t, "tempo"))
		case 22:
			e.Kind, e.Value = analyse.Meter, rapid.SampledFrom([]int64{4<<8 | 4, 3<<8 | 4, 6<<8 | 8, 5<<8 | 8}).Draw(t, "meter")
		case 23:
			e.Kind, e.Key = analyse.Origin, rapid.SampledFrom([]uint8{1, 1, 1, 0}).Draw(t, "running")
			e.Value = int64(rapid.IntRange(-4000, 40_000).Draw(t, "song"))
			if rapid.Bool().Draw(t, "goes on") { // as a clock says it again and again
				e.Key, e.Value = 1, tick+begins
			}
			if rapid.IntRange(0, 5).Draw(t, "unplugged") == 0 {
				e = analyse.Event{Tick: tick, Kind: analyse.Release, Value: int64(analyse.Unplugged)}
			}
		}
		events = append(events, e)
	}
	slices.SortStableFunc(events, func(a, b analyse.Event) int { return cmp.Compare(a.Tick, b.Tick) })
	return events
}

// improvised draws a line of the generator, spoiled or moved.
func improvised(t *rapid.T, tl *changes.Timeline, view song.View) []analyse.Event {
	const most = 120 // notes: the reference is slow
	line := linegen.Line(tl, view, rapid.Uint64Range(0, 1<<16).Draw(t, "seed"), 4)
	if len(line) > most {
		at := rapid.IntRange(0, len(line)-most).Draw(t, "from")
		line = line[at : at+most]
	}
	line = linegen.Shift(line, rapid.IntRange(-1, 1).Draw(t, "shift"))
	line = linegen.Spoil(line, rapid.SampledFrom([]float64{0, 0.1, 0.3}).Draw(t, "noise"), 1)
	return append([]analyse.Event{{Kind: analyse.Origin, Key: 1}}, linegen.Events(line)...)
}

// requireAgreement judges a take both ways and returns what was said.
func requireAgreement(t require.TestingT, setup analyse.Setup, events []analyse.Event, tail int64) []verdict {
	a, err := analyse.New(setup)
	require.NoError(t, err)
	got, want := judged(a, events[len(events)-1].Tick+tail, events), reference(setup, events)
	require.Equal(t, len(want), len(got))
	for n := range want {
		if got[n] != want[n] {
			require.Equal(t, show(want[n]), show(got[n]), "note %d of %d, setup %+v:\n%s", n, len(want), setup, written(events))
		}
	}
	return want
}

// tail draws how long a session goes on after the last event.
func tail(t *rapid.T) int64 { return rapid.SampledFrom([]int64{0, 100, 4000}).Draw(t, "tail") }

// written lists events so that a case can be read.
func written(events []analyse.Event) string {
	var b strings.Builder
	for _, e := range events {
		fmt.Fprintf(&b, "%+v\n", e)
	}
	return b.String()
}

func show(v verdict) string {
	return fmt.Sprint(v.role, " ", v.fate, " ", v.colour, " by ", v.by, " ", v.scale, " against ", v.against)
}

// take is something to judge.
type take struct {
	setup  analyse.Setup
	events []analyse.Event
}

// takes draws what is played over one of the charts.
func takes(charts map[string]*changes.Timeline) *rapid.Generator[take] {
	names := slices.Sorted(maps.Keys(charts))
	return rapid.Custom(func(t *rapid.T) take {
		s := setup(t)
		s.Timeline = charts[rapid.SampledFrom(names).Draw(t, "chart")]
		return take{s, played(t)}
	})
}

// setup draws everything but the chart.
func setup(t *rapid.T) analyse.Setup {
	return analyse.Setup{
		View:   rapid.SampledFrom([]song.View{song.KeyView, song.ChordView}).Draw(t, "view"),
		Split:  rapid.SampledFrom([]uint8{0, 60}).Draw(t, "split"),
		Top:    rapid.Bool().Draw(t, "top"),
		Gate:   rapid.SampledFrom([]uint8{0, 12}).Draw(t, "gate"),
		Legato: rapid.Bool().Draw(t, "legato"),

		OneView: rapid.IntRange(0, 5).Draw(t, "one view") == 0,
	}
}

// The same many takes each time. They put every rule to the test, not only the
// last.
func TestReferenceAgreesOnExamples(t *testing.T) {
	const examples, fewest = 16000, 5
	seen, colours, against := map[fate.Fate]int{}, map[string]int{}, map[string]int{}
	drawn := takes(chartsToJudge(t))
	for seed := range examples {
		take := drawn.Example(seed)
		for _, v := range requireAgreement(t, take.setup, take.events, 0) {
			seen[v.fate]++
			colours[v.colour]++
			against[v.against]++
		}
	}
	t.Log(seen, colours, against)
	for f := fate.Glitch; f <= fate.Unresolved; f++ {
		require.GreaterOrEqual(t, seen[f], fewest, f)
	}
	for _, colour := range []string{"b9", "9", "#9", "3", "4", "#11", "b13", "13", "b7", "maj7"} {
		require.GreaterOrEqual(t, colours[colour], fewest, colour)
	}
	for _, fights := range []string{"maj7", "maj3", "5", "b9"} {
		require.GreaterOrEqual(t, against[fights], fewest, fights)
	}
}

// The analyser, which hears a take once and forgets, says of every note what
// the reference judge says, which has the whole take in hand.
func TestReferenceAgrees(t *testing.T) {
	charts := chartsToJudge(t)
	names := slices.Sorted(maps.Keys(charts))
	t.Run("over charts", func(t *testing.T) {
		drawn := takes(charts)
		rapid.Check(t, func(t *rapid.T) {
			take := drawn.Draw(t, "take")
			requireAgreement(t, take.setup, take.events, tail(t))
		})
	})
	t.Run("in free time", func(t *testing.T) {
		rapid.Check(t, func(t *rapid.T) {
			s := setup(t)
			mode := rapid.SampledFrom([]changes.Mode{changes.Major, changes.Minor, changes.Blues}).Draw(t, "mode")
			s.Centre = &changes.Centre{Mode: mode}
			requireAgreement(t, s, played(t), tail(t))
		})
	})
	t.Run("improvised lines", func(t *testing.T) {
		rapid.Check(t, func(t *rapid.T) {
			s := setup(t)
			s.Timeline = charts[rapid.SampledFrom(names).Draw(t, "chart")]
			requireAgreement(t, s, improvised(t, s.Timeline, s.View), tail(t))
		})
	})
	t.Run("accidents", func(t *testing.T) {
		rapid.Check(t, func(t *rapid.T) {
			s := setup(t)
			s.Timeline = charts[rapid.SampledFrom(names).Draw(t, "chart")]
			requireAgreement(t, s, anyEvents(t), tail(t))
		})
	})
}
