package tunes

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/timebase"
	"shedlight/cmd/shedlight/internal/settings"
	"shedlight/listen/beat"
	"shedlight/listen/take"
)

func tuneOf(t *testing.T, f settings.Tune) *Tune {
	out, err := Of(f, settings.Hand{}, nil)
	require.NoError(t, err)
	return out
}

// Bar 1 of a chart is at tick 0 of a file that says nothing else, behind its pick-up
// where it has one, or at the bar that --start names, in the chart's meter.
func TestWhereTheChartStarts(t *testing.T) {
	waltz := tuneOf(t, settings.Tune{Chart: "../../../../testdata/charts/ferry-waltz.chart"})
	note := analyse.Event{Tick: 100, Kind: analyse.NoteOn, Key: 60, Velocity: 80}
	origin := func(song int64) analyse.Event { return analyse.Event{Kind: analyse.Origin, Key: 1, Value: song} }

	require.Equal(t, []analyse.Event{origin(-timebase.Quarter), note}, slices.Collect(waltz.Placed(slices.Values([]analyse.Event{note}), 1)), "a pick-up of a beat")
	bridges := tuneOf(t, settings.Tune{Chart: "../../../../testdata/charts/two-bridges.chart"})
	require.Equal(t, []analyse.Event{origin(0), note}, slices.Collect(bridges.Placed(slices.Values([]analyse.Event{note}), 1)))
	require.Equal(t, []analyse.Event{origin(-3 * timebase.Quarter), note}, slices.Collect(waltz.Placed(slices.Values([]analyse.Event{note}), 2)))
	own := []analyse.Event{origin(-960), note}
	require.Equal(t, own, slices.Collect(waltz.Placed(slices.Values(own), 1)), "a take knows where bar 1 is")
	require.Equal(t, []analyse.Event{origin(-6 * timebase.Quarter), note}, slices.Collect(waltz.Placed(slices.Values(own), 3)), "unless it is told")
	free := tuneOf(t, settings.Tune{Centre: "F major"})
	require.Equal(t, []analyse.Event{note}, slices.Collect(free.Placed(slices.Values([]analyse.Event{note}), 2)), "without a chart there is no bar 1")
}

func TestHowFineTimeIs(t *testing.T) {
	coarse := tuneOf(t, settings.Tune{})
	const clock = timebase.Quarter / 24 // MIDI 1.0: 24 clocks a quarter note
	coarse.Hear(slices.Values([]analyse.Event{{Kind: analyse.Tempo, Value: 480_000}}), clock)
	require.Equal(t, int64(20_000), coarse.Setup.Quantum, "a file in clocks at 125 tells time in 20 ms")
}

// A session opens with its tempo, its meter and the count-in.
func TestOpening(t *testing.T) {
	waltz := tuneOf(t, settings.Tune{Chart: "../../../../testdata/charts/ferry-waltz.chart"})
	quarter := waltz.Chart.MicrosPerQuarter()
	opening := func(tune *Tune, perMinute float64, countIn int) []analyse.Event {
		setup := tune.Beat(perMinute)
		setup.CountIn = countIn
		clock, err := beat.New(setup)
		require.NoError(t, err)
		return clock.Pass(0)
	}
	require.Equal(t, []analyse.Event{
		{Kind: analyse.Tempo, Value: quarter},
		{Kind: analyse.Meter, Value: 3<<8 | 4},
		{Kind: analyse.Origin, Key: 1, Value: -2 * 3 * timebase.Quarter},
	}, opening(waltz, 0, 2))
	require.Equal(t, int64(500_000), opening(waltz, 120, 0)[0].Value, "the player's tempo wins")
	require.Empty(t, opening(tuneOf(t, settings.Tune{}), 0, 1), "free time has none")
}

// The bass of a voicing is its lowest note, in whatever order it is typed.
func TestVoicingIsReadFromTheBassUp(t *testing.T) {
	want := []int{0, 4, 7, 2} // C G B E in C major sixth-diminished
	for _, notes := range []string{"C3 G3 B3 E4", "B3 G3 C3 E4", "E4 B3 G3 C3"} {
		require.Equal(t, want, tuneOf(t, settings.Tune{Centre: "C major", Voicing: notes}).Setup.Voicing, notes)
	}
}

// An instrument that sends every key on two channels is noticed, until one of them is
// chosen: on the command line or when the take was played.
func TestADualVoiceIsRemarkedOn(t *testing.T) {
	played := &take.Take{LeftOut: []string{"1 note on channel 10 left out"}}
	var events []analyse.Event
	for i := range 20 {
		for channel := range uint8(2) {
			events = append(events, analyse.Event{Tick: int64(i) * 480, Kind: analyse.NoteOn, Channel: channel, Key: 60, Velocity: 80})
		}
	}
	played.Events = slices.Values(events)
	remarks := func(on settings.Hand, s *take.Settings) []string {
		t.Helper()
		played.Settings = s
		out, err := OfTake(settings.Tune{Centre: "F major"}, on, "a.mid", played)
		require.NoError(t, err)
		return out.Remarks
	}
	left := "a.mid: 1 note on channel 10 left out"
	said := "a.mid: every note comes twice, on channels 1 and 2: choose one with --channel"
	require.Equal(t, []string{left, said}, remarks(settings.Hand{}, nil))
	require.Equal(t, []string{left, said}, remarks(settings.Hand{}, &take.Settings{}))
	require.Equal(t, []string{left}, remarks(settings.Hand{Channel: 1}, nil))
	require.Equal(t, []string{left}, remarks(settings.Hand{}, &take.Settings{Channels: 2}))
	require.Equal(t, []string{left}, remarks(settings.Hand{Hands: settings.Hands{1, 2}}, nil))
}

// A chart inside a take that cannot be read is told with the take's name.
func TestDamagedChartInATake(t *testing.T) {
	_, err := OfTake(settings.Tune{}, settings.Hand{}, "evening.mid", &take.Take{Settings: &take.Settings{Chart: "| X7 |\n"}})
	require.ErrorContains(t, err, "evening.mid: the chart in it: ")
	_, err = OfTake(settings.Tune{}, settings.Hand{}, "evening.mid", &take.Take{Settings: &take.Settings{Chart: strings.Repeat("| C6 ", 1<<20)}})
	require.ErrorContains(t, err, "evening.mid: the chart in it: ")
}
