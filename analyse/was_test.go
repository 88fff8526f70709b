package analyse_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/timebase"
)

// What can be held against what, written down by reason first: a step of a metronome is
// the same task, two are not (common practice); another key, and bars that are left to
// others, are another task at any tempo.
func TestWhatIsAlike(t *testing.T) {
	at := func(tempo float64) analyse.Was { return analyse.Was{Tempo: tempo} }
	within := func(from, to float64) analyse.Was { return analyse.Was{Tempo: from, ToTempo: to} }
	for _, test := range []struct {
		name   string
		a, b   analyse.Was
		like   bool
		asHard bool // the first is as hard as the second
	}{
		{"the same", at(120), at(120), true, true},
		{"free time", at(0), at(0), true, true},
		{"free time and a tempo", at(0), at(120), false, false},
		{"a metronome's step", at(126), at(120), true, true},
		{"and a little over", at(126.1), at(120), false, true},
		{"two steps", at(108), at(100), false, true},
		{"a step slower", at(96), at(100), true, true},
		{"two steps slower", at(92), at(100), false, false},
		{"twice as fast", at(180), at(100), false, true},
		{"in another key", analyse.Was{Tempo: 120, Key: "F major"}, analyse.Was{Tempo: 120, Key: "C major"}, false, false},
		{"faster, in another key", analyse.Was{Tempo: 180, Key: "F major"}, analyse.Was{Tempo: 120, Key: "C major"}, false, false},
		{"in the same other key", analyse.Was{Tempo: 120, Key: "F major"}, analyse.Was{Tempo: 122, Key: "F major"}, true, true},
		{"traded and not", analyse.Was{Tempo: 120, Trade: 4}, at(120), false, false},
		{"traded by fours and by twos", analyse.Was{Tempo: 120, Trade: 4}, analyse.Was{Tempo: 120, Trade: 2}, false, false},
		{"slower at the end, both", within(120, 60), within(122, 61), true, true},
		{"slower at the end, one", at(120), within(120, 60), false, true},
		{"slower at the end, the first", within(120, 60), at(120), false, false},
		{"rising", within(100, 140), at(100), false, true},
	} {
		require.Equal(t, test.like, test.a.Like(test.b), test.name)
		require.Equal(t, test.like, test.b.Like(test.a), test.name+", the other way round")
		require.Equal(t, test.asHard, test.a.AsHard(test.b), test.name)
	}
}

// paced plays two quarter notes in every bar of a chart of four bars in a meter, at a
// tempo of the quarter note for each bar; top counts off again before that bar, from 0.
func paced(t *testing.T, meter string, trade, top int, quarters ...int64) *analyse.Summary {
	setup := inChords(t, "meter: "+meter+"\n\n| C6 | C6 | C6 | C6 |")
	setup.Trade = trade
	a := analyser(t, setup)
	bar := setup.Timeline.Bars[0].Meter.Bar()
	a.Add(startsAt(0))
	tick := int64(0)
	for i, quarter := range quarters {
		if i == top {
			a.Add(analyse.Event{Tick: tick, Kind: analyse.Origin, Key: 1, Value: -bar})
			tick += bar
			a.Add(analyse.Event{Tick: tick, Kind: analyse.Origin, Key: 1, Value: ((int64(i)-1)/4 + 1) * 4 * bar})
		}
		if quarter > 0 {
			a.Add(analyse.Event{Tick: tick, Kind: analyse.Tempo, Value: quarter})
		}
		for range 2 {
			a.Add(on(tick, 72))
			a.Add(off(tick+400, 72))
			tick += bar / 2
		}
	}
	a.Finish(tick)
	s := a.Summary()
	return &s
}

func TestAChorusKnowsItsTempo(t *testing.T) {
	perMinute := func(beats int64) int64 { return 60 * timebase.Micro / beats }
	at := func(bars ...int64) (quarters []int64) {
		for _, beats := range bars {
			quarters = append(quarters, perMinute(beats))
		}
		return quarters
	}
	was := func(s *analyse.Summary) (all []analyse.Was) {
		for _, c := range s.ChorusesDetail {
			all = append(all, c.Was)
		}
		return all
	}
	for _, test := range []struct {
		name     string
		meter    string
		quarters []int64
		want     []analyse.Was
	}{
		{"at one tempo", "4/4", at(120, 120, 120, 120, 120), []analyse.Was{{Tempo: 120}, {Tempo: 120}}},
		{"faster at the top", "4/4", at(100, 100, 100, 100, 104, 104, 104, 104), []analyse.Was{{Tempo: 100}, {Tempo: 104}}},
		{"half as fast in the middle", "4/4", at(120, 120, 60, 60, 120, 120, 60, 60), []analyse.Was{{Tempo: 120, ToTempo: 60}, {Tempo: 120, ToTempo: 60}}},
		{"rising all through", "4/4", at(100, 110, 120, 130), []analyse.Was{{Tempo: 100, ToTempo: 120}}}, // the bar behind the last is not over
		{"a clock that sways", "4/4", at(120, 121, 119, 120), []analyse.Was{{Tempo: 120}}},
		{"in two the beat is a half note", "2/2", at(200, 200, 200, 200), []analyse.Was{{Tempo: 100}}},
		{"in 6/8 a dotted quarter", "6/8", at(120, 120, 120, 120), []analyse.Was{{Tempo: 80}}},
		{"no beat is known", "4/4", []int64{0, 0, 0, 0}, []analyse.Was{{}}},
	} {
		require.Equal(t, test.want, was(paced(t, test.meter, 0, -1, test.quarters...)), test.name)
	}

	s := paced(t, "4/4", 2, 4, at(120, 120, 120, 120, 100, 100)...)
	require.Equal(t, []analyse.Was{{Tempo: 120, Trade: 2}, {Tempo: 100, Trade: 2}}, was(s))
	require.Equal(t, []bool{false, true}, []bool{s.ChorusesDetail[0].Anew, s.ChorusesDetail[1].Anew})
	s = paced(t, "4/4", 0, -1, at(120, 120, 120, 120, 120)...)
	require.False(t, s.ChorusesDetail[1].Anew, "run into")
}

// A note a little ahead of the top, at the tempo before it, is of the chorus to come.
func TestTheTempoOfAChorusThatIsBegunEarly(t *testing.T) {
	setup := inChords(t, "| C6 | C6 |")
	a := analyser(t, setup)
	const bar = 4 * timebase.Quarter
	a.Add(startsAt(0))
	a.Add(analyse.Event{Kind: analyse.Tempo, Value: 600_000})
	a.Add(on(0, 72))
	a.Add(on(2*bar-40, 72))
	a.Add(analyse.Event{Tick: 2 * bar, Kind: analyse.Tempo, Value: 500_000})
	a.Add(on(2*bar+timebase.Quarter, 74))
	a.Add(on(3*bar, 76))
	a.Finish(4 * bar)
	s := a.Summary()
	require.Equal(t, []analyse.Was{{Tempo: 100}, {Tempo: 120}}, []analyse.Was{s.ChorusesDetail[0].Was, s.ChorusesDetail[1].Was})
}

func TestChorusesThatAreAlike(t *testing.T) {
	s := analyse.Summary{Tempo: 120, Notes: 40, Fate: map[string]int64{"unresolved": 2}}
	require.Equal(t, []analyse.Alike{{Was: analyse.Was{Tempo: 120}, Notes: 40, Slips: 2}}, s.Alike(), "without choruses")

	for i, tempo := range []float64{100, 104, 108, 112, 100} {
		s.ChorusesDetail = append(s.ChorusesDetail, analyse.ChorusCount{
			Chorus: i + 1, Was: analyse.Was{Tempo: tempo}, Tally: analyse.Tally{Notes: 10, Unresolved: int64(i)},
		})
	}
	require.Equal(t, []analyse.Alike{
		{Was: analyse.Was{Tempo: 100}, Choruses: 3, Notes: 30, Slips: 5},
		{Was: analyse.Was{Tempo: 108}, Choruses: 2, Notes: 20, Slips: 5},
	}, s.Alike())
}
