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
		{"        uninterrupted words", "    uninterrupted\n    words"},
		{"abc uninterrupteduninterrupted", "abc\nuninterrupteduninterrupted"},
	} {
		require.Equal(t, test.want, Fold(test.text, 20), test.text)
	}
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
