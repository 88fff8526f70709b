package analyse_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/timebase"
)

// traded plays a quarter note on every beat of some bars over a chart of so many bars,
// and says for each bar in how many of its beats a note was judged. top counts off again
// before that bar, from 0; below 0 for never.
func traded(t *testing.T, trade, chart, bars, top int) (judged []int, a *analyse.Analyser) {
	text := ""
	for range chart {
		text += "| C6 "
	}
	setup := inChords(t, text+"|")
	setup.Trade = trade
	a = analyser(t, setup)
	a.Add(startsAt(0))
	tick := int64(0)
	for bar := range bars {
		if bar == top {
			a.Add(analyse.Event{Tick: tick, Kind: analyse.Origin, Key: 1, Value: -4 * timebase.Quarter})
			tick += 4 * timebase.Quarter
			begun := int64((bar-1)/chart + 1)
			a.Add(analyse.Event{Tick: tick, Kind: analyse.Origin, Key: 1, Value: begun * int64(chart) * 4 * timebase.Quarter})
		}
		judged = append(judged, 0)
		for range 4 {
			for _, f := range a.Add(on(tick, 72)) {
				if f.Stage == analyse.Heard {
					judged[bar]++
				}
			}
			a.Add(off(tick+400, 72))
			tick += timebase.Quarter
		}
	}
	a.Finish(tick)
	return judged, a
}

// The player begins and plays every other so many bars, also over the end of a chorus
// that they do not go into, and begins again where it is counted off; a beat at either
// end of the others' bars is the player's. What is not judged is in no count.
func TestOnlyYourBarsAreJudged(t *testing.T) {
	for _, test := range []struct {
		trade, chart, top int
		want              []int
	}{
		{0, 2, -1, []int{4, 4, 4, 4, 4}},
		{1, 4, -1, []int{4, 2, 4, 2, 4}},
		{2, 4, -1, []int{4, 4, 1, 1, 4, 4, 1, 1, 4}},
		{2, 3, -1, []int{4, 4, 1, 1, 4, 4, 1, 1, 4, 4}},
		{2, 3, 4, []int{4, 4, 1, 1, 4, 4, 1, 1}},
		{2, 3, 3, []int{4, 4, 1, 4, 4, 1, 1}},
		{4, 12, -1, []int{4, 4, 4, 4, 1, 0, 0, 1, 4, 4, 4, 4, 1, 0, 0, 1, 4}},
	} {
		name := fmt.Sprint(test)
		judged, a := traded(t, test.trade, test.chart, len(test.want), test.top)
		require.Equal(t, test.want, judged, name)
		n := int64(0)
		for _, one := range judged {
			n += int64(one)
		}
		s := a.Summary()
		require.Equal(t, n, s.Notes, name)
		require.Equal(t, int64(4*len(judged))-n, s.Passed, name)
	}
	_, err := analyse.New(analyse.Setup{Trade: 4})
	require.Error(t, err)
}

// A note that leads into the downbeat of the others' bars is resolved there, and is no
// slip; a wrong note held in their bars is none either, and one in the player's is.
func TestALineLandsOnTheNextDownbeat(t *testing.T) {
	setup := inChords(t, "| C6 | C6 |")
	setup.Trade = 1
	slips := func(events ...analyse.Event) int64 {
		a := analyser(t, setup)
		a.Add(startsAt(0))
		for _, e := range events {
			a.Add(e)
		}
		a.Finish(16 * eighth)
		s := a.Summary()
		return s.Slips()
	}
	const bar = 8 * eighth
	require.Zero(t, slips(on(7*eighth, 71-12), off(bar, 71-12), on(bar, 72-12), off(bar+eighth, 72-12)))
	require.Zero(t, slips(on(7*eighth, 75), off(bar, 75), on(bar, 76), off(bar+eighth, 76)), "D sharp into E")
	require.Zero(t, slips(on(bar+2*eighth, 73), off(bar+6*eighth, 73)))
	require.Equal(t, int64(1), slips(on(2*eighth, 73), off(6*eighth, 73)))
}

// Whose bars come is told bar by bar, and nothing before bar 1.
func TestTurns(t *testing.T) {
	setup := inChords(t, "| C6 | F6 | C6 |")
	setup.Trade = 2
	a := analyser(t, setup)
	a.Add(analyse.Event{Kind: analyse.Origin, Key: 1, Value: -4 * timebase.Quarter})
	var got []string
	for bar := range int64(7) {
		a.AdvanceTo(bar*8*eighth + eighth)
		yours, left, ok := a.Turns()
		got = append(got, fmt.Sprint(yours, left, ok))
	}
	require.Equal(t, []string{"true 0 false", "true 2 true", "true 1 true", "false 2 true", "false 1 true", "true 2 true", "true 1 true"}, got)
}

// An outside clock's start is known some ticks after the top; the player's turn begins
// there all the same. A bar on into the next chorus, and what brings the song to where such
// a clock is, begin none.
func TestTurnsBeginWhereAClockStarts(t *testing.T) {
	const bar = 4 * timebase.Quarter
	setup := inChords(t, "| C6 | C6 | C6 |")
	setup.Trade = 2
	for _, test := range []struct {
		name    string
		origins []analyse.Event
		at      int64
		yours   bool
		left    int
	}{
		{"started, some ticks late", []analyse.Event{startsAt(0), {Tick: 4 * bar, Kind: analyse.Origin, Value: 4 * bar}, {Tick: 5 * bar, Kind: analyse.Origin, Key: 1, Value: 6*bar + 80}}, 5*bar + 100, true, 2},
		{"started anew while it runs", []analyse.Event{startsAt(0), {Tick: 4 * bar, Kind: analyse.Origin, Key: 1, Value: 6*bar + 80}}, 4*bar + 100, true, 2},
		{"positioned in a chorus", []analyse.Event{startsAt(0), {Tick: 4 * bar, Kind: analyse.Origin, Value: 4 * bar}, {Tick: 5 * bar, Kind: analyse.Origin, Key: 1, Value: 7*bar + 80}}, 5*bar + 100, true, 1},
		{"a bar on into the next chorus", []analyse.Event{startsAt(0), {Tick: 2*bar + 80, Kind: analyse.Origin, Key: 1, Value: 3*bar + 80}}, 2*bar + 100, false, 1},
		{"brought to where the clock is", []analyse.Event{startsAt(0), {Tick: 3*bar - 40, Kind: analyse.Origin, Key: 1, Value: 3*bar + 80}}, 3 * bar, false, 1},
		{"stopped and continued", []analyse.Event{startsAt(0), {Tick: 2*bar + 80, Kind: analyse.Origin, Value: 2*bar + 80}, {Tick: 5 * bar, Kind: analyse.Origin, Key: 1, Value: 2*bar + 80}}, 5*bar + 100, false, 2},
	} {
		a := analyser(t, setup)
		for _, e := range test.origins {
			a.Add(e)
		}
		a.AdvanceTo(test.at)
		yours, left, ok := a.Turns()
		require.True(t, ok, test.name)
		require.Equal(t, test.yours, yours, test.name)
		require.Equal(t, test.left, left, test.name)
	}
}
