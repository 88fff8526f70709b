package analyse_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/song"
)

// Counted off again, the first note is a little early on the top: it is told on the
// downbeat of the chorus that is counted off to, whose number was not there before.
func TestEarlyOnACountOff(t *testing.T) {
	line := twelveBars(t)
	origin := func(tick, value int64, running uint8) analyse.Event {
		return analyse.Event{Tick: tick, Kind: analyse.Origin, Key: running, Value: value}
	}
	const early = 60
	for name, test := range map[string]struct {
		events []analyse.Event // up to a count-in of one bar
		want   int
	}{
		"the first time":           {[]analyse.Event{origin(0, -forgetBar, 1)}, 1},
		"in the first chorus":      {[]analyse.Event{origin(0, 0, 1), origin(5*forgetBar, -forgetBar, 1)}, 2},
		"in the second":            {[]analyse.Event{origin(0, 0, 1), origin(13*forgetBar, -forgetBar, 1)}, 3},
		"at its very top":          {[]analyse.Event{origin(0, 0, 1), origin(12*forgetBar, -forgetBar, 1)}, 2},
		"in the count-in":          {[]analyse.Event{origin(0, 0, 1), origin(5*forgetBar, -2*forgetBar, 1), origin(6*forgetBar, -forgetBar, 1)}, 2},
		"where the song stands":    {[]analyse.Event{origin(0, 0, 1), origin(13*forgetBar, 13*forgetBar, 0), origin(20*forgetBar, -forgetBar, 1)}, 3},
		"where it waited for one":  {[]analyse.Event{origin(0, 0, 0), origin(5*forgetBar, -forgetBar, 1)}, 1},
		"after it was moved a bar": {[]analyse.Event{origin(0, 0, 1), origin(11*forgetBar, 12*forgetBar, 1), origin(11*forgetBar+9, -forgetBar, 1)}, 3},
	} {
		a := analyser(t, analyse.Setup{Timeline: line})
		for _, e := range test.events {
			a.Add(e)
		}
		at := test.events[len(test.events)-1].Tick + forgetBar - early
		f := heard(a.Add(on(at, 60)))[0]
		require.Equal(t, song.Spot{Chorus: test.want, Bar: 1, Beat: 1}, f.Spot(), name)
		a.Add(origin(at+early, int64(test.want-1)*line.Length, 1))
		require.Equal(t, test.want, heard(a.Add(on(at+early+960, 62)))[0].Chorus, name)
		require.Len(t, a.Summary().ChorusesDetail, 1, name)
	}
}
