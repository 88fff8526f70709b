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

// On the beat is two tenths of it ahead to two tenths behind, nearer where notes are
// dense; the second of a pair comes four to eight tenths behind the first (this project's own
// windows).
func TestWhichOnsetsAreMeasured(t *testing.T) {
	s := inChords(t, "| C6 | % |")
	for _, c := range []struct {
		name   string
		offset int64
		onsets int64
	}{
		{"on it", 0, 1},
		{"two tenths ahead", -192, 1}, {"a tick more", -193, 0},
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
		{"under eight tenths", 0, 767, 1, 1}, {"eight tenths are the next beat, early", 0, 768, 0, 2},
		{"both on the beat: a grace note", 0, 100, 0, 0},
		{"the first between", 300, 600, 0, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := felt(t, s, nil, timebase.Quarter+c.first, timebase.Quarter+c.second)
			require.Equal(t, []int64{c.pairs, c.onsets}, []int64{got.Pairs, got.Onsets})
		})
	}
	t.Run("of three in a beat the first is scored", func(t *testing.T) {
		got := felt(t, s, nil, 960+96, 960+320, 960+640)
		require.Equal(t, []int64{0, 1, 50}, []int64{got.Pairs, got.Onsets, got.OffsetMS})
	})
	t.Run("in a line of sixteenths the last is not the next beat", func(t *testing.T) {
		line := []int64{960, 960 + 240, 960 + 480, 960 + 720, 1920, 1920 + 240, 1920 + 480, 1920 + 720}
		got := felt(t, s, nil, append(line, 2880-97)...) // two fifths of a sixteenth are 96 ticks
		require.Equal(t, []int64{2, 0}, []int64{got.Onsets, got.OffsetMS})
		require.Equal(t, int64(3), felt(t, s, nil, append(line, 2880-96)...).Onsets)
	})
	t.Run("not with a grace note", func(t *testing.T) {
		require.Zero(t, felt(t, s, nil, 960, 960+96, 960+480).Onsets)
		require.Equal(t, int64(1), felt(t, s, nil, 960, 960+97, 960+480).Onsets)
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
			pairs := int64(7)
			if c.second == 720 && behind == 60 {
				pairs = 5 // as long as the lag and the gaps are not known, the second could be the next beat, early
			}
			require.Equal(t, pairs, got.Pairs)
		}
	}
	require.Zero(t, felt(t, s, nil, 960, 1920).Swing, "no pairs, no ratio")
}

func TestFeelInOtherMetersAndTempos(t *testing.T) {
	of := func(meter string) analyse.Setup {
		return analyse.Setup{Timeline: unroll(t, "title: Slow Ferry\nkey: C\nmeter: "+meter+"\n\n| C6 | C6 |\n")}
	}
	t.Run("6/8: the beat is dotted, and has no pairs", func(t *testing.T) {
		got := felt(t, of("6/8"), nil, 1440+288, 2880, 2880+720)
		require.Equal(t, []int64{2, 0}, []int64{got.Onsets, got.Pairs})
		require.Zero(t, got.Swing)
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

// Where in the form a player is early or late is told by bar, by section and by chorus,
// in each with its own scatter.
func TestFeelOfParts(t *testing.T) {
	line := unroll(t, "title: Slow Ferry\nkey: C\nform: A A B A\n\n[A]\n| C6 | C6 | C6 | C6 |\n[B]\n| F6 | F6 | F6 | F6 |\n")
	const ms = 960.0 / 500 // ticks
	var ticks []int64
	for beat := int64(1); beat < 3*64; beat++ {
		late := 0.0
		switch chorus, bar := beat/64, beat%64/4; {
		case bar >= 8 && bar < 12:
			late = -30
		case chorus == 2:
			late = 20
		}
		ticks = append(ticks, beat*960+int64(late*ms))
	}
	got := felt(t, analyse.Setup{Timeline: line}, nil, ticks...)
	section := func(name string, bar, onsets, offset, scatter int64) feel.SectionTime {
		return feel.SectionTime{Section: name, Bar: int(bar), ToBar: int(bar) + 3, Span: feel.Span{Onsets: onsets, OffsetMS: offset, ScatterMS: scatter}}
	}
	// Two choruses on the beat and one 20 ms late: 7 ms, scatter 9.
	require.Equal(t, []feel.SectionTime{
		section("A", 1, 47, 5, 10), section("A", 5, 48, 5, 10), section("B", 9, 48, -30, 0), section("A", 13, 48, 5, 10),
	}, got.Sections)
	// A quarter of each chorus is 30 ms early: -7.5 (told as -5 or -10) and 7.5 of the third.
	require.Len(t, got.Choruses, 3)
	for i, offset := range []float64{-7.5, -7.5, 7.5} {
		require.Equal(t, i+1, got.Choruses[i].Chorus)
		require.InDelta(t, offset, got.Choruses[i].OffsetMS, 2.5)
	}
	require.Len(t, got.Bars, 16)
	require.Equal(t, feel.BarTime{Bar: 9, Span: feel.Span{Onsets: 12, OffsetMS: -30}}, got.Bars[8])
	require.Zero(t, got.DriftMS)
}

// Counted off again, what drifted begins anew.
func TestDriftBeginsAnew(t *testing.T) {
	s := inChords(t, "| C6 | % | % | % |")
	var events []analyse.Event
	for take := range int64(2) {
		from := take*200*960 + take*333
		events = append(events, startsAt(from))
		for beat := int64(1); beat < 190; beat++ {
			tick := from + beat*960 + beat // a tick a beat: 62 ms a minute
			events = append(events, on(tick, 60), off(tick+60, 60))
		}
	}
	a := analyser(t, s)
	for _, e := range events {
		a.Add(e)
	}
	a.Finish(events[len(events)-1].Tick + 960)
	got := a.Summary().Feel
	require.Equal(t, []int64{378, 0, 0, 60}, []int64{got.Onsets, got.OffsetMS, got.ScatterMS, got.DriftMS})
	require.True(t, got.Measured)
}

// Nothing is measured where nobody knows the beat.
func TestNoFeelWithoutABeat(t *testing.T) {
	free := analyse.Setup{Centre: centre(t, "C", changes.Major)}
	nothing := feel.Report{GrainMS: 5, Sections: []feel.SectionTime{}, Choruses: []feel.ChorusTime{}, Bars: []feel.BarTime{}, Returns: []feel.Return{}}
	require.Equal(t, nothing, felt(t, free, nil, 960, 1920, 2400))

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
