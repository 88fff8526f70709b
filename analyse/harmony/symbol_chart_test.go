package harmony_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/analyse/harmony"
)

// The accidental behind its number, and blanks inside a symbol. Common practice
// of charts typed in a hurry.
func TestSignsAfterAndBlanksWithin(t *testing.T) {
	for text, want := range map[string]string{
		"C7(9-)": "C7(b9)", "C7(9b)": "C7(b9)", "C7(9♭)": "C7(b9)", "Cm7(5-)": "Cm7b5", "C7(5+)": "C7#5", "C7/9+": "C7(#9)", "C7/9-": "C7(b9)",
		"C7(9-,13-)": "C7(b9,b13)", "C7 9-": "C7(b9)", "C7(11+)": "C7(#11)", "C5+": "Caug", "C5-": "C(b5)", "Bb5+": "Bbaug", "G7dim5": "G7b5",
		"C9+": "C9#5", "C7+": "C7#5", "C7+9": "C7(#9)", "C7-9": "C7(b9)",
		"Dm7 b5": "Dm7b5", "G7 b13": "G7(b13)", "C7 (b9)": "C7(b9)", "C7(b9, #11)": "C7(b9,#11)", "C maj7": "Cmaj7", "G7 alt": "G7alt", "C / E": "C/E",
		"E b": "Eb", "B b7": "Bb7", "A bmaj7": "Abmaj7", "E ♭": "Eb", "E b5": "E(b5)", "E b9": "E(addb9)",
	} {
		got, err := harmony.ParseSymbol(text)
		if assert.NoError(t, err, text) {
			assert.Equal(t, want, got.Chord.Symbol(), text)
		}
	}
}

// A sign written twice is refused where it stands the second time: which of two
// things was meant is unknown.
func TestNothingIsDroppedFromASymbol(t *testing.T) {
	for text, column := range map[string]int{
		"C7sus44": 7, "Csus4sus4": 9, "Csus22": 6, "C13b9b9": 6, "C7(#11)#11": 8, "Cadd9add9": 9, "C7(9-)b9": 7, "C b7": 2, "F bm7": 2, "C -": 3, "C - -": 3,
	} {
		_, err := harmony.ParseSymbol(text)
		var where *harmony.SymbolError
		if assert.ErrorAs(t, err, &where, text) {
			assert.Equal(t, column, where.Column, "%s: %v", text, err)
		}
	}
}

// What a chart takes a symbol for where it has two readings, and what is said.
func TestASymbolInAChart(t *testing.T) {
	for text, want := range map[string][2]string{
		"Cdim":   {"Cdim7", "Cdim is read as Cdim7, as jazz charts mean it; for the triad write Cm(b5)"},
		"Co/Eb":  {"Cdim7/Eb", "Co/Eb is read as Cdim7/Eb, as jazz charts mean it; for the triad write Cm(b5)/Eb"},
		"Cm(b5)": {"Cm(b5)", ""},
		"Cdim7":  {"Cdim7", ""},
		"Csus":   {"Csus", "Csus is read as Csus4; if you mean C9sus4 write that"},
		"C2":     {"C2", "C2 is read as C(add9); if you mean Csus2 write that"},
		"C11":    {"C11", "C11 is read as C9sus4; if you mean C9(11) write that"},
		"c":      {"c", "c is read as C; if you mean Cm write that"},
		"H7":     {"H7", "H7 is read as B7: H is B"},
		"C13":    {"C13", ""},
		"C△":     {"C△", ""},
		"C7b13":  {"C7b13", ""},
	} {
		plain, err := harmony.ParseSymbol(text)
		require.NoError(t, err)
		got, said := plain.InChart()
		assert.Equal(t, want, [2]string{got.Text, said})
		back, err := harmony.ParseSymbol(got.Chord.ChartSymbol())
		require.NoError(t, err)
		again, _ := back.InChart()
		assert.Equal(t, got.Chord, again.Chord, "%s: a chart reads what ChartSymbol prints", text)
	}
}
