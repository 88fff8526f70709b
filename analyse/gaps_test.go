package analyse_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/feel"
	"shedlight/analyse/song"
	"shedlight/analyse/timebase"
)

// quarters plays quarter notes at 120 over a chart of four bars, of eight bars two without
// a click: so many milliseconds behind the beat, and in those two each so many slower,
// which is found again after one bar. It returns what was told meanwhile, and what the
// review says.
func quarters(t *testing.T, behind, slower int64, again bool) (live, told []feel.Return) {
	setup := inChords(t, "| C6 | F6 | C6 | F6 |")
	setup.Gaps = song.Gaps{Silent: 2, Of: 8}
	const ms = 960 * 2 / 1000. // ticks at 120
	a := analyser(t, setup)
	a.Add(analyse.Event{Kind: analyse.Tempo, Value: 500_000})
	a.Add(startsAt(0))
	start := int64(0)
	play := func(bars int64) {
		late := float64(behind)
		for beat := range bars * 4 {
			if bar := beat / 4 % 8; bar >= 6 {
				late += float64(slower)
			} else if bar == 1 {
				late = float64(behind) // found again
			}
			tick := start + beat*timebase.Quarter + int64(late*ms)
			a.Add(on(tick, 72))
			a.Add(off(tick+400, 72))
			if r, ok := a.Returned(); ok && (len(live) == 0 || live[len(live)-1] != r) {
				live = append(live, r)
			}
		}
	}
	if again { // in the gap it is counted off again
		play(7)
		top := int64(7 * 4 * timebase.Quarter)
		a.Add(analyse.Event{Tick: top, Kind: analyse.Origin, Key: 1, Value: -4 * timebase.Quarter})
		start = top + 4*timebase.Quarter
		a.Add(analyse.Event{Tick: start, Kind: analyse.Origin, Key: 1, Value: 2 * 4 * 4 * timebase.Quarter})
	}
	play(18)
	a.Finish(start + 19*4*timebase.Quarter)
	return live, a.Summary().Feel.Returns
}

// A player who is 2 % slow while there is no click, 10 ms a beat at 120, comes back 80 ms
// later after eight beats; how late he is all the time is no matter, and the review says
// what was told while playing. Labelled by arithmetic.
func TestDriftWithoutAClick(t *testing.T) {
	at := func(chorus int, drift int64) feel.Return {
		return feel.Return{BarRef: song.BarRef{Chorus: chorus, Bar: 1}, DriftMS: drift}
	}
	for _, test := range []struct {
		behind, slower, drift int64
	}{{0, 10, 80}, {30, 10, 80}, {0, -5, -40}, {-20, 0, 0}} {
		name := fmt.Sprint(test)
		want := []feel.Return{at(3, test.drift), at(5, test.drift)}
		live, told := quarters(t, test.behind, test.slower, false)
		require.Equal(t, want, told, name)
		require.Equal(t, want, live, name)
	}
	_, told := quarters(t, 0, 10, true)
	require.Equal(t, []feel.Return{at(5, 80), at(7, 80)}, told, "counted off again in a gap, which had no end")
}

// A return in a chorus that is forgotten is not told.
func TestForgottenReturn(t *testing.T) {
	setup := inChords(t, "| C6 | F6 |")
	setup.Gaps = song.Gaps{Silent: 1, Of: 4}
	a := analyser(t, setup)
	a.Add(analyse.Event{Kind: analyse.Tempo, Value: 500_000})
	a.Add(startsAt(0))
	for beat := range int64(20) {
		a.Add(on(beat*timebase.Quarter, 72))
		a.Add(off(beat*timebase.Quarter+400, 72))
	}
	require.Len(t, a.Summary().Feel.Returns, 1)
	a.Add(analyse.Event{Tick: 20*timebase.Quarter + 100, Kind: analyse.Forget}) // the third
	require.Empty(t, a.Summary().Feel.Returns)
}
