package analyse_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse/figure"
)

// Twelve figures are told of a phrase that is not kept whole, though its runs and the
// chords under them are no more than twelve each. By hand: eight runs of five notes, up
// and down between C and G, and a chord under the last note of each.
func TestTwelveFigures(t *testing.T) {
	const chord = "@-480 [C3,E3,G3] @+480 "
	line := "C4 " + strings.Repeat("D4 E4 F4 G4.2 "+chord+"F4 E4 D4 C4.2 "+chord, 4) + "D4"
	setup := inChords(t, "| C6 | % | % | % |")
	_, few := review(t, setup, performed(t, 0, line))
	require.Len(t, few, 1)
	setup.Whole = true
	_, all := review(t, setup, performed(t, 0, line))
	kinds := map[figure.Kind]int{}
	for _, f := range all[0].Figures {
		kinds[f.Kind]++
	}
	require.Equal(t, map[figure.Kind]int{figure.Run: 8, figure.StruckChord: 8}, kinds)
	require.Equal(t, 16, few[0].FigureCount)
	require.Equal(t, all[0].Figures[:12], few[0].Figures)
}

// What is kept of a phrase ends somewhere: of one that goes on for ever the first 4096
// notes, crossings and figures are told, and all of it is counted.
func TestAPhraseWithoutEnd(t *testing.T) {
	const notes = 4200
	line := strings.Repeat("C4.2 C5.2 D4.2 D5.2 E4.2 F5.2 ", notes/6) // a leap to each
	setup := inChords(t, "| C6 G7 C6 G7 |")
	setup.Whole = true
	_, all := review(t, setup, performed(t, 0, line))
	require.Len(t, all, 1)
	told := 0
	for _, c := range all[0].Chords {
		told += len(c.Notes)
	}
	require.Equal(t, []int{4096, 4096, 4096}, []int{told, len(all[0].Crossings), len(all[0].Figures)})
	require.Equal(t, []int{notes, notes - 1}, []int{all[0].Notes, all[0].FigureCount})
}
