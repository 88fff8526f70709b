package harmony_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"shedlight/analyse/harmony"
)

// Roots and basses as players write them. Common practice; German names by the
// German system.
func TestRootsAndBasses(t *testing.T) {
	for _, c := range []struct{ symbol, root, bass, pcs string }{
		{"Bb", "Bb", "Bb", "10 2 5"},
		{"B♭", "Bb", "Bb", "10 2 5"},
		{"bb", "Bb", "Bb", "10 2 5"},
		{"BB7", "Bb", "Bb", "10 2 5 8"},
		{"EBMAJ7", "Eb", "Eb", "3 7 10 2"},
		{"B flat 7", "Bb", "Bb", "10 2 5 8"},
		{"F sharp m7", "F#", "F#", "6 9 1 4"},
		{"F♯m7", "F#", "F#", "6 9 1 4"},
		{"f#m7", "F#", "F#", "6 9 1 4"},
		{"am7", "A", "A", "9 0 4 7"},
		{"B𝄫7", "Bbb", "Bbb", "9 1 4 7"},
		{"B♭♭7", "Bbb", "Bbb", "9 1 4 7"},
		{"F##dim7", "F##", "F##", "7 10 1 4"},
		{"Fxdim7", "F##", "F##", "7 10 1 4"},
		{"F𝄪7", "F##", "F##", "7 11 2 5"},
		{"Cx", "C", "C", "0 4 7 10"},
		{"Bbb5", "Bb", "Bb", "10 2 4"},
		{"F##5", "F#", "F#", "6 10 2"},
		{"Bb5", "Bb", "Bb", "10 5"},
		{"Eb9", "Eb", "Eb", "3 7 10 1 5"},
		{"Bb-6", "Bb", "Bb", "10 1 5 7"},
		{"Bbsus4", "Bb", "Bb", "10 3 5"},
		{"C♮", "C", "C", "0 4 7"},
		{"C#7#9", "C#", "C#", "1 5 8 11 4"},
		{"H7", "B", "B", "11 3 6 9"},
		{"Hm7b5", "B", "B", "11 2 5 9"},
		{"B7", "B", "B", "11 3 6 9"},
		{"Es7", "Eb", "Eb", "3 7 10 1"},
		{"As7", "Ab", "Ab", "8 0 3 6"},
		{"Esus4", "E", "E", "4 9 11"},
		{"Asus", "A", "A", "9 2 4"},
		{"Assus4", "Ab", "Ab", "8 1 3"},
		{"Fism7", "F#", "F#", "6 9 1 4"},
		{"Des△7", "Db", "Db", "1 5 8 0"},
		{"C/E", "C", "E", "0 4 7"},
		{"C / E", "C", "E", "0 4 7"},
		{"C/e", "C", "E", "0 4 7"},
		{"C∕G", "C", "G", "0 4 7"},
		{"C/B", "C", "B", "0 4 7 11"},
		{"C/b", "C", "B", "0 4 7 11"},
		{"C/bb", "C", "Bb", "0 4 7 10"},
		{"C/H", "C", "B", "0 4 7 11"},
		{"C/B♭", "C", "Bb", "0 4 7 10"},
		{"C(/E)", "C", "E", "0 4 7"},
		{"C6/9/E", "C", "E", "0 2 4 7 9"},
		{"C⁶₉/E", "C", "E", "0 2 4 7 9"},
		{"Cm/maj7/Eb", "C", "Eb", "0 3 7 11"},
		{"C7/6/E", "C", "E", "0 4 7 9 10"},
		{"C7b9/E", "C", "E", "0 1 4 7 10"},
		{"C7/F#", "C", "F#", "0 4 6 7 10"},
		{"Dm7/G", "D", "G", "2 5 7 9 0"},
		{"Gbmaj7/Ab", "Gb", "Ab", "6 8 10 1 5"},
		{"F/G", "F", "G", "5 7 9 0"},
		{"Am7(b5)/Eb", "A", "Eb", "9 0 3 7"},
		{"C7sus4/G", "C", "G", "0 5 7 10"},
		{"C/E(add9)", "C", "E", "0 2 4 7"},
	} {
		got, err := harmony.ParseSymbol(c.symbol)
		if assert.NoError(t, err, c.symbol) {
			assert.Equal(t, c.root, got.Chord.Root.String(), "root of %q", c.symbol)
			assert.Equal(t, c.bass, got.Chord.Bass.String(), "bass of %q", c.symbol)
			assert.Equal(t, pcs(t, c.pcs), got.Chord.Set(), "tones of %q", c.symbol)
		}
	}
}
