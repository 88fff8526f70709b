package changes

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// A key to move to may name its mode, as players do, where the chart has that mode.
func TestChartInAKey(t *testing.T) {
	for _, test := range []struct{ key, bars, to, want, err string }{
		{"C", "Dm7 G7 C6 C6", "Eb", "Eb", ""},
		{"C", "Dm7 G7 C6 C6", "Eb major", "Eb", ""},
		{"C", "Dm7 G7 C6 C6", "E flat", "Eb", ""},
		{"C minor", "Dm7b5 G7b9 Cm6 Cm6", "D", "D minor", ""},
		{"C minor", "Dm7b5 G7b9 Cm6 Cm6", "Dm", "D minor", ""},
		{"C minor", "Dm7b5 G7b9 Cm6 Cm6", "F# min", "F# minor", ""},
		{"", "Dm7b5 G7b9 Cm6 Cm6", "D-", "D minor", ""},
		{"F blues", "F7 Bb7 F7 C7", "G blues", "G blues", ""},
		{"C minor", "Dm7b5 G7b9 Cm6 Cm6", "D major", "", "D major is not the mode of what is moved, which is in C minor: expected D minor, or D alone"},
		{"C", "Dm7 G7 C6 C6", "Cm", "", "C minor is not the mode of what is moved, which is in C major: expected C major, or C alone"},
		{"F blues", "F7 Bb7 F7 C7", "Gm", "", "G minor is not the mode of what is moved, which is in F blues: expected G blues, or G alone"},
	} {
		t.Run(test.key+" to "+test.to, func(t *testing.T) {
			text := "| " + test.bars + " |"
			if test.key != "" {
				text = "key: " + test.key + "\n" + text
			}
			k, err := ParseKey(test.to)
			require.NoError(t, err)
			moved, err := mustParse(t, text).In(k)
			if test.err != "" {
				require.EqualError(t, err, test.err)
				return
			}
			require.NoError(t, err)
			require.Equal(t, test.want, short(moved.Key))
		})
	}
	for text, want := range map[string]string{
		"H":  `"H" is not a note name: expected a letter A to G and at most two accidentals, like Bb or F#`,
		"":   `"" is not a note name: expected a letter A to G and at most two accidentals, like Bb or F#`,
		"C7": `"C7" is no key: expected the name of a note, alone or with its mode, like Eb or Cm`,
	} {
		_, err := ParseKey(text)
		require.EqualError(t, err, want)
	}
}
