package harmony_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/analyse/harmony"
	"shedlight/analyse/tone"
)

func ExampleParseSymbol() {
	for _, text := range []string{"B♭Δ7", "C-7b5/Gb", "G7(b9,b13)", "D7(Ab7)", "Csus"} {
		sym, err := harmony.ParseSymbol(text)
		if err != nil {
			fmt.Println(err)
			continue
		}
		fmt.Printf("%s is %s", text, sym.Chord.Symbol())
		for _, o := range sym.Others {
			fmt.Printf(", some read %s", o.Symbol())
		}
		for _, a := range sym.Alternate {
			fmt.Printf(", or play %s", a.Symbol())
		}
		fmt.Println()
	}
	// Output:
	// B♭Δ7 is Bbmaj7
	// C-7b5/Gb is Cm7b5/Gb
	// G7(b9,b13) is G7(b9,b13), some read G7(no5,b9,b13)
	// D7(Ab7) is D7, or play Ab7
	// Csus is Csus4, some read C9sus4
}

func ExampleSymbolError() {
	_, err := harmony.ParseSymbol("Cm7b")
	fmt.Println(err)
	_, err = harmony.ParseSymbol("Xm7")
	fmt.Println(err)
	// Output:
	// chord symbol, column 5: it ends here, expected a degree to alter: 5, 9, 11 or 13
	// chord symbol, column 1: found "X", expected a root A to G, or N.C.
}

func ExampleChord_Symbol() {
	c := harmony.Chord{
		Root:    tone.Name{Letter: 4},
		Bass:    tone.Name{Letter: 6},
		Formula: harmony.FormulaOf(harmony.One, harmony.Three, harmony.FlatSeven, harmony.FlatNine, harmony.Six),
	}
	fmt.Println(c.Symbol())
	fmt.Println(harmony.Chord{}.Symbol())
	// Output:
	// G13(no5,b9)/B
	// N.C.
}

func ExampleChord_Kind() {
	for _, text := range []string{"Bbmaj9", "F13(b9)", "Em7b5", "Cm6"} {
		sym, _ := harmony.ParseSymbol(text)
		fmt.Println(sym.Chord.Kind())
	}
	// Output:
	// major
	// dominant
	// half-diminished
	// minor sixth
}

func TestNotAChord(t *testing.T) {
	for _, c := range []struct {
		text   string
		column int
		found  string
	}{
		{"", 1, ""},
		{"   ", 4, ""},
		{"%", 1, "%"},
		{"𝄎", 1, "𝄎"},
		{"/", 1, "/"},
		{"-", 1, "-"},
		{"/E", 1, "/"},
		{"r", 1, "r"},
		{"X7", 1, "X"},
		{"dim7", 2, "i"},
		{"Cq", 2, "q"},
		{"♭7", 1, "♭"},
		{"B♭q", 3, "q"},
		{"C7 q", 4, "q"},
		{"C8", 2, "8"},
		{"C3", 2, "3"},
		{"C7b", 4, ""},
		{"C7b8", 4, "8"},
		{"C7b11", 4, "1"},
		{"C7-", 3, "-"},
		{"Cmdim", 3, "d"},
		{"Cdimm", 5, "m"},
		{"C7m", 3, "m"},
		{"C77", 3, "7"},
		{"Cm99", 4, "9"},
		{"C/", 3, ""},
		{"C/q", 3, "q"},
		{"C/E/G", 5, "G"},
		{"C/Dm7", 4, "m"},
		{"C7/G7", 5, "7"},
		{"C C", 3, "C"},
		{"C7(b9", 6, ""},
		{"C7b9)", 5, ")"},
		{"(C7", 4, ""},
		{"(C7) D", 6, "D"},
		{"C7(G7", 6, ""},
		{"C7(Gq)", 5, "q"},
		{"Cadd", 5, ""},
		{"Cadd8", 5, "8"},
		{"Cno", 4, ""},
		{"C\t7", 2, "\t"},
		{"C7\x1b[31m", 3, "\x1b"},
		{"C\u0085", 2, "\u0085"},
		{"C\u202e7", 2, "\u202e"},
		{"C\xff", 2, "\xff"},
		{"C7" + strings.Repeat(" ", 100), 81, " "},
	} {
		_, err := harmony.ParseSymbol(c.text)
		if !assert.Error(t, err, "%q", c.text) {
			continue
		}
		checkError(t, c.text, err)
		var where *harmony.SymbolError
		require.ErrorAs(t, err, &where)
		assert.Equal(t, c.column, where.Column, "column of %q: %v", c.text, err)
		assert.Equal(t, c.found, where.Found, "found in %q", c.text)
	}
}

// The canonical spelling of what lead sheets use (common practice): tensions in
// brackets, alterations of the fifth and suspensions without.
func TestCanonicalSpelling(t *testing.T) {
	for _, symbol := range []string{
		"C", "Cm", "Cdim", "Caug", "C5", "Csus2", "Csus4", "C(b5)", "C(add9)", "Cm(add9)", "C(add11)", "C(add#11)", "Cm(addb6)",
		"C6", "Cm6", "C6/9", "Cm6/9", "C6/9(#11)", "C6(#11)", "C7", "C9", "C13", "Cmaj7", "Cmaj9", "Cmaj13", "Cm7", "Cm9", "Cm11", "Cm13",
		"Cmaj7(#11)", "Cmaj9(#11)", "Cmaj13(#11)", "Cmaj7#5", "Cmaj7b5", "Cmaj7(13)", "Cm(maj7)", "Cm(maj9)", "Cm7(11)", "Cm7(13)",
		"Cm7b5", "Cm9b5", "Cm11b5", "Cm7b5(11)", "Cm7b5(b9)", "Cdim7", "Cdim(maj7)", "Cdim7(maj7)", "Cdim7(b13)", "Cdim9",
		"C7(b9)", "C7(#9)", "C7(#11)", "C7(b13)", "C7(13)", "C7(b9,b13)", "C7(#9,b13)", "C7(b9,#9)", "C7(b9,#11)", "C7(#9,#11)",
		"C9(#11)", "C9(b13)", "C13(b9)", "C13(#9)", "C13(#11)", "C13(b9,#11)", "C7b5", "C7#5", "C9#5", "C9b5", "C7b5(b9)", "C7b5(#9)",
		"C7#5(b9)", "C7#5(#9)", "C7alt", "C7sus4", "C9sus4", "C13sus4", "C7sus4(b9)", "C13sus4(b9)", "Cmaj7sus4", "C7sus2", "C6sus4",
		"C7(no5)", "C7(no3)", "C9sus4(no5)", "Cmaj7(no5)", "C(no5)", "C7(no3,no5)",
		"C/E", "C6/9/E", "F#m7b5/C", "Abm6/Cb", "Bbb7", "F##dim7",
	} {
		got, err := harmony.ParseSymbol(symbol)
		require.NoError(t, err, symbol)
		assert.Equal(t, symbol, got.Chord.Symbol())
	}
}

// Common practice; the families are those of Kind's list.
func TestKinds(t *testing.T) {
	for kind, symbols := range map[string]string{
		harmony.KindMajor:          "C C6 C6/9 Cmaj7 Cmaj9#11 Cmaj7#5 Cmaj7b5 Cadd9 C(b5) C/E",
		harmony.KindDominant:       "C7 C9 C13 C7b9 C7#5 C7b5 C7alt C7(no5) C7(no3)",
		harmony.KindMinor:          "Cm Cm7 Cm9 Cm11 Cm13 Cm7#5 Cmadd9",
		harmony.KindMinorSixth:     "Cm6 Cm6/9 Cm(maj7) Cm(maj9) Cm6(maj7)",
		harmony.KindHalfDiminished: "Cm7b5 Cø9 Cm11b5",
		harmony.KindDiminished:     "Cdim Cdim7 Cdim(maj7) Cdim7(b13)",
		harmony.KindAugmented:      "C+ C+(add9)",
		harmony.KindSuspended:      "Csus4 Csus2 C7sus4 C9sus4 C13sus4 C7sus4(b9) C11 C9sus4(no5)",
		harmony.KindPower:          "C5 C5/G",
		harmony.KindOther:          "C(no3,no5)",
		"":                         "N.C.",
	} {
		for _, symbol := range strings.Fields(symbols) {
			got, err := harmony.ParseSymbol(symbol)
			require.NoError(t, err, symbol)
			assert.Equal(t, kind, got.Chord.Kind(), symbol)
		}
	}
}

func TestSymbolText(t *testing.T) {
	for text, want := range map[string]string{"C7 ": "C7", "| B♭7 |": "B♭7", "C7 / /": "C7", "Cmaj7*": "Cmaj7", "D7(G7)": "D7(G7)", " N.C. ": "N.C.", "NC": "N.C."} {
		got, err := harmony.ParseSymbol(text)
		require.NoError(t, err, text)
		assert.Equal(t, want, got.Text, "%q", text)
	}
}

func BenchmarkParseSymbol(b *testing.B) {
	for _, symbol := range []string{"C", "Bbmaj7", "F#m7b5/C", "C13(b9,#11)", "B♭7alt"} {
		b.Run(symbol, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := harmony.ParseSymbol(symbol); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkSymbol(b *testing.B) {
	sym, err := harmony.ParseSymbol("F#13(b9,#11)/C")
	require.NoError(b, err)
	b.ReportAllocs()
	for b.Loop() {
		_ = sym.Chord.Symbol()
	}
}
