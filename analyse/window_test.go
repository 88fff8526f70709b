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
	"shedlight/analyse/tone"
)

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
}
