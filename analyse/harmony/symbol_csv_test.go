package harmony_test

import (
	"encoding/csv"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/analyse/harmony"
	"shedlight/analyse/tone"
)

// pcs reads a list of pitch classes as the tables write it: "0 4 7".
func pcs(t *testing.T, text string) tone.Set {
	t.Helper()
	var s tone.Set
	for _, f := range strings.Fields(text) {
		n, err := strconv.Atoi(f)
		require.NoError(t, err)
		s |= tone.SetOf(tone.ClassOf(n))
	}
	return s
}

// upper returns the pitch classes of a chord without a foreign bass.
func upper(c harmony.Chord) tone.Set {
	c.Bass = c.Root
	return c.Set()
}

// Check values: testdata/theory/chord_symbols.csv, common practice.
func TestSymbolsOfTheTable(t *testing.T) {
	file, err := os.Open("../../testdata/theory/chord_symbols.csv")
	require.NoError(t, err)
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	require.NoError(t, err)
	require.Equal(t, 1+165, len(rows), "rows, with the heading")
	for _, row := range rows[1:] {
		symbol, root, bass, want, wantAll, other := row[0], row[1], row[2], row[3], row[4], row[5]
		t.Run(symbol, func(t *testing.T) {
			got, err := harmony.ParseSymbol(symbol)
			switch {
			case strings.HasPrefix(symbol, "N.C"):
				require.NoError(t, err)
				assert.True(t, got.Chord.None())
				return
			case want == "":
				assert.Error(t, err, "not a chord")
				return
			}
			require.NoError(t, err)
			assert.Equal(t, root, got.Chord.Root.String(), "root")
			assert.Equal(t, pcs(t, want), upper(got.Chord), "tones")
			assert.Equal(t, pcs(t, wantAll), got.Chord.Set(), "tones with the bass")
			if bass == "" {
				bass = root
			}
			assert.Equal(t, bass, got.Chord.Bass.String(), "bass")
			if other == "" {
				return
			}
			var offered []tone.Set
			for _, o := range got.Others {
				offered = append(offered, upper(o))
			}
			assert.Contains(t, offered, pcs(t, other), "the other reading")
		})
	}
}
