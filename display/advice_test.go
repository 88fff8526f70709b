package display

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse/advise"
	"shedlight/analyse/harmony"
	"shedlight/analyse/tone"
)

// suggested is what a player is told who played the same before.
func suggested(o *Outcome) []advise.Suggestion {
	candidates := advise.Candidates(&o.Summary)
	return advise.Choose(candidates, nil, []advise.Shown{{Noticed: advise.Noticed(candidates)}})
}

// Each kind of suggestion says what to play, as it stands, and what it comes from.
func TestSuggestions(t *testing.T) {
	sp := newSpeller(Options{ASCII: true})
	for _, test := range []struct {
		want string
		of   advise.Suggestion
	}{
		{"Bars 9-12, bass only: play just the roots and thirds, two choruses at 100 (one bar behind in 2 of 3 choruses)", advise.Suggestion{
			Subject: advise.Subject{Kind: advise.Elsewhere, Bar: 9, ToBar: 12, Move: -1}, Part: 2, Whole: 3,
			Play: advise.Exercise{Bar: 9, ToBar: 12, Tempo: 100, Times: 2},
		}},
		{"The whole tune, bass only: play just the roots and thirds, two choruses (half a bar ahead)", advise.Suggestion{
			Subject: advise.Subject{Kind: advise.Elsewhere, Move: 0.5}, Part: 1, Whole: 1, Play: advise.Exercise{Times: 2},
		}},
		{"Bar 2, F7: A C Eb G down, from beat 1, four choruses at 100 (14 of 20 notes a half step high)", advise.Suggestion{
			Subject: advise.Subject{Kind: advise.HalfStep, Bar: 2, ToBar: 2, Chord: "F7", HalfStep: -1}, Part: 14, Whole: 20,
			Play: advise.Exercise{Bar: 2, ToBar: 2, Chord: "F7", Notes: []string{"A", "C", "Eb", "G"}, Tempo: 100, Times: 4},
		}},
		{"Bars 5-8: only chord tones, down from beat 1, as A C Eb G over F7, four choruses at 100 (a half step low in 3 of 3 choruses)", advise.Suggestion{
			Subject: advise.Subject{Kind: advise.HalfStep, Bar: 5, ToBar: 8, HalfStep: 1}, Part: 3, Whole: 3,
			Play: advise.Exercise{Bar: 5, ToBar: 8, Chord: "F7", Notes: []string{"A", "C", "Eb", "G"}, Tempo: 100, Times: 4},
		}},
		{"First check the key: an instrument that transposes wants the chart moved up a fourth (--key) (a fourth high)", advise.Suggestion{
			Subject: advise.Subject{Kind: advise.HalfStep, HalfStep: -5}, Part: 1, Whole: 1,
		}},
		{"A7, bar 6: E G Bb C# up into D on 1, four choruses at 100 (4 slips in 20 notes)", advise.Suggestion{
			Subject: advise.Subject{Kind: advise.Unresolved, Bar: 6, ToBar: 6, Chord: "A7"}, Part: 4, Whole: 20,
			Play: advise.Exercise{Bar: 6, ToBar: 6, Chord: "A7", Notes: []string{"E", "G", "Bb", "C#"}, Then: []string{"D"}, Tempo: 100, Times: 4},
		}},
		{"Dm7, bar 3: D F A C up, then B on 1, four choruses at 100 (4 slips in 20 notes)", advise.Suggestion{
			Subject: advise.Subject{Kind: advise.Unresolved, Bar: 3, ToBar: 3, Chord: "Dm7"}, Part: 4, Whole: 20,
			Play: advise.Exercise{Bar: 3, ToBar: 3, Chord: "Dm7", Notes: []string{"D", "F", "A", "C"}, Then: []string{"B"}, Tempo: 100, Times: 4},
		}},
		{"A7, bar 6: E G Bb C# up into D on 1, four choruses (5 slips in 60 notes over dominant chords, bars 2, 4, 6)", advise.Suggestion{
			Subject: advise.Subject{Kind: advise.Unresolved, ChordKind: "dominant"}, Part: 5, Whole: 60, Bars: []int{2, 4, 6},
			Play: advise.Exercise{Bar: 6, ToBar: 6, Chord: "A7", Notes: []string{"E", "G", "Bb", "C#"}, Then: []string{"D"}, Times: 4},
		}},
		{"Over C minor: C D Eb F G Ab A B, up and down, four times (5 slips in 60 notes)", advise.Suggestion{
			Subject: advise.Subject{Kind: advise.Unresolved, Centre: "C minor"}, Part: 5, Whole: 60,
			Play: advise.Exercise{Notes: []string{"C", "D", "Eb", "F", "G", "Ab", "A", "B"}, Times: 4},
		}},
		{"End four phrases over C6 with F-E or Ab-G at 100 (left hanging over major chords 5 times in 15 phrases)", advise.Suggestion{
			Subject: advise.Subject{Kind: advise.Hanging, ChordKind: "major"}, Part: 5, Whole: 15,
			Play: advise.Exercise{Chord: "C6", Notes: []string{"F", "Ab"}, Then: []string{"E", "G"}, Tempo: 100, Times: 4},
		}},
		{"G7 in bars 4, 8: B D F Ab, B on the beat, four choruses at 100 (3 of 20 on the beat are chord tones over dominant chords)", advise.Suggestion{
			Subject: advise.Subject{Kind: advise.OnBeat, ChordKind: "dominant"}, Part: 17, Whole: 20, Bars: []int{4, 8},
			Play: advise.Exercise{Chord: "G7", Notes: []string{"B", "D", "F", "Ab"}, Tempo: 100, Times: 4},
		}},
		{"Over C6: C E G A, C on the beat, four times (3 of 20 on the beat are chord tones over major chords)", advise.Suggestion{
			Subject: advise.Subject{Kind: advise.OnBeat, ChordKind: "major"}, Part: 17, Whole: 20,
			Play: advise.Exercise{Chord: "C6", Notes: []string{"C", "E", "G", "A"}, Times: 4},
		}},
		{"Bar 4 to 5: cross by step into the 3rd, as F-E, eight times at 100, then a chorus (dominant to major: 5 of 6 changes by a leap)", advise.Suggestion{
			Subject: advise.Subject{Kind: advise.Crossing, ChordKind: "dominant", ToKind: "major"}, Part: 5, Whole: 6,
			Play: advise.Exercise{Bar: 4, ToBar: 5, Chord: "G7", Next: "C6", Notes: []string{"F"}, Then: []string{"E"}, Tempo: 100, Times: 8},
		}},
		{"Two bars playing, two resting, three choruses at 100 (rests 4 %, a phrase lasts 9 bars)", advise.Suggestion{
			Subject: advise.Subject{Kind: advise.Rests}, Part: 46, Whole: 5, Rest: 4, Play: advise.Exercise{Tempo: 100, Times: 3},
		}},
		{"D F Ab C, then C E G B, over bars 1-2, from beat 1, four choruses at 120 (Dm7b5 never, the rest of its family 24 times)", advise.Suggestion{
			Subject: advise.Subject{Kind: advise.Untouched, Family: "Cmaj7", Step: 2, Name: "Dm7b5"}, Part: 24, Whole: 24,
			Play: advise.Exercise{Bar: 1, ToBar: 2, Notes: []string{"D", "F", "Ab", "C"}, Then: []string{"C", "E", "G", "B"}, Tempo: 120, Times: 4},
		}},
		{"Fb G Bb Eb, then Ab C Eb G, from beat 1, four choruses (that chord never, the rest of its family 23 times)", advise.Suggestion{
			Subject: advise.Subject{Kind: advise.Untouched, Family: "Abmaj7", Step: 6, Name: "Edim(maj7)"}, Part: 23, Whole: 23, // its tones say Fb
			Play: advise.Exercise{Notes: []string{"Fb", "G", "Bb", "Eb"}, Then: []string{"Ab", "C", "Eb", "G"}, Times: 4},
		}},
		{"C E G B, then D F Ab C, from beat 1, four choruses (3 of the 8 chords of its family played in 4 choruses)", advise.Suggestion{
			Subject: advise.Subject{Kind: advise.Untouched, Family: "Cmaj7"}, Part: 5, Whole: 8, Choruses: 4,
			Play: advise.Exercise{Notes: []string{"C", "E", "G", "B"}, Then: []string{"D", "F", "Ab", "C"}, Times: 4},
		}},
		{"The C6 family, four choruses (none of the 2 chords of its family played)", advise.Suggestion{
			Subject: advise.Subject{Kind: advise.Untouched, Family: "C6"}, Part: 2, Whole: 2, Play: advise.Exercise{Times: 4},
		}},
	} {
		require.Equal(t, test.want, sp.suggestion(&test.of))
	}
}

// What was met is said with the numbers of then and of now.
func TestMetInWords(t *testing.T) {
	sp := newSpeller(Options{ASCII: true})
	for _, test := range []struct {
		of        advise.Subject
		then, now [2]int64
		want      string
	}{
		{advise.Subject{Kind: advise.Unresolved, Bar: 2, ToBar: 2, Chord: "C7"}, [2]int64{7, 32}, [2]int64{0, 30}, "bar 2, over C7, from 7 of 32 to 0 of 30"},
		{advise.Subject{Kind: advise.Unresolved, Chord: "C7"}, [2]int64{7, 32}, [2]int64{0, 30}, "over C7, from 7 of 32 to 0 of 30"},
		{advise.Subject{Kind: advise.Unresolved, ChordKind: "dominant"}, [2]int64{7, 32}, [2]int64{0, 30}, "over dominant chords, from 7 of 32 to 0 of 30"},
		{advise.Subject{Kind: advise.Elsewhere, Bar: 9, ToBar: 16, Move: -1}, [2]int64{3, 3}, [2]int64{0, 3}, "bars 9-16 one bar behind, from 3 of 3 to 0 of 3"},
		{advise.Subject{Kind: advise.HalfStep, Bar: 2, ToBar: 2, Chord: "C7", HalfStep: -1}, [2]int64{7, 32}, [2]int64{0, 30}, "bar 2 a half step high, from 7 of 32 to 0 of 30"},
		{advise.Subject{Kind: advise.Hanging, ChordKind: "major"}, [2]int64{5, 15}, [2]int64{1, 16}, "left hanging over major chords, from 5 of 15 to 1 of 16"},
		{advise.Subject{Kind: advise.OnBeat, ChordKind: "major"}, [2]int64{35, 46}, [2]int64{12, 49}, "other tones on the beat over major chords, from 35 of 46 to 12 of 49"},
		{advise.Subject{Kind: advise.Crossing, ChordKind: "minor", ToKind: "dominant"}, [2]int64{9, 9}, [2]int64{2, 5}, "leaps from minor to dominant, from 9 of 9 to 2 of 5"},
		{advise.Subject{Kind: advise.Untouched, Family: "Ebmaj7"}, [2]int64{7, 8}, [2]int64{2, 8}, "from 1 to 6 of the 8 chords of the Ebmaj7 family"},
		{advise.Subject{Kind: advise.Untouched, Scale: harmony.NewScale(harmony.MajorSixth, tone.Class(5).Name()), Family: "F6", Step: 4}, [2]int64{9, 9}, [2]int64{0, 12}, "the chord on Bb of the F6 family was played"},
	} {
		m := advise.Met{
			Then: advise.Suggestion{Subject: test.of, Part: test.then[0], Whole: test.then[1]},
			Now:  advise.Suggestion{Subject: test.of, Part: test.now[0], Whole: test.now[1]},
		}
		require.Equal(t, []string{test.want}, sp.met([]advise.Met{m}))
	}
	rests := advise.Met{
		Then: advise.Suggestion{Subject: advise.Subject{Kind: advise.Rests}, Rest: 3},
		Now:  advise.Suggestion{Subject: advise.Subject{Kind: advise.Rests}, Rest: 21},
	}
	require.Equal(t, []string{"rests from 3 % to 21 %"}, sp.met([]advise.Met{rests}))
}

// How a suggestion is had as notes is said once, of the first that has any, where the take
// is kept and the page has room.
func TestHowToHaveItAsNotes(t *testing.T) {
	o := Outcome{Kept: true, Suggestions: []advise.Suggestion{
		{Subject: advise.Subject{Kind: advise.Rests}, Part: 46, Whole: 5, Rest: 4, Play: advise.Exercise{Times: 3}},
		{Subject: advise.Subject{Kind: advise.Hanging, ChordKind: "major"}, Part: 5, Whole: 15, Play: advise.Exercise{Chord: "C6", Notes: []string{"F"}, Then: []string{"E"}, Times: 4}},
	}}
	rows := func() string {
		b := nextTime(&o, newSpeller(Options{}))
		return strings.Join(b.rows(pageWidth), "\n")
	}
	const says = "\nas notes: shedlight review TAKE --exercise 2"
	require.True(t, strings.HasSuffix(rows(), says), rows())
	b := []block{nextTime(&o, newSpeller(Options{}))}
	all := len(b[0].rows(pageWidth))
	require.Equal(t, all-1, shorten(b, all-1))
	require.NotContains(t, strings.Join(b[0].rows(pageWidth), "\n"), says)
	require.Equal(t, all-1, shorten(b, 1), "a suggestion is never left out")
	o.Kept = false
	require.NotContains(t, rows(), says)
	o.Kept, o.Suggestions = true, o.Suggestions[:1]
	require.NotContains(t, rows(), "as notes")
}

// Of many bars the first are named, and how many more there are.
func TestBarsInAList(t *testing.T) {
	for want, bars := range map[string][]int{
		"bars 2, 4-6, 9":                    {2, 4, 5, 6, 9},
		"bars 4-6":                          {4, 5, 6},
		"bars 4, 12, 24, 26, 39":            {4, 12, 24, 26, 39},
		"bars 4, 12, 24, 26, 39 and 3 more": {4, 12, 24, 26, 39, 41, 42, 50},
	} {
		require.Equal(t, want, barList(bars))
	}
}
