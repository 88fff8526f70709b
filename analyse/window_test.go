package analyse_test

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"shedlight/analyse"
	"shedlight/analyse/changes"
	"shedlight/analyse/harmony"
	"shedlight/analyse/song"
	"shedlight/analyse/timebase"
	"shedlight/analyse/tone"
)

// walk draws a line of single notes in 4/4, none of them struck with another.
func walk(t *rapid.T) []analyse.Event {
	var events []analyse.Event
	tick, key := int64(0), 64
	for range rapid.IntRange(1, 60).Draw(t, "notes") {
		tick += int64(rapid.SampledFrom([]int{240, 480, 480, 960, 1000, 3000, 16000}).Draw(t, "gap"))
		key = min(max(key+rapid.IntRange(-5, 5).Draw(t, "interval"), 48), 84)
		events = append(events, on(tick, uint8(key)), off(tick+200, uint8(key)))
	}
	return events
}

// The scale that fits best, found from the whole take: every scale on every
// root, weighed by the notes of the last four bars or 32 notes.
func TestFitAgreesWithTheWholeTake(t *testing.T) {
	const bars, most = 4 * 4 * timebase.Quarter, 32
	rapid.Check(t, func(t *rapid.T) {
		events := walk(t)
		now := events[len(events)-1].Tick + int64(rapid.SampledFrom([]int{0, 500, 2000, 15_000, 20_000}).Draw(t, "tail"))
		a, err := analyse.New(analyse.Setup{Centre: &changes.Centre{}})
		require.NoError(t, err)
		all(a, now, events...)

		var times [12]int64
		var total int64
		var notes []analyse.Event
		for _, e := range events {
			if e.Kind == analyse.NoteOn {
				notes = append(notes, e)
			}
		}
		counted := 0
		for i := max(0, len(notes)-most); i < len(notes); i++ {
			if notes[i].Tick < now-bars {
				continue
			}
			until := now
			if i+1 < len(notes) {
				until = notes[i+1].Tick
			}
			time := min(until-notes[i].Tick, timebase.Quarter)
			times[notes[i].Key%12] += time
			total += time
			counted++
		}
		best, sets := int64(0), map[tone.Set]bool{}
		for kind := harmony.MajorSixth; kind <= harmony.DominantSeventhFlatFive; kind++ {
			for class := range tone.Class(12) {
				inside, set := int64(0), harmony.NewScale(kind, class.Name()).Set()
				for c := range set.Each() {
					inside += times[c]
				}
				if inside > best {
					best = inside
					clear(sets)
				}
				if inside == best {
					sets[set] = true
				}
			}
		}
		got := a.Snapshot().Fit
		if total == 0 {
			require.Zero(t, got)
			return
		}
		require.Equal(t, counted, got.Notes)
		require.Len(t, got.Scales, len(sets))
		for _, s := range got.Scales {
			require.True(t, sets[s.Set()], s.String())
		}
	})
}

// Free playing with no centre given: what is heard does not hang on how often
// time is advanced, and every note is judged by the centre that was heard before
// it.
func TestHeardCentres(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var events []analyse.Event
		var tick int64
		for range rapid.IntRange(1, 4).Draw(t, "stays") {
			scale := harmony.NewScale(
				rapid.SampledFrom([]harmony.ScaleKind{harmony.MajorSixth, harmony.MinorSixth}).Draw(t, "kind"),
				tone.Class(rapid.IntRange(0, 11).Draw(t, "root")).Name()).Set().Classes()
			random := rand.New(rand.NewPCG(1, rapid.Uint64().Draw(t, "seed")))
			for range rapid.IntRange(20, 90).Draw(t, "notes") {
				key := 60 + uint8(scale[random.IntN(len(scale))])
				events = append(events, on(tick, key), off(tick+200, key))
				tick += 480
			}
		}
		review, err := analyse.New(analyse.Setup{})
		require.NoError(t, err)
		said := all(review, tick, events...)

		live, err := analyse.New(analyse.Setup{})
		require.NoError(t, err)
		var got []analyse.Finding
		for _, e := range events {
			for now := e.Tick - 400; now < e.Tick; now += rapid.Int64Range(1, 300).Draw(t, "step") {
				got = append(got, live.AdvanceTo(now)...)
			}
			got = append(got, live.Add(e)...)
		}
		got = append(got, live.Finish(tick)...)
		require.Equal(t, said, got)
		require.Equal(t, review.Summary(), live.Summary())
		require.Equal(t, review.Snapshot(), live.Snapshot())

		heard := review.Summary().HeardCentres
		for _, f := range said {
			if f.Stage != analyse.Heard {
				continue
			}
			centre := ""
			for _, c := range heard {
				if c.From <= f.N {
					centre = c.Centre
				}
			}
			require.Equal(t, centre, f.Centre, "note %d of %v", f.N, heard)
			require.Equal(t, centre == "", f.Place == song.NoPlace)
		}
	})
}

// A line in one key for long enough is heard in that key, spelled as players
// write it (common practice: Db and Gb major, but C# and F# minor).
func TestEveryCentreIsHeard(t *testing.T) {
	names := map[harmony.ScaleKind][]string{
		harmony.MajorSixth: {"C major", "Db major", "D major", "Eb major", "E major", "F major", "Gb major", "G major", "Ab major", "A major", "Bb major", "B major"},
		harmony.MinorSixth: {"C minor", "C# minor", "D minor", "Eb minor", "E minor", "F minor", "F# minor", "G minor", "Ab minor", "A minor", "Bb minor", "B minor"},
	}
	for kind, want := range names {
		for class := range tone.Class(12) {
			a := analyser(t, analyse.Setup{})
			var tick int64
			for i := range 40 {
				key := 60 + uint8(harmony.NewScale(kind, class.Name()).Set().Classes()[i%8])
				a.Add(on(tick, key))
				a.Add(off(tick+300, key))
				tick += 480
			}
			a.Finish(tick)
			heard := a.Summary().HeardCentres
			require.Len(t, heard, 1)
			require.Equal(t, want[class], heard[0].Centre)
			require.Equal(t, want[class], a.Snapshot().Centre)
		}
	}
}

// Where a centre is given none is heard.
func TestAGivenCentreStands(t *testing.T) {
	a := analyser(t, analyse.Setup{Centre: centre(t, "C", changes.Major)})
	events := steady(200)
	all(a, events[len(events)-1].Tick, events...)
	require.Empty(t, a.Summary().HeardCentres)
}

func TestVoicingsThatCannotBeUsed(t *testing.T) {
	for _, c := range []struct {
		places []int
		want   string
	}{
		{[]int{0, 2}, "a voicing of 2 tones: expected 3 to 8"},
		{[]int{0, 2, 8}, "tone 3 of the voicing is on place 8 of the scale: expected 0 to 7"},
		{[]int{0, 2, -1}, "tone 3 of the voicing is on place -1 of the scale: expected 0 to 7"},
		{[]int{0, 2, 4, 2}, "tone 4 of the voicing, on place 2 of the scale, stands in it already"},
	} {
		_, err := analyse.New(analyse.Setup{Voicing: c.places})
		require.EqualError(t, err, c.want)
	}
	_, err := analyse.New(analyse.Setup{Voicing: []int{0, 2, 4}})
	require.NoError(t, err)
}

// One note in free playing, where a centre is listened for.
func BenchmarkJudgeNoteFree(b *testing.B) {
	a := analyser(b, analyse.Setup{})
	events := steady(4096)
	length := events[len(events)-1].Tick + 1000
	var base int64
	next := 0
	b.ReportAllocs()
	for b.Loop() {
		for range 2 {
			e := events[next]
			e.Tick += base
			a.Add(e)
			if next++; next == len(events) {
				next, base = 0, base+length
			}
		}
	}
}

// Chords that move through a scale tell it as a line does: each of their tones
// counts, and a chord is one of the 32. Four bars are over with the seventeenth.
func TestBlockChordsTellTheirCentre(t *testing.T) {
	a := analyser(t, analyse.Setup{})
	scale := harmony.NewScale(harmony.MajorSixth, tone.Class(0).Name()).Tones()
	var tick int64
	for step := range 40 {
		for _, place := range []int{0, 2, 4, 6} {
			key := uint8(60 + scale[(step+place)%8].Class())
			a.Add(on(tick, key))
		}
		tick += 960
		a.Add(analyse.Event{Tick: tick - 100, Kind: analyse.Release, Value: int64(analyse.Overflowed)})
	}
	a.Finish(tick)
	require.Equal(t, []analyse.HeardCentre{{Centre: "C major", From: 68}}, a.Summary().HeardCentres)
	require.Equal(t, 16, a.Snapshot().Fit.Notes, "four bars of a chord a beat")
}
