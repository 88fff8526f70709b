package analyse_test

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"shedlight/analyse"
	"shedlight/analyse/changes"
	"shedlight/analyse/fate"
	"shedlight/analyse/harmony"
	"shedlight/analyse/phrase"
	"shedlight/analyse/song"
	"shedlight/analyse/timebase"
	"shedlight/analyse/tone"
)

// anyEvents draws a stream as instruments, clocks and accidents make them:
// notes, releases, pedals, tempo and meter changes, jumps in the song.
func anyEvents(t *rapid.T) []analyse.Event {
	var tick int64
	return rapid.SliceOfN(rapid.Custom(func(t *rapid.T) analyse.Event {
		tick += int64(rapid.OneOf(rapid.Just(0), rapid.IntRange(1, 120), rapid.IntRange(0, 3000)).Draw(t, "gap"))
		e := analyse.Event{
			Tick:    tick,
			Channel: uint8(rapid.IntRange(0, 2).Draw(t, "channel")),
			Key:     uint8(rapid.IntRange(55, 75).Draw(t, "key")),
		}
		switch rapid.IntRange(0, 12).Draw(t, "kind") {
		case 0, 1, 2, 3, 4, 5:
			e.Kind, e.Velocity = analyse.NoteOn, uint8(rapid.IntRange(0, 127).Draw(t, "velocity"))
		case 6, 7:
			e.Kind = analyse.NoteOff
		case 8:
			e.Kind, e.Key = analyse.Control, rapid.SampledFrom([]uint8{64, 120, 121, 123, 7}).Draw(t, "controller")
			e.Velocity = uint8(rapid.IntRange(0, 127).Draw(t, "value"))
		case 9:
			e.Kind, e.Value = analyse.Tempo, int64(rapid.IntRange(100_000, 2_000_000).Draw(t, "tempo"))
		case 10:
			e.Kind, e.Value = analyse.Meter, rapid.SampledFrom([]int64{4<<8 | 4, 3<<8 | 4, 6<<8 | 8}).Draw(t, "meter")
		case 11:
			e.Kind, e.Key = analyse.Origin, uint8(rapid.IntRange(0, 1).Draw(t, "running"))
			e.Value = int64(rapid.IntRange(-8000, 40_000).Draw(t, "song"))
		case 12:
			e.Kind = analyse.NextView
		}
		return e
	}), 1, 80).Draw(t, "events")
}

// twoChords is an invented chart of three bars: C6, then G7 in half a bar, then
// C6 to the end.
func twoChords() *changes.Timeline {
	c := changes.Centre{Tonic: tone.Name{}, Mode: changes.Major}
	home := c.Scale().HomeChord()
	g := home
	g.Root, _ = tone.ParseName("G")
	g.Bass = g.Root
	slot := func(from, to int64, bar int, symbol string) changes.Slot {
		s := changes.Slot{Start: from, End: to, Bar: bar, Symbol: symbol, Chord: home, Centre: c, Key: c.Scale(), Own: c.Scale()}
		if symbol == "G6" {
			s.Chord = g
		}
		return s
	}
	const bar = 4 * timebase.Quarter
	return &changes.Timeline{
		Title:  "Ferry at Six",
		Slots:  []changes.Slot{slot(0, bar, 1, "C6"), slot(bar, bar+bar/2, 2, "G6"), slot(bar+bar/2, 3*bar, 2, "C6")},
		Bars:   []changes.Bar{{Start: 0, Number: 1, Meter: timebase.Common}, {Start: bar, Number: 2, Meter: timebase.Common}, {Start: 2 * bar, Number: 3, Meter: timebase.Common}},
		Length: 3 * bar,
	}
}

// The same events give the same findings in the same order, however often time
// is advanced between them: what was shown live is what a review says.
func TestLiveEqualsReview(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		setup := analyse.Setup{Centre: &changes.Centre{Mode: changes.Major}, Split: uint8(rapid.SampledFrom([]int{0, 62}).Draw(t, "split"))}
		if rapid.Bool().Draw(t, "chart") {
			setup.Timeline = twoChords()
			kind := analyse.GoalKind(rapid.IntRange(0, int(analyse.FamilyChord)).Draw(t, "goal"))
			setup.Goal = analyse.Goal{Kind: kind, Bars: make([]bool, len(setup.Timeline.Bars)), On: 2}
			for i := range setup.Goal.Bars {
				setup.Goal.Bars[i] = i != 1
			}
		}
		events := anyEvents(t)
		end := events[len(events)-1].Tick + int64(rapid.IntRange(0, 5000).Draw(t, "tail"))

		review, err := analyse.New(setup)
		require.NoError(t, err)
		want := all(review, end, events...)

		live, err := analyse.New(setup)
		require.NoError(t, err)
		var got []analyse.Finding
		var now int64
		for _, e := range events {
			for range rapid.IntRange(0, 3).Draw(t, "calls") {
				if e.Tick > now {
					now += rapid.Int64Range(0, e.Tick-now).Draw(t, "step")
				}
				got = append(got, live.AdvanceTo(now)...)
			}
			got = append(got, live.Add(e)...)
			live.Snapshot()
			now = max(now, e.Tick)
		}
		got = append(got, live.Finish(end)...)
		require.Equal(t, want, got)
		require.Equal(t, review.Summary(), live.Summary())
		require.Equal(t, review.Snapshot(), live.Snapshot())
		for _, c := range live.Summary().ChorusesDetail {
			require.GreaterOrEqual(t, c.Goal.Changes, c.Goal.Thirds)
			require.GreaterOrEqual(t, c.Goal.Thirds, int64(0))
		}
	})
}

// Every note is heard once, sorted once, and settled exactly if it was heard
// as pending, in this order; it is told once at most that it fights its chord, in the
// scale or before it is settled.
func TestEveryNoteHasItsStages(t *testing.T) {
	fought := 0
	rapid.Check(t, func(t *rapid.T) {
		setup := analyse.Setup{Centre: &changes.Centre{Mode: changes.Minor}}
		if rapid.Bool().Draw(t, "chart") {
			setup.Timeline = twoChords()
		}
		a, err := analyse.New(setup)
		require.NoError(t, err)
		events := anyEvents(t)
		type life struct{ heard, sorted, settled, pending, fought int }
		notes := map[int64]*life{}
		for _, f := range all(a, events[len(events)-1].Tick, events...) {
			if notes[f.N] == nil {
				notes[f.N] = &life{}
			}
			l := notes[f.N]
			switch f.Stage {
			case analyse.Heard:
				require.Equal(t, int64(len(notes)-1), f.N, "notes are numbered in order")
				l.heard++
				if f.Fate == fate.Pending {
					l.pending = 1
				}
			case analyse.Sorted:
				require.Equal(t, 1, l.heard)
				l.sorted++
			case analyse.Settled:
				require.Equal(t, 1, l.heard)
				l.settled++
			case analyse.Fought:
				require.Equal(t, life{heard: 1, sorted: 1, pending: l.pending}, *l)
				l.fought++
				fought++
			}
		}
		for n, l := range notes {
			require.Equal(t, life{heard: 1, sorted: 1, settled: l.pending, pending: l.pending, fought: l.fought}, *l, "note %d", n)
		}
		require.Equal(t, int64(len(notes)), a.Summary().Notes)
	})
	t.Log(fought, "fight their chord")
}

func TestSongPosition(t *testing.T) {
	const bar = 4 * timebase.Quarter
	a := analyser(t, analyse.Setup{Timeline: twoChords()})
	before := a.Add(on(0, 60))[0]
	require.Zero(t, before.Chorus, "no origin yet")

	a.Add(analyse.Event{Tick: 10, Kind: analyse.Origin, Key: 1, Value: -2 * bar})
	origin := int64(10 + 2*bar)
	counted := heard(a.Add(on(origin-960, 60)))[0]
	require.Zero(t, counted.Chorus+counted.Bar, "the count-in is chorus 0, bar 0")
	require.Equal(t, 4.0, counted.Beat)
	require.Equal(t, 1, a.Snapshot().CountIn)

	first := heard(a.Add(on(origin, 60)))[0]
	require.Equal(t, []any{1, 1, 1.0, "C6"}, []any{first.Chorus, first.Bar, first.Beat, first.Chord})
	// A tenth of a beat before the change the note is early; a tick more and
	// it belongs to the chord that still sounds.
	inside := heard(a.Add(on(origin+bar-97, 60)))[0]
	early := heard(a.Add(on(origin+bar-96, 60)))[0]
	require.Equal(t, "C6", inside.Chord)
	require.Equal(t, "G6", early.Chord)
	require.Equal(t, song.Spot{Chorus: 1, Bar: 2, Beat: 1}, early.Spot(), "it is on the downbeat that it is meant for")
	require.Equal(t, song.Spot{Chorus: 1, Bar: 1, Beat: 4.898}, inside.Spot())

	second := heard(a.Add(on(origin+3*bar+320, 60)))[0]
	require.Equal(t, []any{2, 1, 1.333}, []any{second.Chorus, second.Bar, second.Beat})
	// The loop: the last bar leads to the first.
	wrapped := heard(a.Add(on(origin+6*bar-1, 60)))[0]
	require.Equal(t, "C6", wrapped.Chord)
	require.Equal(t, song.Spot{Chorus: 3, Bar: 1, Beat: 1}, wrapped.Spot())

	a.Add(analyse.Event{Tick: origin + 6*bar, Kind: analyse.Origin, Key: 0, Value: bar})
	still := heard(a.Add(on(origin+9*bar, 60)))[0]
	require.Equal(t, []any{1, 2, 1.0}, []any{still.Chorus, still.Bar, still.Beat}, "a stopped song stands still")
	a.Finish(origin + 9*bar)
	require.Equal(t, 2, a.Summary().Choruses)
	require.Equal(t, 6, a.Summary().Bars)
}

// steady is a long session: a line over the scale with some chords and some
// notes outside, a pedal, and time that passes.
func steady(n int) []analyse.Event {
	r := rand.New(rand.NewPCG(1, 2))
	events := make([]analyse.Event, 0, 2*n)
	var tick int64
	for range n {
		key := uint8(50 + r.IntN(40))
		tick += int64(r.IntN(400))
		events = append(events, on(tick, key), off(tick+200, key))
		tick += 200
	}
	return events
}

func TestSteadyStateAllocatesNothing(t *testing.T) {
	a := analyser(t, analyse.Setup{Timeline: twoChords()})
	a.Add(analyse.Event{Kind: analyse.Origin, Key: 1})
	events := steady(20_000)
	for _, e := range events[:20_000] {
		a.Add(e)
	}
	// The table of choruses grows by a row a chorus; within a chorus nothing may.
	at := events[20_000].Tick
	i := 20_000
	allocs := testing.AllocsPerRun(1000, func() {
		e := events[i]
		e.Tick = at
		a.Add(e)
		i++
	})
	require.Zero(t, allocs)
}

func benchmarkJudge(b *testing.B, before int) {
	a := analyser(b, analyse.Setup{Timeline: twoChords()})
	a.Add(analyse.Event{Kind: analyse.Origin, Key: 1})
	events := steady(4096)
	length := events[len(events)-1].Tick + 1000
	var base int64
	next := 0
	step := func() {
		e := events[next]
		e.Tick += base
		a.Add(e)
		if next++; next == len(events) {
			next, base = 0, base+length
		}
	}
	for range 2 * before {
		step()
	}
	b.ReportAllocs()
	for b.Loop() {
		step()
		step()
	}
}

// One note: its note-on and its note-off.
func BenchmarkJudgeNote(b *testing.B)              { benchmarkJudge(b, 10_000) }
func BenchmarkJudgeNoteAfterAMillion(b *testing.B) { benchmarkJudge(b, 1_000_000) }

func BenchmarkSnapshot(b *testing.B) {
	a := analyser(b, analyse.Setup{Timeline: twoChords()})
	a.Add(analyse.Event{Kind: analyse.Origin, Key: 1})
	for _, e := range steady(1000) {
		a.Add(e)
	}
	b.ReportAllocs()
	for b.Loop() {
		a.Snapshot()
	}
}

// What is early on a downbeat is told as played on it: in the counts of the bars,
// where a phrase ends, and on the page that begins there.
func TestEarlyOnADownbeat(t *testing.T) {
	const bar, early = 4 * timebase.Quarter, 48 // 25 ms at the nominal tempo
	a := analyser(t, analyse.Setup{Timeline: unroll(t, "title: Slow Ferry\nkey: C\n\n| C6 | % | % | % | G7 | % |\n")})
	a.Add(analyse.Event{Kind: analyse.Origin, Key: 1, Value: -bar})
	first := heard(a.Add(on(bar-early, 60)))[0]
	require.Equal(t, song.Spot{Chorus: 1, Bar: 1, Beat: 1}, first.Spot())
	a.Add(off(bar+400, 60))
	a.Add(on(5*bar-480, 69))
	a.Add(off(5*bar-early, 69))
	a.Add(on(5*bar-early, 67))
	a.Add(off(5*bar+400, 67))
	a.AdvanceTo(5*bar + 2000)
	s := a.Snapshot()
	require.Equal(t, phrase.Edge{
		Chorus: 1, Bar: 5, Beat: 1, On: "1", Name: "G", Chord: "G7", ChordDegree: "1", Degree: "5", Half: song.Home, Scale: harmony.NewScale(harmony.MajorSixth, tone.Class(0).Name()),
	}, s.Phrase.End)
	require.Equal(t, 5, s.Page.Bars[0].Number)
	require.Len(t, s.Page.Notes, 1)
	require.Equal(t, s.Page.Start, s.Page.Notes[0].Tick)
	sum := a.Summary()
	require.Equal(t, []int64{1, 1, 1}, []int64{sum.BarsDetail[0].Notes, sum.BarsDetail[3].Notes, sum.BarsDetail[4].Notes})
}
