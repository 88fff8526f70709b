package harmony_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse/harmony"
	"shedlight/analyse/tone"
)

// The scales that method books give for each kind of chord (common practice, no
// source), first without a key, then in one.
func TestSevenTones(t *testing.T) {
	cMajor, gMinor := set(t, "C D E F G A B"), set(t, "G A Bb C D Eb F")
	for _, c := range []struct {
		symbol string
		key    tone.Set
		want   string
	}{
		{"Cmaj7", 0, "C D E F G A B"},
		{"C6", 0, "C D E F G A B"},
		{"C", 0, "C D E F G A B"},
		{"Cmaj7#11", 0, "C D E F# G A B"},
		{"Cmaj7#5", 0, "C D E F# G# A B"},
		{"Cm7", 0, "C D Eb F G A Bb"},
		{"Cm6", 0, "C D Eb F G A B"},
		{"Cm(maj7)", 0, "C D Eb F G A B"},
		{"Cm7b5", 0, "C Db Eb F Gb Ab Bb"},
		{"Cm9b5", 0, "C D Eb F Gb Ab Bb"},
		{"C7", 0, "C D E F G A Bb"},
		{"C7sus4", 0, "C D E F G A Bb"},
		{"C7#11", 0, "C D E F# G A Bb"},
		{"C7b9", 0, "C Db E F G Ab Bb"},
		{"C13b9", 0, "C Db E F G A Bb"},
		{"C7b13", 0, "C D E F G Ab Bb"},
		{"C7alt", 0, "C Db Eb E Gb Ab Bb"},
		{"Cdim7", 0, ""},
		{"C9#5", 0, ""},
		{"Fmaj7", cMajor, "F G A B C D E"},
		{"Em7", cMajor, "E F G A B C D"},
		{"A7", cMajor, "A B C# D E F# G"},
		{"Am7b5", gMinor, "A Bb C D Eb F G"},
		{"D7b9", gMinor, "D Eb F# G A Bb C"},
	} {
		symbol, err := harmony.ParseSymbol(c.symbol)
		require.NoError(t, err)
		want := tone.Set(0)
		if c.want != "" {
			want = set(t, c.want)
		}
		require.Equal(t, want, symbol.Chord.SevenTones(c.key), "%s: %v", c.symbol, symbol.Chord.SevenTones(c.key))
	}
}
