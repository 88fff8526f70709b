package harmony_test

import (
	"errors"
	"testing"
	"unicode"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"shedlight/analyse/harmony"
	"shedlight/analyse/tone"
)

// A printed formula parses back to itself: all 65,535 of them.
func TestEveryFormulaPrintsAndParses(t *testing.T) {
	const all = 1<<16 - 1
	wrong := 0
	for f := 1; f <= all; f++ {
		c := harmony.Chord{Formula: harmony.Formula(f)}
		text := c.Symbol()
		got, err := harmony.ParseSymbol(text)
		if err != nil || got.Chord != c {
			t.Errorf("formula %016b prints %q, which reads as %016b (%v)", f, text, got.Chord.Formula, err)
			if wrong++; wrong == 20 {
				t.FailNow()
			}
		}
	}
}

func anyName() *rapid.Generator[tone.Name] {
	return rapid.Custom(func(t *rapid.T) tone.Name {
		return tone.Name{
			Letter: tone.Letter(rapid.IntRange(0, 6).Draw(t, "letter")),
			Alter:  int8(rapid.IntRange(-2, 2).Draw(t, "accidental")),
		}
	})
}

func TestEveryChordPrintsAndParses(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := harmony.Chord{
			Root:    anyName().Draw(t, "root"),
			Bass:    anyName().Draw(t, "bass"),
			Formula: harmony.Formula(rapid.IntRange(1, 1<<16-1).Draw(t, "formula")),
		}
		got, err := harmony.ParseSymbol(c.Symbol())
		if err != nil {
			t.Fatalf("%q: %v", c.Symbol(), err)
		}
		assert.Equal(t, c, got.Chord, c.Symbol())
	})
}

// Chord symbols are put together from these; most of what comes out is a chord.
var (
	stems = []string{
		"", "m", "-", "min", "maj", "M", "maj7", "^", "△7", "m7", "-7", "7", "9", "11", "13", "6", "69", "6/9", "m6", "m9", "m11", "m13",
		"mM7", "m(maj7)", "maj9", "maj13", "dim", "dim7", "°7", "ø", "h7", "m7b5", "+", "+7", "aug", "sus", "sus4", "sus2", "7sus4",
		"13sus", "2", "4", "5", "7alt", "add9", "madd9",
	}
	tails = []string{
		"", "b5", "#5", "b9", "#9", "#11", "b13", "(b9)", "(#11)", "(b9,b13)", "♭9♯11", "-5", "-9", "+9", "+5", "+11", " b9", "(9)", "(13)",
		"/9", "/6", "(maj7)", "sus", "sus2", "no5", "(no3)", "no5no3", "add9", "add#11", "(add11)", "addb9", "alt", "+", "(A7)", "(B♭13 )",
	}
	basses = []string{"", "", "/E", "/Bb", "/c#", "/F♯", " / G"}
)

func anySymbol() *rapid.Generator[string] {
	return rapid.Custom(func(t *rapid.T) string {
		return anyName().Draw(t, "root").String() +
			rapid.SampledFrom(stems).Draw(t, "quality") +
			rapid.SampledFrom(tails).Draw(t, "tail") +
			rapid.SampledFrom(tails).Draw(t, "second tail") +
			rapid.SampledFrom(basses).Draw(t, "bass")
	})
}

// Whatever can be read prints in a spelling that reads as the same chord, and
// prints the same again; so do the other readings and the alternatives.
func TestWhatParsesPrintsAndParses(t *testing.T) {
	read, all := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		text := anySymbol().Draw(t, "symbol")
		sym, err := harmony.ParseSymbol(text)
		all++
		if err != nil {
			checkError(t, text, err)
			return
		}
		read++
		for _, c := range append(append([]harmony.Chord{sym.Chord}, sym.Others...), sym.Alternate...) {
			again, err := harmony.ParseSymbol(c.Symbol())
			if err != nil {
				t.Fatalf("%q prints as %q: %v", text, c.Symbol(), err)
			}
			assert.Equal(t, c, again.Chord, "%q printed as %q", text, c.Symbol())
			assert.Equal(t, c.Symbol(), again.Chord.Symbol())
		}
		for _, o := range sym.Others {
			assert.NotEqual(t, sym.Chord, o, "%q offers itself", text)
		}
	})
	assert.Greater(t, 2*read, all, "most of the symbols are chords")
}

// moved returns a name the given semitones higher, spelled on some letter.
func moved(n tone.Name, semitones int) tone.Name {
	class := tone.ClassOf(int(n.Class()) + semitones)
	for l := range tone.Letter(7) {
		if name, ok := tone.NameOn((n.Letter+l)%7, class); ok {
			return name
		}
	}
	return n
}

// Moved up by a fourth twelve times a symbol comes back to its own tones, and
// each step moves all tones alike.
func TestTransposedSymbols(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		sym, err := harmony.ParseSymbol(anySymbol().Draw(t, "symbol"))
		if err != nil {
			return
		}
		step := rapid.IntRange(1, 11).Draw(t, "semitones")
		c := sym.Chord
		for range 12 {
			next := harmony.Chord{Root: moved(c.Root, step), Bass: moved(c.Bass, step), Formula: c.Formula}
			read, err := harmony.ParseSymbol(next.Symbol())
			if err != nil {
				t.Fatalf("%q: %v", next.Symbol(), err)
			}
			assert.Equal(t, c.Set().Transpose(step), read.Chord.Set(), next.Symbol())
			c = read.Chord
		}
		assert.Equal(t, sym.Chord.Set(), c.Set())
	})
}

// checkError checks that an error is one clear line with a column that exists.
func checkError(t require.TestingT, text string, err error) {
	var where *harmony.SymbolError
	require.True(t, errors.As(err, &where), "%q: %v", text, err)
	assert.GreaterOrEqual(t, where.Column, 1, text)
	assert.LessOrEqual(t, where.Column, utf8.RuneCountInString(text)+1, text)
	assert.NotEmpty(t, where.Expected)
	for _, c := range err.Error() {
		assert.False(t, unicode.IsControl(c), "control character in %q", err.Error())
	}
}

func FuzzParseSymbol(f *testing.F) {
	for _, s := range []string{
		"C", "Bbb7", "C7(b9,#11)/E", "C-Δ7", "D7(G7)", "N.C.", "%", "C7 / /", "(C7)", "C\x00", "\xff", "C((((", "Cm(maj9)/B♭",
		"C" + "7b9b9b9b9b9b9b9b9b9b9b9b9b9b9b9b9b9b9b9b9b9b9b9b9b9b9b9b9b9b9b9b9b9b9",
	} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		sym, err := harmony.ParseSymbol(text)
		if err != nil {
			checkError(t, text, err)
			return
		}
		for _, c := range append(append([]harmony.Chord{sym.Chord}, sym.Others...), sym.Alternate...) {
			again, err := harmony.ParseSymbol(c.Symbol())
			require.NoError(t, err, "%q printed as %q", text, c.Symbol())
			require.Equal(t, c, again.Chord, "%q printed as %q", text, c.Symbol())
		}
	})
}
