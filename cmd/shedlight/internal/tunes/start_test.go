package tunes

import (
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/timebase"
	"shedlight/cmd/shedlight/internal/settings"
)

func TestWhereABarOfATakeBegins(t *testing.T) {
	const bar = 4 * timebase.Quarter
	bridges := tuneOf(t, settings.Tune{Chart: "../../../../testdata/charts/two-bridges.chart"})
	origin := func(tick, song int64, runs uint8) analyse.Event {
		return analyse.Event{Tick: tick, Kind: analyse.Origin, Value: song, Key: runs}
	}
	for _, test := range []struct {
		name   string
		events []analyse.Event
		bar    int
		want   int64
		err    string
	}{
		{"after a count-in", []analyse.Event{origin(0, -bar, 1)}, 3, 3 * bar, ""},
		{"stopped before, then again from the top", []analyse.Event{origin(0, 0, 1), origin(2*bar, 0, 0), origin(4*bar, -bar, 1)}, 5, 9 * bar, ""},
		{"not in the form", []analyse.Event{origin(0, 0, 1)}, 400, 0, "--start 400: the form has the bars 1 to"},
		{"not played", []analyse.Event{origin(0, 0, 1)}, 30, 0, "--start 30: the take ends before that bar"},
	} {
		got, err := bridges.BarTick(test.events, 20*bar, test.bar)
		if test.err != "" {
			require.ErrorContains(t, err, test.err, test.name)
			continue
		}
		require.NoError(t, err, test.name)
		require.Equal(t, test.want, got, test.name)
	}

	free := tuneOf(t, settings.Tune{})
	waltz := analyse.Event{Tick: 2 * bar, Kind: analyse.Meter, Value: 3<<8 | 4}
	for n, want := range map[int]int64{1: 0, 2: bar, 3: 2 * bar, 4: 2*bar + 3*timebase.Quarter, 6: 2*bar + 9*timebase.Quarter} {
		got, err := free.BarTick([]analyse.Event{waltz}, 20*bar, n)
		require.NoError(t, err)
		require.Equal(t, want, got, "bar %d of a file that turns into a waltz in bar 3", n)
	}
	_, err := free.BarTick(nil, 20*bar, 21)
	require.ErrorContains(t, err, "the take ends before that bar")
}
