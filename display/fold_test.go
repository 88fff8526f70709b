package display

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func TestFold(t *testing.T) {
	for _, test := range []struct{ text, want string }{
		{"", ""},
		{"a line that fits\n", "a line that fits\n"},
		{"one two three four five", "one two three four\nfive"},
		{"  one two three four five", "  one two three four\n  five"},
		{"ab  one two three four five", "ab  one two three\n    four five"},
		{"a long heading  one two three", "a long heading\n  one two three"},
		{"        uninterrupted words", "       uninterrupted\n        words"},
		{"abc uninterrupteduninterrupted", "abc\nuninterrupteduninterrupted"},
	} {
		require.Equal(t, test.want, Fold(test.text, 20), test.text)
	}
}

// A page that was folded by hand is joined before it is folded anew: what stands below
// a column, and prose that filled its row. A table, a chart and a short row stay.
func TestFoldPage(t *testing.T) {
	page := `What counts
    Only a note that stays unresolved counts as a slip. An outside note that
    resolves is vocabulary.
    2. a take that is reviewed or played back, in all that it holds, and what
       it was played over
    key: Bb    decides the
               spelling

    | Bb6 G7b9 | Cm7 F7 | Dm7 . . G7 | Cm7 F7 | Bb6 G7b9 | Cm7 F7 | Dm7 . . |
    | Bb6 |
`
	require.Equal(t, page, FoldPage(page, 80))
	require.Equal(t, `What counts
    Only a note that stays unresolved
    counts as a slip. An outside note
    that resolves is vocabulary.
    2. a take that is reviewed or played
    back, in all that it holds, and what
    it was played over
    key: Bb    decides the spelling

    | Bb6 G7b9 | Cm7 F7 | Dm7 . . G7 |
    Cm7 F7 | Bb6 G7b9 | Cm7 F7 | Dm7 . .
    |
    | Bb6 |
`, FoldPage(page, 40))
}

// On a narrow page what is told on several rows is one, is broken between what it lists,
// and what is broken off is set in.
func TestNarrowed(t *testing.T) {
	require.Equal(t, []string{"on the chord 18,", "  in the scale 3,", "  slips 2"},
		narrowed([]string{"on the chord 18, in the scale 3,", "              slips 2"}, 18))
	require.Equal(t, []string{"a list: one thing", "  that is too", "  long, two"},
		narrowed([]string{"a list: one thing that is too long, two"}, 18))
}

// Folding loses no word, changes nothing that fits, and leaves no line too wide but
// for a word that is by itself.
func TestFoldKeepsEveryWord(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringMatching(` {0,30}([a-z♭]{1,50} {1,3}){0,6}`).Draw(t, "text")
		cells := rapid.IntRange(LeastWidth, pageWidth).Draw(t, "cells")
		got := Fold(text, cells)
		require.Equal(t, strings.Fields(text), strings.Fields(got))
		for line := range strings.SplitSeq(got, "\n") {
			if strings.Contains(strings.TrimSpace(line), " ") {
				require.LessOrEqual(t, width(strings.TrimRight(line, " ")), cells)
			}
		}
		require.Equal(t, got, Fold(got, cells), "folded once is folded")
	})
}

// Plain lines keep to the width of a page: a note's columns stand closer and, where
// there is no room, below it; sentences are folded, but for a path.
func TestNarrowLines(t *testing.T) {
	path := strings.Repeat("takes/", 15) + "a.mid"
	for cells, want := range map[int]string{
		80: `    1.743    1.1.01  (A4)     six        3    F6         F6 dim
    1.743            A4       held against the chord: its third is B♭
-- no sound: the audio device is gone
-- the take had gone and is written anew: ` + path + "\n",
		60: `    1.743   1.1.01 (A4)    six       3   F6        F6 dim
    1.743          A4
                   held against the chord: its third is B♭
-- no sound: the audio device is gone
-- the take had gone and is written anew: ` + path + "\n",
		40: `    1.743   1.1.01 (A4)    six       3
                   F6        F6 dim
    1.743          A4
                   held against the
                   chord: its third is
                   B♭
-- no sound: the audio device is gone
-- the take had gone and is written
   anew: ` + path + "\n",
	} {
		var out strings.Builder
		l := NewLines(&out, Options{Width: cells})
		require.NoError(t, l.columns("    1.743", "  1.1.01", "(A4)   ", "six      ", "3  ", "F6       ", "F6 dim"))
		require.NoError(t, l.columns("    1.743", "        ", "A4     ", "held against the chord: its third is B♭"))
		require.NoError(t, l.say("no sound: the audio device is gone"))
		require.NoError(t, l.say("the take had gone and is written anew: "+path))
		require.Equal(t, want, out.String(), cells)
	}
}
