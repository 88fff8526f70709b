package advise_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/advise"
	"shedlight/analyse/feel"
	"shedlight/analyse/song"
)

// after is what the takes before showed, one take each.
func after(suggested ...[]advise.Suggestion) (past []advise.Shown) {
	for _, s := range suggested {
		past = append(past, advise.Shown{Suggested: s})
	}
	return past
}

// A suggestion is met when its player went there again and it is gone.
func TestMet(t *testing.T) {
	shown := advise.Choose(advise.Candidates(take(10, 20)), nil, nil)
	require.Len(t, shown, 1)
	met := advise.WereMet(after(shown), take(1, 20))
	require.Len(t, met, 1)
	require.Equal(t, int64(10), met[0].Then.Part)
	require.Equal(t, int64(1), met[0].Now.Part)
	require.Empty(t, advise.WereMet(after(shown), take(6, 20)), "six are more than half of ten")
	require.Len(t, advise.WereMet(after(shown), take(5, 20)), 1, "five are half")
	require.Empty(t, advise.WereMet(after(shown), take(1, 9)), "hardly gone there again")
	require.Len(t, advise.WereMet(after(shown), take(1, 10)), 1, "half as many notes will do")
	require.Empty(t, advise.WereMet(after(shown), &analyse.Summary{}), "another tune")

	family := &analyse.Summary{Family: chordsOf("F6", 9, 0)}
	untouched := advise.Choose(advise.Candidates(family), nil, nil)
	require.Len(t, untouched, 1)
	require.Empty(t, advise.WereMet(after(untouched), family))
	require.Len(t, advise.WereMet(after(untouched), &analyse.Summary{Family: chordsOf("F6", 9, 1)}), 1)
}

// in is a take of so many choruses.
func in(choruses int, s *analyse.Summary) *analyse.Summary {
	s.Choruses = choruses
	return s
}

func shownWith(s *analyse.Summary) []advise.Suggestion {
	return advise.Choose(advise.Candidates(s), nil, nil)
}

// How often its player went there again is counted by chorus where there were
// fewer of them. No slip at all is enough with three notes, as many as could
// have slipped.
func TestHowManyNotesMeetASuggestion(t *testing.T) {
	fourChoruses := after(shownWith(in(4, take(7, 32))))
	for _, test := range []struct {
		name              string
		choruses          int
		unresolved, notes int64
		met               bool
	}{
		{"one chorus, half as many notes a chorus", 1, 0, 4, true},
		{"two slips of nineteen are half the share", 4, 2, 19, true},
		{"two slips of eighteen are more", 4, 2, 18, false},
		{"one slip of eight in half as many choruses is more", 2, 1, 8, false},
		{"one slip of ten", 2, 1, 10, true},
		{"more choruses ask for no more notes", 8, 1, 16, true},
		{"one slip of fifteen in as many", 4, 1, 15, false},
		{"three notes and no slip", 4, 0, 3, true},
		{"two notes and no slip", 4, 0, 2, false},
		{"it was not played", 4, 0, 0, false},
	} {
		met := advise.WereMet(fourChoruses, in(test.choruses, take(test.unresolved, test.notes)))
		require.Equal(t, test.met, len(met) == 1, test.name)
	}
}

// A suggestion that rests can be met, and is told as met once.
func TestMetWhileItRests(t *testing.T) {
	slips := take(10, 20)
	shown := shownWith(slips)
	past := after(shown, shown, nil, nil)
	met := advise.WereMet(past, take(0, 20))
	require.Len(t, met, 1)
	require.Equal(t, shown[0], met[0].Then)

	past = append(past, advise.Shown{Met: met})
	require.Empty(t, advise.WereMet(past, take(0, 20)), "told before")
	past = append(past, advise.Shown{Suggested: shown})
	require.Len(t, advise.WereMet(past, take(0, 20)), 1, "the slips came back and went again")
}

// The numbers of then are those that were shown last.
func TestMetAgainstTheLastShown(t *testing.T) {
	past := after(shownWith(take(10, 20)), shownWith(take(6, 20)))
	met := advise.WereMet(past, take(1, 20))
	require.Len(t, met, 1)
	require.Equal(t, int64(6), met[0].Then.Part)
}

// What is wider can be met too, and so can a family, once clearly more of it is
// played.
func TestMetOverMoreThanAPlace(t *testing.T) {
	past := after([]advise.Suggestion{
		{Subject: advise.Subject{Kind: advise.Unresolved, Chord: "C7"}, Part: 9, Whole: 64, Choruses: 2},
		{Subject: advise.Subject{Kind: advise.Unresolved, ChordKind: "dominant"}, Part: 11, Whole: 96, Choruses: 2},
	})
	mended := chorus(over(2, "C7", "dominant", 1, 32), over(3, "C7", "dominant", 0, 32), over(4, "G7", "dominant", 5, 32))
	require.Len(t, advise.WereMet(past, mended), 1, "C7, and not the dominants: G7 is left")

	family := func(times ...int64) *analyse.Summary {
		s := chorus(over(1, "F6", "major", 0, 60))
		s.Family = chordsOf("Fmaj7", times...)
		return s
	}
	past = after(shownWith(family(2, 1, 0, 0, 0, 0, 0, 0)))
	require.Len(t, past[0].Suggested, 1)
	require.Empty(t, advise.WereMet(past, family(4, 3, 1, 0, 0, 0, 0, 0)), "five of six are left")
	require.Empty(t, advise.WereMet(past, family(4, 2, 1, 1, 0, 0, 0, 0)), "four of six are left")
	require.Len(t, advise.WereMet(past, family(4, 2, 1, 1, 1, 0, 0, 0)), 1, "three of six are left")
}

// Where the line does not keep to the beat nothing on it was met.
func TestTheBeatIsNotMetBesideIt(t *testing.T) {
	play := func(withBeat bool, tones int64) *analyse.Summary {
		s := chorus(over(2, "C7", "dominant", 0, 32))
		s.OnBeat = []feel.OnBeat{{View: song.KeyView, ChordKind: "dominant", Scored: 40, ChordTone: tones}}
		s.Feel.WithBeat = withBeat
		return s
	}
	past := after(shownWith(play(true, 4)))
	require.Empty(t, advise.WereMet(past, play(true, 21)), "19 of 40 others are more than half of 36")
	require.Len(t, advise.WereMet(past, play(true, 22)), 1)
	require.Empty(t, advise.WereMet(past, play(false, 22)))
}
