package analyse_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/changes"
	"shedlight/analyse/feel"
	"shedlight/analyse/timebase"
)

// felt plays short notes at ticks of a song that runs from tick 0.
func felt(t testing.TB, s analyse.Setup, extra []analyse.Event, ticks ...int64) feel.Report {
	events := []analyse.Event{startsAt(0)}
	events = append(events, extra...)
	for i, tick := range ticks {
		key := uint8(60 + i%12)
		events = append(events, on(tick, key), off(tick+60, key))
	}
	a := analyser(t, s)
	for _, e := range events {
		a.Add(e)
	}
	a.Finish(events[len(events)-1].Tick + timebase.Quarter)
	return a.Summary().Feel
}

// eachBeat returns one onset a beat, each so many ticks from it.
func eachBeat(beat int64, offsets ...int64) []int64 {
	var out []int64
	for i, o := range offsets {
		out = append(out, int64(i+1)*beat+o)
	}
	return out
}

// On the beat is a tenth of a beat ahead to two tenths behind, off it four to
// nine tenths (the design's windows). At the nominal 500 ms a quarter a tick is
// 0.52 ms.
func TestWhichOnsetsAreMeasured(t *testing.T) {
	s := inChords(t, "| C6 | % |")
	for _, c := range []struct {
		name   string
		offset int64
		onsets int64
	}{
		{"on it", 0, 1},
		{"a tenth ahead", -96, 1}, {"a tick more", -97, 0},
		{"two tenths behind", 192, 1}, {"a tick more", 193, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			require.Equal(t, c.onsets, felt(t, s, nil, eachBeat(timebase.Quarter, c.offset)...).Onsets)
		})
	}
	for _, c := range []struct {
		name          string
		first, second int64
		pairs, onsets int64
	}{
		{"four tenths", 0, 384, 1, 1}, {"a tick less", 0, 383, 0, 0},
		{"eight tenths", 0, 768, 1, 1}, {"a tick more is the next beat, early", 0, 769, 0, 1},
		{"a tick under nine tenths", 0, 863, 0, 1}, {"nine tenths are the next beat", 0, 864, 0, 2},
		{"both on the beat: a grace note", 0, 100, 0, 0},
		{"the first between", 300, 600, 0, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := felt(t, s, nil, timebase.Quarter+c.first, timebase.Quarter+c.second)
			require.Equal(t, []int64{c.pairs, c.onsets}, []int64{got.Pairs, got.Onsets})
		})
	}
	t.Run("three in a beat are not scored", func(t *testing.T) {
		got := felt(t, s, nil, 960, 960+320, 960+640, 1920)
		require.Equal(t, []int64{0, 1}, []int64{got.Pairs, got.Onsets})
	})
}

// The mean is apart from the scatter, and both are told in steps of 5 ms.
func TestOffsetAndScatter(t *testing.T) {
	s := inChords(t, "| C6 | % |")
	const ms = 960.0 / 500 // ticks
	at := func(offsets ...float64) feel.Report {
		var ticks []int64
		for _, o := range offsets {
			ticks = append(ticks, int64(o*ms))
		}
		return felt(t, s, nil, eachBeat(timebase.Quarter, ticks...)...)
	}
	steady := at(30, 30, 30, 30)
	require.Equal(t, []int64{4, 30, 0, 5}, []int64{steady.Onsets, steady.OffsetMS, steady.ScatterMS, steady.GrainMS})
	early := at(-20, -20)
	require.Equal(t, int64(-20), early.OffsetMS)
	wide := at(10, 50, 10, 50)
	require.Equal(t, []int64{30, 20}, []int64{wide.OffsetMS, wide.ScatterMS})
	require.Equal(t, int64(10), at(12, 12).OffsetMS)
	require.Equal(t, int64(15), at(13, 13).OffsetMS, "12.5 ms and more are 15")

	coarse := inChords(t, "| C6 | % |")
	coarse.Quantum = 20_834 // 24 clocks a quarter (MIDI 1.0) at 500 ms
	got := felt(t, coarse, nil, eachBeat(timebase.Quarter, 58, 58)...)
	require.Equal(t, []int64{21, 21}, []int64{got.GrainMS, got.OffsetMS}, "30 ms is 1.4 grains: one")
}

// The two sums give what the textbook formula gives (standard deviation of a
// population).
func TestScatterOfManyOnsets(t *testing.T) {
	random := rand.New(rand.NewPCG(5, 6))
	var offsets []int64
	var sum, squares float64
	const n = 2000
	for range n {
		o := random.Int64N(96)
		offsets = append(offsets, o)
		sum += float64(o)
	}
	for _, o := range offsets {
		d := float64(o) - sum/n
		squares += d * d
	}
	got := felt(t, inChords(t, "| C6 |"), nil, eachBeat(timebase.Quarter, offsets...)...)
	require.Equal(t, int64(n), got.Onsets)
	require.InDelta(t, sum/n*500/960, float64(got.OffsetMS), 2.5)
	require.InDelta(t, math.Sqrt(squares/n)*500/960, float64(got.ScatterMS), 2.5)
}

// Straight eighths are 1, triplets 2 (arithmetic); playing behind changes
// nothing in it.
func TestSwing(t *testing.T) {
	s := inChords(t, "| C6 | % |")
	for _, c := range []struct {
		second int64
		want   feel.Ratio
	}{{480, 1}, {640, 2}, {720, 3}, {576, 1.5}} {
		for _, behind := range []int64{0, 60, -60} {
			var ticks []int64
			for beat := int64(960); beat < 8*960; beat += 960 {
				ticks = append(ticks, beat+behind, beat+behind+c.second)
			}
			got := felt(t, s, nil, ticks...)
			require.Equal(t, c.want, got.Swing, "%d ticks, %d behind", c.second, behind)
			require.Equal(t, int64(7), got.Pairs)
		}
	}
	require.Zero(t, felt(t, s, nil, 960, 1920).Swing, "no pairs, no ratio")
}

func TestFeelInOtherMetersAndTempos(t *testing.T) {
	of := func(meter string) analyse.Setup {
		return analyse.Setup{Timeline: unroll(t, "title: Slow Ferry\nkey: C\nmeter: "+meter+"\n\n| C6 | C6 |\n")}
	}
	t.Run("6/8: the beat is dotted", func(t *testing.T) {
		got := felt(t, of("6/8"), nil, 1440+288, 2880, 2880+720)
		require.Equal(t, []int64{2, 1}, []int64{got.Onsets, got.Pairs})
		require.Zero(t, felt(t, of("6/8"), nil, 960).Onsets)
	})
	t.Run("2/2", func(t *testing.T) {
		require.Zero(t, felt(t, of("2/2"), nil, 960).Onsets)
		require.Equal(t, int64(1), felt(t, of("2/2"), nil, 1920+384).Onsets)
	})
	t.Run("a change of tempo", func(t *testing.T) {
		slow := []analyse.Event{{Kind: analyse.Tempo, Value: 1_000_000}}
		require.Equal(t, int64(60), felt(t, of("4/4"), slow, eachBeat(960, 58, 58)...).OffsetMS)
		a := analyser(t, of("4/4"))
		for _, e := range []analyse.Event{
			startsAt(0), on(960+96, 60), off(1100, 60),
			{Tick: 1500, Kind: analyse.Tempo, Value: 250_000}, on(1920+96, 60), off(2100, 60),
		} {
			a.Add(e)
		}
		a.Finish(4000)
		feel := a.Summary().Feel // 50 and 25 ms late
		require.Equal(t, []int64{2, 40, 15}, []int64{feel.Onsets, feel.OffsetMS, feel.ScatterMS})
	})
	t.Run("the loop wraps", func(t *testing.T) {
		chorus := of("3/4").Timeline.Length
		require.Equal(t, int64(1), felt(t, of("3/4"), nil, chorus-96).Onsets)
		require.Equal(t, int64(1), felt(t, of("3/4"), nil, chorus+192).Onsets)
	})
}

// Nothing is measured where nobody knows the beat.
func TestNoFeelWithoutABeat(t *testing.T) {
	free := analyse.Setup{Centre: centre(t, "C", changes.Major)}
	require.Equal(t, feel.Report{GrainMS: 5}, felt(t, free, nil, 960, 1920, 2400))

	tempo := analyse.Event{Kind: analyse.Tempo, Value: timebase.Nominal}
	got := felt(t, free, []analyse.Event{tempo}, 960, 1920, 2400)
	require.True(t, got.Counted)
	require.Equal(t, []int64{2, 1}, []int64{got.Onsets, got.Pairs})

	stopped := analyse.Event{Tick: 500, Kind: analyse.Origin, Key: 0, Value: 0}
	require.Zero(t, felt(t, inChords(t, "| C6 |"), []analyse.Event{stopped}, 960, 1920).Onsets, "the song stands still")
	require.Zero(t, felt(t, free, []analyse.Event{tempo, stopped}, 960, 1920).Onsets)

	tapped := tempo
	tapped.Tick = 1920
	require.Equal(t, []int64{2, 1}, func() []int64 {
		a := analyser(t, free)
		for _, e := range []analyse.Event{on(960, 60), off(1000, 60), tapped, on(1920, 62), off(1980, 62), on(2400, 64), off(2440, 64), on(2880, 65), off(2920, 65)} {
			a.Add(e)
		}
		a.Finish(3840)
		r := a.Summary().Feel
		return []int64{r.Onsets, r.Pairs}
	}(), "what came before the tempo is not measured")

	again := analyse.Event{Tick: 500, Kind: analyse.Origin, Key: 1, Value: 0}
	require.Equal(t, int64(1), felt(t, free, []analyse.Event{tempo, stopped, again}, 500+960).Onsets, "beats are counted from the new origin")

	meter := analyse.Event{Tick: 300, Kind: analyse.Meter, Value: 3<<8 | 4}
	a := analyser(t, free)
	for _, e := range []analyse.Event{tempo, meter, on(300+960, 60), off(1300, 60), on(2*960, 62), off(2000, 62)} {
		a.Add(e)
	}
	a.Finish(9000)
	require.Equal(t, int64(1), a.Summary().Feel.Onsets, "with no origin from the last meter")
	require.Equal(t, map[string]int64{"2": 1}, a.Summary().Phrases.Starts.Beats)
}

// Who plays with the beat is told so, however it is divided, swung and wavering;
// who plays beside it, or too little to tell, is not.
func TestPlayingWithTheBeat(t *testing.T) {
	s := inChords(t, "| C6 | % | % | % |")
	random := rand.New(rand.NewPCG(7, 8))
	played := func(n int, gap float64, waver int64, places ...float64) bool {
		var ticks []int64
		for i := range n {
			at := float64(1+i/len(places))*gap + places[i%len(places)]*gap
			tick := int64(at)
			if waver > 0 {
				tick += random.Int64N(2*waver+1) - waver
			}
			ticks = append(ticks, tick)
		}
		slices.Sort(ticks)
		return felt(t, s, nil, ticks...).WithBeat
	}
	const beat = 960
	require.True(t, played(9, beat, 0, 0), "nine quarters")
	require.False(t, played(8, beat, 0, 0), "eight say too little")
	require.True(t, played(40, beat, 60, 0, 0.5), "eighths, wavering by 30 ms")
	require.True(t, played(40, beat, 60, 0, 0.67), "swung")
	require.True(t, played(60, beat, 60, 0, 1.0/3, 2.0/3), "triplets")
	require.True(t, played(80, beat, 40, 0, 0.25, 0.5, 0.75), "sixteenths")
	require.True(t, played(40, beat, 60, 0.15, 0.65), "late by 75 ms")
	require.False(t, played(200, 0.87*beat, 60, 0, 0.5), "at a tempo of their own")
	notes := 0
	const takes, most = 400, 4
	for range takes {
		var ticks []int64
		for range 64 {
			ticks = append(ticks, random.Int64N(64*beat))
		}
		slices.Sort(ticks)
		if felt(t, s, nil, ticks...).WithBeat {
			notes++
		}
	}
	require.LessOrEqual(t, notes, most, "of 400 takes with onsets anywhere, one in a thousand is wanted")
}

// How many notes there are in a beat of playing; rests are told apart.
func TestDensity(t *testing.T) {
	for line, want := range map[string]feel.Ratio{
		"C4 E4 G4 E4":                     2,
		"C4.2 E4.2 G4.2":                  1,
		"C4.4 E4.4":                       0.5,
		"C4 E4 G4 E4 -.8 C4 E4 G4 E4":     2,
		"C4.2 E4 G4 E4.2 C4 E4 -.4 C4 E4": 1.6, // 8 notes in 5 beats
	} {
		sum, _ := review(t, inChords(t, "| C6 | % |"), performed(t, 0, line))
		require.Equal(t, want, sum.Feel.NotesPerBeat, line)
	}
}

// How many notes there are in a bar, from the first phrase to the last with the
// rests between them.
func TestDensityOfBars(t *testing.T) {
	for _, c := range []struct {
		meter, line string
		want        feel.Ratio
	}{
		{"4/4", "C4 E4 G4 E4 C4 E4 G4 E4", 8},
		{"4/4", "C4 E4 G4 E4 -.8 C4 E4 G4 E4", 4}, // 8 notes in 2 bars
		{"4/4", "C4.2 E4.2 -.4 C4.8", 1.5},        // 3 notes in 2 bars; the end of the last phrase counts
		{"3/4", "C4 E4 G4 E4 C4 E4", 6},
		{"6/8", "C4 E4 G4 E4 C4 E4", 6},
		{"4/4", "C4.16", 0.5},
	} {
		s := analyse.Setup{Timeline: unroll(t, "title: Slow Ferry\nkey: C\nmeter: "+c.meter+"\n\n| C6 | C6 |\n")}
		sum, _ := review(t, s, performed(t, 0, c.line))
		require.Equal(t, c.want, sum.Feel.NotesPerBar, "%s in %s", c.line, c.meter)
	}
	tempo := []analyse.Event{{Kind: analyse.Tempo, Value: timebase.Nominal}}
	sum, _ := review(t, analyse.Setup{Centre: centre(t, "C", changes.Major)}, append(tempo, performed(t, 0, "C4 E4 G4 E4")...))
	require.Equal(t, feel.Ratio(8), sum.Feel.NotesPerBar, "without a chart the meter gives the bar")
	sum, _ = review(t, analyse.Setup{}, performed(t, 0, "C4 E4 G4 E4"))
	require.Zero(t, sum.Feel.NotesPerBar, "in free time there are no bars")
}

// The beat of the bar on which phrases start, as it is written.
func TestBeatsOfTheBar(t *testing.T) {
	for _, c := range []struct {
		meter string
		tick  int64
		want  string
	}{
		{"4/4", 0, "1"}, {"4/4", 480, "1.5"}, {"4/4", 192, "1"}, {"4/4", 193, "1.25"}, {"4/4", 383, "1.25"}, {"4/4", 384, "1.5"},
		{"4/4", 863, "1.5"}, {"4/4", 864, "2"}, {"4/4", 3840 - 96, "1"}, {"4/4", 3840 - 97, "4.5"},
		{"3/4", 2880 - 96, "1"}, {"6/8", 1440, "2"}, {"6/8", 720, "1.5"}, {"6/8", 2880 - 144, "1"}, {"5/4", 4 * 960, "5"},
	} {
		s := analyse.Setup{Timeline: unroll(t, "title: Slow Ferry\nkey: C\nmeter: "+c.meter+"\n\n| C6 | C6 |\n")}
		sum, _ := review(t, s, []analyse.Event{on(c.tick, 60), off(c.tick+400, 60)})
		require.Equal(t, map[string]int64{c.want: 1}, sum.Phrases.Starts.Beats, "%s at %d", c.meter, c.tick)
	}
}

// Behind the beat and swung: what the review says of a player's time.
func ExampleAnalyser_Summary_feel() {
	a, err := analyse.New(analyse.Setup{})
	if err != nil {
		return
	}
	a.Add(analyse.Event{Kind: analyse.Tempo, Value: timebase.Nominal}) // 500 ms a quarter
	const late, offBeat = 58, 640                                      // ticks: 30 ms at 500 ms a quarter; two thirds of a beat
	for beat := int64(0); beat < 8; beat++ {
		for _, tick := range []int64{beat*timebase.Quarter + late, beat*timebase.Quarter + late + offBeat} {
			a.Add(analyse.Event{Tick: tick, Kind: analyse.NoteOn, Key: 60, Velocity: 80})
			a.Add(analyse.Event{Tick: tick + 200, Kind: analyse.NoteOff, Key: 60})
		}
	}
	a.Finish(9 * timebase.Quarter)
	feel := a.Summary().Feel
	fmt.Printf("%d ms late, scatter %d ms, swing %.1f:1 over %d pairs\n",
		feel.OffsetMS, feel.ScatterMS, feel.Swing, feel.Pairs)
	// Output: 30 ms late, scatter 0 ms, swing 2.0:1 over 8 pairs
}
