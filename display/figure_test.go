package display

import (
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/fate"
	"shedlight/analyse/figure"
	"shedlight/analyse/harmony"
	"shedlight/analyse/phrase"
	"shedlight/analyse/song"
	"shedlight/analyse/tone"
)

// A figure is said in the same words live and in the review, at written pitch.
func TestFigureWords(t *testing.T) {
	arpeggio := func(chords ...string) figure.Figure {
		return figure.Figure{Kind: figure.Arpeggio, Up: true, Notes: 4, Start: "F", Half: song.Dim, Chords: chords, Tones: 4, Of: 4}
	}
	three := arpeggio("Fm7", "Dm7b5")
	three.Notes, three.Tones = 5, 3
	run := figure.Figure{Kind: figure.Run, Notes: 6, Start: "A", Half: song.Home}
	for _, c := range []struct {
		figure    figure.Figure
		options   Options
		text, all string
	}{
		{arpeggio("Dm7b5"), Options{}, "arpeggio of Dm7♭5 up", "arpeggio of Dm7♭5 up from F"},
		{arpeggio("Dm7b5"), Options{ASCII: true, Written: tone.InBFlat}, "arpeggio of Em7b5 up", "arpeggio of Em7b5 up from G"},
		{arpeggio("E F G A"), Options{Written: tone.InBFlat}, "arpeggio of F♯ G A B up", "arpeggio of F♯ G A B up from G"},
		{arpeggio("C6", "Cmaj7"), Options{}, "arpeggio of C6 or Cmaj7 up", "arpeggio of C6 or Cmaj7 up from F"},
		{three, Options{}, "arpeggio of Fm7 or Dm7♭5 up, 3 of 4 tones", "arpeggio of Fm7 or Dm7♭5 up from F, 3 of 4 tones"},
		{run, Options{}, "run of 6 down", "run of 6 down from the six half"},
	} {
		sp, told := newSpeller(c.options), c.figure.OfPhrase()
		require.Equal(t, c.text, sp.figure(&told))
		require.Equal(t, c.all, sp.figureFrom(&c.figure, harmony.MajorSixth))
	}
}

// A chord struck in a phrase is named; one without a name is told by its notes.
func TestStruckInAPhrase(t *testing.T) {
	sp := newSpeller(Options{Written: tone.InBFlat})
	require.Equal(t, "chord Cm7♭5", sp.figure(&figure.OfPhrase{Kind: figure.StruckChord, Chords: []string{"Bbm7b5"}}))
	require.Equal(t, "chord F♯ G A", sp.figure(&figure.OfPhrase{Kind: figure.StruckChord, Chords: []string{"E F G"}}))
}

// What ended last is told, be it a run or an arpeggio; and nothing where there
// was neither.
func TestJustPlayed(t *testing.T) {
	sp := newSpeller(Options{})
	run := figure.Figure{Kind: figure.Run, Up: true, Notes: 5, Half: song.Dim, End: 20}
	chord := figure.Figure{Kind: figure.Arpeggio, Notes: 3, Start: "A", Chords: []string{"F6"}, End: 10}
	require.Equal(t, "run of 5 up from the dim half", sp.justPlayed(&analyse.Snapshot{Outlined: chord, Run: run, Arpeggio: chord}))
	chord.End = 30
	require.Equal(t, "arpeggio of F6 down from A", sp.justPlayed(&analyse.Snapshot{Outlined: chord, Run: run}))
	require.Equal(t, "arpeggio of F6 down from A", sp.justPlayed(&analyse.Snapshot{Run: run, Arpeggio: chord}))
	require.Empty(t, sp.justPlayed(&analyse.Snapshot{}))
}

// A quiet screen keeps what is found out about any note while a phrase is played
// until that is over; the note heard last stays large only in the rest.
func TestQuietUntilThePhraseIsOver(t *testing.T) {
	f := quiet()
	slip := &f.Snapshot.Page.Notes[13]
	require.Equal(t, fate.Unresolved, slip.Fate)
	said := func() string {
		note, word, _ := lastWord(&f, speller{})
		return note + word
	}
	require.False(t, f.slipped(slip))
	require.Empty(t, said())

	slip.SettledIn = f.Snapshot.Phrase.Number // found out in the one before
	require.True(t, f.slipped(slip))
	require.Empty(t, said())

	f = quietRest()
	slip = &f.Snapshot.Page.Notes[13]
	require.True(t, f.slipped(slip))
	require.Equal(t, "(A)dim", said())
	next := dim("C", 60)
	next.N, next.Tick = f.Snapshot.Phrase.Last+1, 13*beat
	f.Snapshot.Page.Notes = append(f.Snapshot.Page.Notes, next)
	require.Equal(t, "(A)dim", said(), "a note whose phrase has not begun changes nothing")

	f.Snapshot.Phrase = phrase.Phrase{}
	require.Empty(t, said(), "nothing before the first phrase is over")
	f.Status.Quiet = false
	require.Equal(t, "Cdim", said())
}
