package harmony_test

import (
	"encoding/csv"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/analyse/harmony"
	"shedlight/analyse/tone"
)

// expectedVoicings is the table of what a player lays: symbol, rootless, shell.
func expectedVoicings(t *testing.T) [][]string {
	t.Helper()
	file, err := os.Open("../../testdata/reference/voicings/common_practice.csv")
	require.NoError(t, err)
	defer file.Close()
	lines := csv.NewReader(file)
	lines.Comment = '#'
	rows, err := lines.ReadAll()
	require.NoError(t, err)
	require.Len(t, rows, 1+35*3, "a heading, then 35 kinds in three keys")
	return rows[1:]
}

// classesOf reads names of tones; the table does not say how they are spelled.
func classesOf(t *testing.T, text string) []tone.Class {
	t.Helper()
	var out []tone.Class
	for word := range strings.FieldsSeq(text) {
		n, err := tone.ParseName(word)
		require.NoError(t, err)
		out = append(out, n.Class())
	}
	return out
}

// laidOut is what a chord's voicing sounds, from the lowest key up.
func laidOut(t *testing.T, symbol string, v harmony.Voicing) []tone.Class {
	t.Helper()
	read, err := harmony.ParseSymbol(symbol)
	require.NoError(t, err)
	keys, err := read.Chord.Voice(v, 0)
	require.NoError(t, err, "%s %s", symbol, v)
	var out []tone.Class
	for i, key := range keys {
		require.True(t, i == 0 || key > keys[i-1] && key-keys[0] < 24)
		out = append(out, tone.ClassOf(int(key)))
	}
	return out
}

// Shells and rootless voicings of every kind of chord against the table that
// was written down first, in both orders (common practice).
func TestShellsAndRootlessVoicingsAsPlayersLayThem(t *testing.T) {
	for _, row := range expectedVoicings(t) {
		symbol, rootless, shell := row[0], classesOf(t, row[1]), classesOf(t, row[2])
		assert.Equal(t, rootless, laidOut(t, symbol, harmony.Rootless), "%s: %s", symbol, row[1])
		from7 := append(rootless[2:len(rootless):len(rootless)], rootless[:2]...)
		assert.Equal(t, from7, laidOut(t, symbol, harmony.RootlessSeventh), "%s: %s", symbol, row[1])
		assert.Equal(t, shell, laidOut(t, symbol, harmony.Shell), "%s: %s", symbol, row[2])
		open := []tone.Class{shell[0], shell[2], shell[1]}
		assert.Equal(t, open, laidOut(t, symbol, harmony.ShellOpen), "%s: %s", symbol, row[2])
	}
}

// Common practice: what a symbol is without its tensions.
func TestAChordsOwnTones(t *testing.T) {
	for symbol, own := range map[string]string{
		"G9": "G7", "G13": "G7", "G7b9": "G7", "G7alt": "G7#5", "G9b5": "G7b5", "G13sus4": "G7sus4", "C6/9": "C6",
		"Cm6/9": "Cm6", "Dm9": "Dm7", "Dm11": "Dm7", "Bbmaj7#11": "Bbmaj7", "Bbmaj9#5": "Bbmaj7#5", "Bm9b5": "Bm7b5",
		"Cm(maj9)": "Cm(maj7)", "C(add9,add11)": "C(add9)", "G13/B": "G7/B", "Dm9/G": "Dm7/G",
		"C": "C", "C6": "C6", "Csus24": "Csus24", "C(add9)": "C(add9)", "Dm7/G": "Dm7/G",
	} {
		read, err := harmony.ParseSymbol(symbol)
		require.NoError(t, err)
		want, err := harmony.ParseSymbol(own)
		require.NoError(t, err)
		assert.Equal(t, want.Chord, read.Chord.Own(), symbol)
	}
}

// Common practice: the guide tone that a line aims for over a change.
func TestThird(t *testing.T) {
	for _, c := range []struct{ root, kind, third string }{
		{"C", "6", "E"}, {"C", "m6", "Eb"}, {"F", "7", "A"}, {"Bb", "m7b5", "Db"}, {"B", "dim7", "D"}, {"G", "7#5", "B"},
		{"G", "7#9", "B"}, {"D", "m11", "F"}, {"G", "7sus4", "C"}, {"G", "13sus4", "C"}, {"Ab", "sus4", "Db"}, {"D", "sus2", "E"},
		{"C", "5", ""},
	} {
		third, ok := chord(t, c.root, c.kind).Third()
		require.Equal(t, c.third != "", ok, "%s%s", c.root, c.kind)
		if ok {
			want, err := tone.ParseName(c.third)
			require.NoError(t, err)
			require.Equal(t, want.Class(), third, "%s%s", c.root, c.kind)
		}
	}
	third, ok := slash(t, "C", "", "E").Third()
	require.True(t, ok)
	require.Equal(t, tone.Class(4), third, "the bass is no root")
	_, ok = harmony.Chord{}.Third()
	require.False(t, ok, "N.C.")
}
