package analyse_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// Good phrases: two to four bars, resolved, ended on the 3rd, 5th, 6th or 9th, with a
// rest behind; length is no merit. Each line stands alone.
func TestGoodPhrases(t *testing.T) {
	const scale = "C4 D4 E4 F4 G4 A4 G4 F4 "
	for line, want := range map[string]int{
		scale + "E4":                       1,
		scale + "D4 E4 F4 G4":              1,
		scale + "A4":                       1,
		scale + "E4 D4":                    1, // the ninth
		scale + "E4 C4":                    0, // the root
		scale + "F4":                       0, // left hanging
		scale + "F#4 F4":                   0, // an approach into a tone that is left hanging is no merit
		scale + "E4 G4 Ab4.2":              0,
		scale + "F#4 F4 E4":                1, // it goes where it wants to
		scale + "B4":                       0, // the seventh
		"D4 E4 F4 G4 A4 G4 F4 E4":          0, // one bar
		scale + "C#5 A4 E4":                0, // C# is not resolved
		strings.Repeat(scale, 4) + "E4":    0, // more than four bars
		strings.Repeat(scale, 3) + "F4 E4": 1,
		"C4.8 E4":                          0, // two notes
		strings.Repeat(scale+"E4 -.2 ", 4): 3,
		scale + "E4.4 A4 C4":               0, // no rest: it leaps on
	} {
		sum, _ := review(t, inChords(t, "| C6 | % | % | % |"), performed(t, 0, line))
		require.Len(t, sum.Phrases.Good, want, line)
	}
	sum, _ := review(t, inChords(t, "| C6 | % | % | % |"), performed(t, 0, scale+"E4 -.2 "+scale+scale+"G4 -.2 C4 E4 -.2 "+scale+"A4 -.2 "+scale+"E4"))
	var good []int64
	for _, p := range sum.Phrases.Good {
		good = append(good, p.Number)
	}
	require.Equal(t, []int64{1, 2, 4}, good, "the earliest")
	require.Equal(t, int64(5), sum.Phrases.Phrases)
	require.Equal(t, 17, sum.Phrases.Longest)
}
