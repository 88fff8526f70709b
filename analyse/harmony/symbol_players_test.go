package harmony_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/analyse/harmony"
	"shedlight/analyse/tone"
)

// What players write, beside the forms of the table: several symbols for one
// chord, and its tones above C. Common practice.
var playersWrite = []struct{ symbols, pcs string }{
	{"C|C major|CMaj|CMajor|Cma|C:maj|(C)|[C]|c|C.|| C ||Ｃ", "0 4 7"},
	{"Cmin|Cmi|Cminor|C minor|C−|C–|C‐|CMIN|CMi|C:min|C⁻", "0 3 7"},
	{"Cdim|C˚|Cº|C0|C dim|Cdiminished|Cmb5|C-b5|Cm(b5)|Cm♭5|Cm-5|C○", "0 3 6"},
	{"C+|C aug|Caugmented|C(#5)|C(♯5)|C+5|C(+5)|C⁺|Cmaj+|Cmaj#5", "0 4 8"},
	{"C-5|C(-5)|C(♭5)", "0 4 6"},
	{"Cm#5|Cm+|Cm+5|Cm(#5)", "0 3 8"},
	{"C(no3)|Cno3|Comit3|C(omit3)|C(no 3rd)|C omit 3rd|C(5)(no3)", "0 7"},
	{"C(no5)|Cno5|C(no 5th)", "0 4"},
	{"Csus4|C(sus4)|C sus|C4|Csus(4)|CSUS4|Csuspended|Cmsus4", "0 5 7"},
	{"Csus24|Csus2/4|Csus4/2|Csus2sus4|Csus42|Csus4(9)|Csus4add9", "0 2 5 7"},
	{"Csusb2|Csus♭2", "0 1 7"},
	{"Csus#4", "0 6 7"},
	{"Cadd2|C(add9)|C(add2)|C add 9|C2|C(9)|C/9|Cmajadd9|CMadd9|Cmaadd9|CADD9|Cadd(9)|C added 9", "0 2 4 7"},
	{"Cmadd9|Cm(add9)|C-add9|Cmin(add9)|Cm(add2)|Cmadd2|Cm(9)|Cm/9|Cminadd9|Cm+9", "0 2 3 7"},
	{"C(add11)|Cadd4|C(add4)|C(11)", "0 4 5 7"},
	{"Cm(add11)|Cmadd4|Cm4|Cm(11)", "0 3 5 7"},
	{"C(#11)|C(add#11)|Cadd#11|C+11|Cmaj(#11)|C(♯11)|C(+11)", "0 4 6 7"},
	{"C(add9,#11)|Cadd9#11|C(add9)(#11)", "0 2 4 6 7"},
	{"C(b9)|C(addb9)|C(♭9)|C(-9)", "0 1 4 7"},
	{"C(#9)|C(add#9)|C(+9)", "0 3 4 7"},
	{"C+add9|Caug(add9)|C+(9)", "0 2 4 8"},

	{"C6|C(6)|Cadd6|C(add6)|Cadd13|CMaj6|Cmaj6|C/6|C:6|C△6|C⁶", "0 4 7 9"},
	{"C-6|Cm(6)|Cmin6|C−6|Cm/6|Cm(add6)|Cm⁶", "0 3 7 9"},
	{"C69|C6(9)|C6add9|C6(add9)|C6,9|C 6/9|C6⁄9|C⁶₉|C⁶⁄₉|Cmaj6/9|C6+9|C6-9|C6\\9", "0 2 4 7 9"},
	{"Cm6/9|Cm6(9)|Cmin6/9|C-69|Cm6add9", "0 2 3 7 9"},
	{"C69#11|C6/9#11|C6(9,#11)|C6/9(♯11)", "0 2 4 6 7 9"},
	{"C6sus4|Csus6", "0 5 7 9"},
	{"C6b5|C6(b5)", "0 4 6 9"},
	{"C6#11|C6(#11)", "0 4 6 7 9"},
	{"C-b6|Cm♭6|Cm(addb6)|Cm(b13)", "0 3 7 8"},

	{"CM7|CMaj7|Cmajor7|C major 7|Cmaj 7|C△|C∆|CΔ|C^|C▲7|C7maj|C7△|Cj7|Cmj7|Cmaj-7|C(maj7)|C/maj7|Cmaj⁷|C⁷ᴹ|C:maj7", "0 4 7 11"},
	{"Cmaj9|CMA9|C△9|CΔ(9)|Cmaj7/9|CM7(9)|Cmaj7add9|C(maj9)|C9M|Cj9", "0 2 4 7 11"},
	{"Cmaj11|CM11", "0 2 4 5 7 11"},
	{"CM13|C△13|Cmaj9(13)|Cmaj7(9,13)|Cmaj9add13|Cmaj9/13", "0 2 4 7 9 11"},
	{"Cmaj7(13)|Cmaj7/6|Cmaj7add13|C6(maj7)|C6/maj7|Cmaj7(6)", "0 4 7 9 11"},
	{"CM7#11|C△#11|C△7(#11)|CΔ♯11|Cmaj7+11|Cmaj7(add#11)|Cmaj7(+11)", "0 4 6 7 11"},
	{"Cmaj9(#11)|CM7(9,#11)|C△9#11|Cmaj7(9)(#11)", "0 2 4 6 7 11"},
	{"Cmaj13#11|CM13(#11)", "0 2 4 6 7 9 11"},
	{"CM7b5|Cmaj7-5|C△-5|CΔ7(b5)|Cmaj7♭5|C^b5", "0 4 6 11"},
	{"CM7#5|C+M7|C+△7|Caug(maj7)|Caugmaj7|C△+5|Cmaj7+|Cmaj+7|C+Δ|C+7M|Caug/maj7", "0 4 8 11"},
	{"Cmaj9#5|C+M9", "0 2 4 8 11"},
	{"Cmaj7#9|Cmaj7(#9)", "0 3 4 7 11"},
	{"Cmaj7sus|CM7sus4|C△sus4|Csus4(maj7)", "0 5 7 11"},
	{"Cmaj7sus2", "0 2 7 11"},
	{"Cmaj7no5|Cmaj7(no5)", "0 4 11"},

	{"Cm7|Cmi7|Cmin7|CMI7|C minor 7|Cminor7|Cm 7|C−7|C–7|Cm-7|Cm⁷|C:min7|Cm(7)|Cm/7|Cᵐ⁷", "0 3 7 10"},
	{"Cm9|Cmin9|C−9|Cmi9|Cm7/9|Cm7add9|C-7(9)|Cm(7,9)", "0 2 3 7 10"},
	{"Cm11|Cmin11|Cmi11|Cm9(11)|Cm7(9,11)|C-9/11", "0 2 3 5 7 10"},
	{"Cm7add11|Cm7(add11)|Cm7(add4)|Cm7/11|Cm7/4|C-7(11)", "0 3 5 7 10"},
	{"Cm13|C-13|Cmin13|Cmi13", "0 2 3 5 7 9 10"},
	{"Cm7(13)|Cm7/6|Cm7add13", "0 3 7 9 10"},
	{"Cm7#5|Cm7+5|Cm7(#5)|C-7#5", "0 3 8 10"},
	{"Cm7(b9)|Cm7-9|C-7b9", "0 1 3 7 10"},
	{"Cm7(no5)|Cm7no5", "0 3 10"},
	{"CmM7|CmMaj7|CmMA7|C-M7|Cmin(maj7)|CminMaj7|Cm△7|Cm△|CmΔ7|Cm(△7)|Cm^7|C-^|CmM|Cmmaj|Cm(maj)|Cm+7|Cm7M|Cm(7M)|CmiMA7|Cmin-maj7|Cm/M7|C-/maj7|Cm♮7|Cm(♮7)|Cm(#7)|Cm j7|Cm(add#7)", "0 3 7 11"},
	{"CmM9|Cmmaj9|C-maj9|C-△9|Cm△9|Cm9(maj7)", "0 2 3 7 11"},
	{"Cm6(maj7)|Cm6/maj7", "0 3 7 9 11"},

	{"Cm7b5|Cmi7b5|Cmin7(b5)|C-7♭5|C−7(♭5)|Cø|C∅|CØ7|C∅7|C⌀7|Ch7|Ch|Cm7-5|C-7-5|Cm7(-5)|Cm7/b5|Chalf-dim|C half-diminished|C half dim 7|Chdim7|Cmø7|C-ø|Cm7♭5|Cφ7", "0 3 6 10"},
	{"Cø9|Cm9b5|C-9(b5)|Cm9(♭5)|Cm7b5(9)|Cm7(b5,9)|Cø7(9)", "0 2 3 6 10"},
	{"Cø11|Cm11b5|Cm11(b5)|C-11b5", "0 2 3 5 6 10"},
	{"Cø7(11)|Cm7b5add11|Cm7b5(11)|Cm7(b5,11)", "0 3 5 6 10"},
	{"Cm7b5b9|Cø7(b9)|Cm7(b5,b9)", "0 1 3 6 10"},
	{"Cdim7|Co7|C°7|Cº7|C˚7|C07|C o7|CDIM7|C diminished 7|C7dim|Cdim-7|C○7|C⁰7|Cdim(7)|C°⁷", "0 3 6 9"},
	{"CoM7|C°maj7|Cdimmaj7|Cdim(M7)|C°△7|Co(maj7)|C°Δ", "0 3 6 11"},
	{"Cdim7(maj7)|Co7(maj7)|Cdim7(addmaj7)", "0 3 6 9 11"},
	{"Cdim9|C°9|Co7(9)|Cdim7add9", "0 2 3 6 9"},
	{"Cdim11|Co11", "0 2 3 5 6 9"},
	{"Cdim7(b13)|C°7b13|Co7(add b13)", "0 3 6 8 9"},

	{"C7|Cdom7|Cdom|C dominant 7|C 7|C/7|C(7)|C⁷|C７|Cx|Cx7|C:7|[C7]|(C7)|{C7}|C7*|C7;|C7.|| C7 ||C7 /|C7 / / /|C7 ///", "0 4 7 10"},
	{"C9|C7/9|C7(9)|C7add9|C⁹|Cdom9", "0 2 4 7 10"},
	{"C7add13|C7/13|C7/6|C7(6)|C7add6|C6/7|C67|C7 13", "0 4 7 9 10"},
	{"C13|C9(13)|C9/13|C9/6|C7(9,13)|C¹³", "0 2 4 7 9 10"},
	{"C7add11|C7(11)|C7(add11)|C7/11|C7add4", "0 4 5 7 10"},
	{"C7b9|C7♭9|C7(-9)|C7-9|C7/b9|C7(addb9)|C7 b9|C7 flat 9|C7[b9]|C7{b9}|C9b9", "0 1 4 7 10"},
	{"C7#9|C7♯9|C7(+9)|C7/#9|C7 sharp 9|C7(b10)|C7-10|C7#2", "0 3 4 7 10"},
	{"C7#11|C7♯11|C7+11|C7(+11)|C7#4|C7/#11", "0 4 6 7 10"},
	{"C9#11|C9+11|C9(#11)|C7(9,#11)", "0 2 4 6 7 10"},
	{"C13#11|C13(#11)|C13+11|C9(#11,13)", "0 2 4 6 7 9 10"},
	{"C13(b9)|C13-9|C7(b9,13)|C13♭9|C7b9(13)|C7b9/13", "0 1 4 7 9 10"},
	{"C13#9|C13(#9)|C7(#9,13)", "0 3 4 7 9 10"},
	{"C7(b13)|C7♭13|C7-13|C7(♭13)|C7b6", "0 4 7 8 10"},
	{"C7 b9 b13|C7(b9)(b13)|C7(b9/b13)|C7(b9;b13)|C7(b9 b13)|C7♭9♭13|C7b9b13|C7-9-13|C7(-9,-13)|C7[b9,b13]", "0 1 4 7 8 10"},
	{"C7b9#11|C7(b9,#11)|C7-9+11|C7(♭9♯11)", "0 1 4 6 7 10"},
	{"C7#9#11|C7(#11,#9)", "0 3 4 6 7 10"},
	{"C7b9#9#11|C7(b9,#9,#11)", "0 1 3 4 6 7 10"},
	{"C13b9#11|C13(#11,b9)", "0 1 4 6 7 9 10"},
	{"C9-5|C9b5|C9(b5)", "0 2 4 6 10"},
	{"C7b5#9|C7(b5,#9)|C7#9b5", "0 3 4 6 10"},
	{"C7#5|C+7|C7+|C7(#5)|C7♯5|C7(+5)|Caug7|C7aug5|C7(+)|C+(7)", "0 4 8 10"},
	{"C7#5#9|C7(#9#5)|C+7#9|C7+5+9|C7#9#5|C+7(#9)|C7♯5♯9|C+7+9|Caug7#9", "0 3 4 8 10"},
	{"C7#5b9|C7b9#5|C+7b9|C7(b9,#5)|C7+b9|C7b9+|C7+5-9|C7-9+5", "0 1 4 8 10"},
	{"C+9|C9+|C9#5|Caug9|C9+5|C9(#5)|C+7(9)", "0 2 4 8 10"},
	{"C7b5#5|C7(b5,#5)", "0 4 6 8 10"},
	{"C7alt|C alt|C7 alt|C7ALT|C7(alt)|Calt7|Caltered|C7/alt|C7(b5,#5,b9,#9)|C7(Alt)|C7alt.", "0 1 3 4 6 8 10"},

	{"C11|C9sus4|C9sus|Csus9|C9(sus4)|C9 sus|C7sus4(9)|C7sus4/9|C11sus|C11sus4", "0 2 5 7 10"},
	{"C7sus|Csus7|Csus4/7|C7(sus4)|C7 sus 4|C7/sus4|C4/7|C7/4|Csus47|Cm7sus4|Cdom7sus4", "0 5 7 10"},
	{"C13sus|Csus13|C13(sus4)|C9sus4(13)", "0 2 5 7 9 10"},
	{"C7sus4b9|C7sus4(b9)|C7(sus4,b9)|C7(b9)sus4|C7susb9|C7sus♭9|C7 sus b9|C7b9sus|C7b9(sus4)|C11b9", "0 1 5 7 10"},
	{"C7sus2", "0 2 7 10"},
	{"C7sus4(add3)|C7sus(add10)", "0 4 5 7 10"},
	{"C7(no3)|C7no3|C7omit3|C7(omit3)", "0 7 10"},
	{"C7(omit5)|C7 no 5|C7no5th|C7(no5)", "0 4 10"},
	{"C9(no5)|C9no5", "0 2 4 10"},
	{"C7(no3,no5)|C7no3no5|C7(no3,5)|C7(no3/5)", "0 10"},
}

func TestWhatPlayersWrite(t *testing.T) {
	forms := 0
	for _, row := range playersWrite {
		for _, symbol := range symbolsOf(row.symbols) {
			forms++
			got, err := harmony.ParseSymbol(symbol)
			if assert.NoError(t, err, "%q", symbol) {
				assert.Equal(t, pcs(t, row.pcs), got.Chord.Set(), "%q", symbol)
			}
		}
	}
	t.Logf("%d forms", forms)
}

// symbolsOf splits a list at its bars; a bar that belongs to a symbol stands
// beside a blank.
func symbolsOf(list string) []string {
	list = strings.ReplaceAll(list, "| ", "\x00")
	var out []string
	for _, s := range strings.Split(list, "|") {
		if s != "" {
			out = append(out, strings.ReplaceAll(s, "\x00", "| "))
		}
	}
	return out
}

// The other readings, nearest first. Common practice.
func TestOtherReadings(t *testing.T) {
	for symbol, want := range map[string]string{
		"Cdim":    "Cdim7",
		"C°/Eb":   "Cdim7/Eb",
		"Csus":    "C9sus4",
		"C2":      "Csus2",
		"C4":      "C(add11)",
		"C△":      "C",
		"C11":     "C9(11)",
		"C13":     "C13(11)",
		"Cm13":    "Cm9(13)",
		"C7b13":   "C7(no5,b13)",
		"C(b9)":   "C7(b9)",
		"C(#11)":  "C7(#11) Cmaj7(#11)",
		"Cmaj(9)": "Cmaj9",
		"C+9":     "C7(#9) C(add9)",
		"C+6":     "C6",
		"C6-9":    "C6(b9)",
		"Cm+7":    "Cm7#5",
		"c":       "Cm",
		"Ab5":     "A(b5)",
		"Bbb5":    "Bbb(no3)",
		"Cx":      "C##",
		"Cx7":     "C##7",
		"C7":      "",
		"Cm7":     "",
		"Csus4":   "",
		"Cmaj13":  "Cmaj13(11)",
		"C7(b9)":  "",
		"C-9":     "",
		"Cm7b5":   "",
		"C13b9":   "",
	} {
		got, err := harmony.ParseSymbol(symbol)
		require.NoError(t, err, symbol)
		var others []string
		for _, o := range got.Others {
			others = append(others, o.Symbol())
		}
		assert.Equal(t, want, strings.Join(others, " "), symbol)
	}
}

func TestAlternatives(t *testing.T) {
	for symbol, want := range map[string]string{
		"D7(G7)":         "D7: G7",
		"C7 (Gb7)":       "C7: Gb7",
		"Dm7[Db7/Ab]":    "Dm7: Db7/Ab",
		"C7(b9)(Gb7)/E":  "C7(b9)/E: Gb7",
		"C6(Am7, C△)":    "C6: Am7 Cmaj7",
		"C7(Bb13)":       "C7: Bb13",
		"(D7(G7))":       "D7: G7",
		"C7(Edim7)":      "C7: Edim7",
		"C7(Aug)":        "C7#5: ",
		"C7(Add13)":      "C7(13): ",
		"Cmaj7(Dbmaj7)*": "Cmaj7: Dbmaj7",
	} {
		got, err := harmony.ParseSymbol(symbol)
		require.NoError(t, err, symbol)
		var names []string
		for _, c := range got.Alternate {
			names = append(names, c.Symbol())
		}
		assert.Equal(t, want, got.Chord.Symbol()+": "+strings.Join(names, " "), symbol)
	}
}

func TestNoChord(t *testing.T) {
	for _, symbol := range []string{"N.C.", "N.C", "NC", "n.c.", "nc", "N. C.", "(N.C.)", "N/C", "no chord", " N.C. |"} {
		got, err := harmony.ParseSymbol(symbol)
		require.NoError(t, err, symbol)
		assert.True(t, got.Chord.None(), symbol)
		assert.Equal(t, harmony.Chord{}, got.Chord, symbol)
		assert.Equal(t, tone.Set(0), got.Chord.Set(), symbol)
	}
}
