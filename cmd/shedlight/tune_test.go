package main

import (
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/timebase"
)

func tuneOf(t *testing.T, f tuneFlags) *tune {
	out, err := f.tune("", hand{})
	require.NoError(t, err)
	return out
}

// Bar 1 of a chart is at tick 0 of a file that says nothing else, or at the bar
// that --start names, in the chart's meter.
func TestWhereTheChartStarts(t *testing.T) {
	waltz := tuneOf(t, tuneFlags{Chart: "../../testdata/charts/ferry-waltz.chart"})
	note := analyse.Event{Tick: 100, Kind: analyse.NoteOn, Key: 60, Velocity: 80}
	origin := func(song int64) analyse.Event { return analyse.Event{Kind: analyse.Origin, Key: 1, Value: song} }

	require.Equal(t, []analyse.Event{origin(0), note}, waltz.placed([]analyse.Event{note}, 1))
	require.Equal(t, []analyse.Event{origin(-3 * timebase.Quarter), note}, waltz.placed([]analyse.Event{note}, 2))
	own := []analyse.Event{origin(-960), note}
	require.Equal(t, own, waltz.placed(own, 1), "a take knows where bar 1 is")
	require.Equal(t, []analyse.Event{origin(-6 * timebase.Quarter), note}, waltz.placed(own, 3), "unless it is told")
	free := tuneOf(t, tuneFlags{Centre: "F major"})
	require.Equal(t, []analyse.Event{note}, free.placed([]analyse.Event{note}, 2), "without a chart there is no bar 1")
}

// Beats are counted where there is a tempo, live as in a review.
func TestWhatCountsBeats(t *testing.T) {
	free := tuneOf(t, tuneFlags{Centre: "F major"})
	free.hear(free.opening(0, 1), 0)
	require.False(t, free.setup.Counted, "free time")
	free.hear(free.opening(120, 1), 0)
	require.True(t, free.setup.Counted, "a tempo")

	coarse := tuneOf(t, tuneFlags{})
	const clock = timebase.Quarter / 24 // MIDI 1.0: 24 clocks a quarter note
	coarse.hear([]analyse.Event{{Kind: analyse.Tempo, Value: 480_000}}, clock)
	require.Equal(t, int64(20_000), coarse.setup.Quantum, "a file in clocks at 125 tells time in 20 ms")
}

// A session opens with its tempo, its meter and the count-in.
func TestOpening(t *testing.T) {
	waltz := tuneOf(t, tuneFlags{Chart: "../../testdata/charts/ferry-waltz.chart"})
	quarter := waltz.chart.MicrosPerQuarter()
	require.Equal(t, []analyse.Event{
		{Kind: analyse.Tempo, Value: quarter},
		{Kind: analyse.Meter, Value: 3<<8 | 4},
		{Kind: analyse.Origin, Key: 1, Value: -2 * 3 * timebase.Quarter},
	}, waltz.opening(0, 2))
	require.Equal(t, int64(500_000), waltz.opening(120, 0)[0].Value, "the player's tempo wins")
	require.Empty(t, tuneOf(t, tuneFlags{}).opening(0, 1), "free time has none")
}

// In the last chorus nothing comes behind the last chord; before that the form,
// or the bars of it that are played over and over, goes on with its first.
func TestNothingComesBehindTheLastChord(t *testing.T) {
	const bar = 4 * timebase.Quarter
	for _, test := range []struct {
		name  string
		flags tuneFlags
		last  int64 // where the last chord of the form starts
	}{
		{"two bars of the last chord", tuneFlags{Chart: "two-five-one"}, 2 * bar},
		{"a loop", tuneFlags{Chart: "two-five-one", Bars: "1-2"}, bar},
		{"a loop of one chord", tuneFlags{Chart: "two-five-one", Bars: "3-4"}, 0},
	} {
		tune := tuneOf(t, test.flags)
		opening := tune.opening(0, 1)
		analyser, err := analyse.New(tune.setup)
		require.NoError(t, err)
		s := &session{analyser: analyser}
		s.lastChord, s.until = tune.end(opening, 2)
		for _, e := range opening {
			analyser.Add(e)
		}
		length := tune.setup.Timeline.Length
		require.Equal(t, bar+2*length, s.until, test.name)
		for _, at := range []struct {
			song int64 // ticks behind bar 1
			want bool
		}{{-bar, false}, {length - 1, false}, {length + test.last - 1, false}, {length + test.last, true}, {2*length - 1, true}} {
			analyser.AdvanceTo(bar + at.song)
			require.Equal(t, at.want, s.frame().Ending, "%s, %d ticks behind bar 1", test.name, at.song)
		}
		s.until = 0
		require.False(t, s.frame().Ending, "%s: without --choruses it goes on", test.name)
	}
}

// The bass of a voicing is its lowest note, in whatever order it is typed.
func TestVoicingIsReadFromTheBassUp(t *testing.T) {
	want := []int{0, 4, 7, 2} // C G B E in C major sixth-diminished
	for _, notes := range []string{"C3 G3 B3 E4", "B3 G3 C3 E4", "E4 B3 G3 C3"} {
		require.Equal(t, want, tuneOf(t, tuneFlags{Centre: "C major", Voicing: notes}).setup.Voicing, notes)
	}
}
