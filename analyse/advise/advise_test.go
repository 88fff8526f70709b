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

var withBeat = feel.Report{Counted: true, WithBeat: true}

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
		s := &analyse.Summary{Feel: withBeat, OnBeat: []feel.OnBeat{{ChordKind: "minor", Scored: scored, ChordTone: 2}}}
		require.Len(t, advise.Candidates(s), want, "%d scored", scored)
	}
	for tones, want := range map[int64]int{9: 1, 10: 0} {
		s := &analyse.Summary{Feel: withBeat, OnBeat: []feel.OnBeat{{ChordKind: "minor", Scored: 40, ChordTone: tones}}}
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

// The same suggestion is not made every day: after two takes in which nothing
// changed it rests for four, and another is made.
func TestASuggestionGivesWay(t *testing.T) {
	play := func(slips int64) *analyse.Summary {
		s := take(slips, 20)
		s.Family = chordsOf("F6", 9, 0, 0, 0, 5)
		return s
	}
	var past []advise.Shown
	next := func(slips int64) []string {
		chosen := advise.Choose(advise.Candidates(play(slips)), past)
		past = append(past, advise.Shown{Suggested: chosen})
		return subjects(chosen)
	}
	first := []string{"unresolved C70", "untouched F62"}
	require.Equal(t, first, next(10))
	require.Equal(t, first, next(10))
	for range 4 {
		require.NotContains(t, next(10), "unresolved C70", "it rests")
	}
	require.Contains(t, next(10), "unresolved C70", "and comes back")
	require.Equal(t, "untouched F63", subjects(past[2].Suggested)[0], "another chord of the family takes its turn")
}

// A suggestion that helps stays; the boundary is three quarters of the share.
func TestASuggestionWithEffectStays(t *testing.T) {
	shown := func(slips int64) []advise.Suggestion { return advise.Choose(advise.Candidates(take(slips, 40)), nil) }
	past := []advise.Shown{{Suggested: shown(20)}, {Suggested: shown(18)}}
	require.NotEmpty(t, advise.Choose(advise.Candidates(take(15, 40)), past), "15 of 40 are three quarters of 20")
	require.Empty(t, advise.Choose(advise.Candidates(take(16, 40)), past), "16 of 40 are not")
}

func TestAtMostThreeAndOneOfAFamily(t *testing.T) {
	s := take(9, 20)
	for bar := 20; bar < 30; bar++ {
		s.ChordsDetail = append(s.ChordsDetail, analyse.ChordCount{Bar: bar, ToBar: bar, Symbol: "G7", Tally: analyse.Tally{Notes: 10, Unresolved: 4}})
	}
	s.Family = chordsOf("F6", 20, 0, 0, 0, 0, 0)
	chosen := advise.Choose(advise.Candidates(s), nil)
	require.Equal(t, []string{"unresolved C70", "untouched F62", "unresolved G70"}, subjects(chosen))
}
