package advise_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/advise"
	"shedlight/analyse/feel"
	"shedlight/analyse/figure"
	"shedlight/analyse/harmony"
	"shedlight/analyse/phrase"
	"shedlight/analyse/song"
	"shedlight/analyse/tone"
)

// take is a take of an invented tune with slips over C7 in bars 13 and 14.
func take(unresolved, notes int64) *analyse.Summary {
	return &analyse.Summary{
		Choruses: 6, Notes: 400,
		ChordsDetail: []analyse.ChordCount{
			{Bar: 1, ToBar: 4, Symbol: "F6", Centre: "F major", Tally: analyse.Tally{Notes: 391 - notes, Outside: 20, Unresolved: 1}},
			{Bar: 13, ToBar: 14, Symbol: "C7", ChordKind: "dominant", Centre: "F major", Tally: analyse.Tally{Notes: notes, Outside: unresolved, Unresolved: unresolved}},
		},
		Centres: []analyse.CentreCount{{Centre: "F major", Tally: analyse.Tally{Notes: 400, Outside: 25, Unresolved: unresolved + 1}}},
	}
}

func chordsOf(family string, times ...int64) (rows []figure.FamilyUse) {
	for i, n := range times {
		rows = append(rows, figure.FamilyUse{
			Centre: "F major", Scale: harmony.NewScale(harmony.MajorSixth, tone.Class(5).Name()), Family: family, Step: i + 1, Times: n,
		})
	}
	return rows
}

func ExampleCandidates() {
	s := take(5, 9)
	s.Family = chordsOf("F6", 9, 4, 3, 0, 5, 1, 2, 1)
	s.Feel.WithBeat = true
	s.OnBeat = []feel.OnBeat{{View: song.KeyView, ChordKind: "dominant", Scored: 40, ChordTone: 9}}
	for _, c := range advise.Candidates(s) {
		fmt.Println(c.Kind, c.Bar, c.ToBar, c.Chord, c.ChordKind, c.Step, c.Part, "of", c.Whole)
	}
	// Output:
	// unresolved 13 14 C7  0 5 of 9
	// on-beat 0 0  dominant 0 31 of 40
	// untouched 0 0   4 25 of 25
}

// onMinor is a take over a minor seventh with so many chord tones on the beat.
func onMinor(scored, tones int64) *analyse.Summary {
	return &analyse.Summary{
		Feel: feel.Report{Counted: true, WithBeat: true}, OnBeat: []feel.OnBeat{{ChordKind: "minor", Scored: scored, ChordTone: tones}},
		ChordsDetail: []analyse.ChordCount{{Bar: 1, ToBar: 1, Symbol: "Gm7", ChordKind: "minor", Tally: analyse.Tally{Notes: 100}}},
	}
}

// Both sides of what is worth a suggestion. The bounds are this project's own.
func TestWhatIsWorthASuggestion(t *testing.T) {
	for _, test := range []struct {
		name string
		s    *analyse.Summary
		want int
	}{
		{"three unresolved of thirty", take(3, 30), 1},
		{"three unresolved of thirty-one", take(3, 31), 0},
		{"two unresolved of two", take(2, 2), 0},
		{"everything resolved", take(0, 30), 0},
		{"nothing played", &analyse.Summary{}, 0},
	} {
		require.Len(t, advise.Candidates(test.s), test.want, test.name)
	}
	for scored, want := range map[int64]int{15: 0, 16: 1} {
		s := onMinor(scored, 2)
		require.Len(t, advise.Candidates(s), want, "%d scored", scored)
	}
	for tones, want := range map[int64]int{9: 1, 10: 0} {
		s := onMinor(40, tones)
		require.Len(t, advise.Candidates(s), want, "%d of 40 chord tones", tones)
		s.Feel.WithBeat = false
		require.Empty(t, advise.Candidates(s), "beside the beat")
	}
	for times, want := range map[int64]int{7: 0, 8: 1} {
		s := &analyse.Summary{Family: chordsOf("F6", times, 0)}
		require.Len(t, advise.Candidates(s), want, "%d others", times)
	}
}

func subjects(all []advise.Suggestion) (out []string) {
	for _, s := range all {
		out = append(out, fmt.Sprintf("%s %s%s%d", s.Kind, s.Chord, s.Family, s.Step))
	}
	return out
}

// nights is what the same take is told again and again.
func nights(times int, play func() *analyse.Summary) (told [][]string) {
	var past []advise.Shown
	for range times {
		candidates := advise.Candidates(play())
		chosen := advise.Choose(candidates, nil, past)
		past = append(past, advise.Shown{Suggested: chosen, Noticed: advise.Noticed(candidates)})
		told = append(told, subjects(chosen))
	}
	return told
}

// The same suggestion is not made every day: after two takes it rests for four, and
// another has its turn. What wants two takes is not said after one. With two things to
// say one take's rest is enough for each.
func TestASuggestionGivesWay(t *testing.T) {
	slips, family := []string{"unresolved C70"}, []string{"untouched F62"}
	both := []string{slips[0], family[0]}
	require.Equal(t, [][]string{slips, both, family, slips, both, family, slips, both, family}, nights(9, func() *analyse.Summary {
		s := take(10, 20)
		s.Family = chordsOf("F6", 9, 0, 0, 0, 5)
		return s
	}))
}

// What is said where nothing else is.
func TestBetterThanNothing(t *testing.T) {
	family := []string{"untouched F62"}
	require.Equal(t, [][]string{family, family, nil, family}, nights(4, func() *analyse.Summary {
		return &analyse.Summary{Family: chordsOf("F6", 9, 0, 0, 0, 5)}
	}))
}

// One of a kind speaks, and three at most.
func TestOneOfAKind(t *testing.T) {
	s := take(9, 20)
	for bar := 20; bar < 30; bar++ {
		s.ChordsDetail = append(s.ChordsDetail, analyse.ChordCount{Bar: bar, ToBar: bar, Symbol: "G7", Tally: analyse.Tally{Notes: 10, Unresolved: 4}})
	}
	require.Equal(t, []string{"unresolved C70"}, subjects(advise.Choose(advise.Candidates(s), nil, nil)))

	s.Feel.WithBeat = true
	s.OnBeat = []feel.OnBeat{{ChordKind: "dominant", Scored: 40, ChordTone: 2}}
	s.LeftHanging.Over = []phrase.HangingOver{{Chord: "F6", Name: "Bb", Wants: "A", Times: 3}}
	s.Phrases.Changes = []phrase.Change{{Bar: 13, From: "F6", To: "C7", Times: 6, Leaps: 4}}
	s.ChordsDetail[0].ChordKind = "major"
	require.Equal(t, []string{"unresolved C70", "hanging 0", "on-beat 0"}, subjects(advise.Choose(advise.Candidates(s), nil, nil)))
}

// While the worst place rests no lesser one is told in its stead, but a worse one is.
func TestTheWorstPlaceIsNotDropped(t *testing.T) {
	two := func(here, there int64) []advise.Suggestion {
		s := take(here, 20)
		s.ChordsDetail = append(s.ChordsDetail, analyse.ChordCount{Bar: 20, ToBar: 20, Symbol: "G7", Tally: analyse.Tally{Notes: 20, Unresolved: there}})
		return advise.Candidates(s)
	}
	worst := []advise.Shown{{Suggested: advise.Choose(two(9, 5), nil, nil)}, {Suggested: advise.Choose(two(9, 5), nil, nil)}}
	require.Equal(t, []string{"unresolved C70"}, subjects(worst[1].Suggested))
	require.Empty(t, advise.Choose(two(9, 5), nil, worst))
	require.Equal(t, []string{"unresolved G70"}, subjects(advise.Choose(two(9, 10), nil, worst)))
}
