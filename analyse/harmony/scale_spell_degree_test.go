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

// Check values: the rule of spelling that the project keeps, one example for each
// degree, and what follows from it on other roots. Common practice.
func TestToneOutsideTheScaleIsADegreeOfTheChord(t *testing.T) {
	for _, c := range []struct {
		root, quality, degree string
		falling, rising       string
	}{
		{"G", "7", "b9", "Ab", "Ab"},
		{"D", "7", "#11", "G#", "G#"},
		{"B", "7", "9", "C#", "C#"},
		{"C", "7", "#11", "F#", "F#"},
		{"G", "7", "b13", "Eb", "Eb"},
		{"G", "7", "#9", "Bb", "A#"},

		{"C", "7", "#9", "Eb", "D#"},
		{"F", "7", "#9", "Ab", "G#"},
		{"Bb", "7", "#9", "Db", "C#"},
		{"Eb", "7", "#9", "Gb", "F#"},
		{"Ab", "7", "#9", "B", "B"},   // Cb is read as B
		{"E", "7", "#9", "G", "G"},    // F## as G
		{"Db", "7", "b9", "D", "D"},   // Ebb as D
		{"Db", "7", "#11", "G", "G"},  // the fifth of the G7 it stands for
		{"E", "7", "#11", "A#", "A#"}, // not Bb
		{"A", "7", "b9", "Bb", "Bb"},
		{"F#", "7", "maj7", "F", "F"}, // E# is read as F
		{"Eb", "7", "b13", "B", "B"},  // Cb as B
		{"G", "7#5", "#11", "C#", "C#"},
		{"G", "7b5", "b13", "Eb", "Eb"},
		{"G", "7alt", "b13", "Eb", "Eb"}, // no D# beside the Db
		{"Ab", "7alt", "b13", "E", "E"},  // nor an Fb where the b5 is written D
		{"G", "7alt", "#9", "A#", "A#"},  // the symbol names it
		{"C", "maj7", "b3", "Eb", "Eb"},
		{"C", "m7", "maj3", "E", "E"},
		{"D", "m7b5", "5", "A", "A"},
		{"C#", "dim7", "bb7", "Bb", "Bb"},
	} {
		over := chord(t, c.root, c.quality)
		class := tone.ClassOf(int(over.Root.Class()) + semitones[c.degree])
		for _, kind := range kinds {
			for root := range tone.Class(12) {
				s := harmony.NewScale(kind, root.Name())
				if !s.Set().Has(class) {
					assert.Equal(t, c.falling, s.Spell(class, over, false).String(), "%s of %s, falling, in %s", c.degree, over.Symbol(), s)
					assert.Equal(t, c.rising, s.Spell(class, over, true).String(), "%s of %s, rising, in %s", c.degree, over.Symbol(), s)
				}
			}
		}
	}
}

// semitones above the root, and steps of a letter above its letter (common practice).
var (
	semitones = map[string]int{"1": 0, "b9": 1, "9": 2, "#9": 3, "b3": 3, "3": 4, "maj3": 4, "4": 5, "#11": 6,
		"5": 7, "b13": 8, "6": 9, "13": 9, "bb7": 9, "b7": 10, "maj7": 11}
	letters = map[string]int{"1": 0, "b9": 1, "9": 1, "#9": 1, "b3": 2, "3": 2, "maj3": 2, "4": 3, "#11": 3,
		"5": 4, "b13": 5, "6": 5, "13": 5, "b7": 6, "maj7": 6}
)

// byLetter spells a degree over a root by counting letters, and what nobody reads in
// passing (double accidentals, Cb, Fb, E#, B#) as the plain key.
func byLetter(t *testing.T, root tone.Name, degree string) string {
	t.Helper()
	steps, ok := letters[degree]
	require.True(t, ok, "the degree %q", degree)
	class := tone.ClassOf(int(root.Class()) + semitones[degree])
	n, ok := tone.NameOn(tone.Letter((int(root.Letter)+steps)%7), class)
	if !ok || n.Alter == 2 || n.Alter == -2 || strings.Contains("Cb Fb E# B#", n.String()) && n.Alter != 0 {
		return [12]string{"C", "", "D", "Eb", "E", "F", "", "G", "", "A", "Bb", "B"}[class]
	}
	return n.String()
}

// Every tone that may stand over a dominant outside the scale is written as the
// degree that it is called by says, but for the sharp nine where the line falls.
func TestColoursAreWrittenAsTheirDegrees(t *testing.T) {
	checked := 0
	for _, quality := range []string{"7", "9", "13", "7b9", "7#9", "7#11", "7b5", "7#5", "7alt", "13b9", "7sus4", "9sus4"} {
		for root := range tone.Class(12) {
			over := chord(t, root.Name().String(), quality)
			for class := range (over.Colours(true) &^ over.Set()).Each() {
				degree := harmony.DegreeOver(over, class)
				assert.Equal(t, byLetter(t, over.Root, degree), harmony.Scale{}.Spell(class, over, true).String(), "%s of %s", degree, over.Symbol())
				if degree == "#9" {
					degree = "b3"
				}
				assert.Equal(t, byLetter(t, over.Root, degree), harmony.Scale{}.Spell(class, over, false).String(), "%s of %s", degree, over.Symbol())
				checked++
			}
		}
	}
	assert.Greater(t, checked, 400)
}

// tableChords are the chords of testdata/theory/chord_symbols.csv, in C.
func tableChords(t *testing.T) []harmony.Chord {
	t.Helper()
	file, err := os.Open("../../testdata/theory/chord_symbols.csv")
	require.NoError(t, err)
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	require.NoError(t, err)
	seen := map[harmony.Formula]bool{}
	var out []harmony.Chord
	for _, row := range rows[1:] {
		sym, err := harmony.ParseSymbol(row[0])
		if err != nil || sym.Chord.None() || seen[sym.Chord.Formula] {
			continue
		}
		seen[sym.Chord.Formula] = true
		out = append(out, harmony.Chord{Formula: sym.Chord.Formula})
	}
	require.Greater(t, len(out), 50)
	return out
}

// Whatever the chord, the scale and the line: a name sounds as its class and has no
// double accidental; a tone of the chord is written as the chord writes it, a tone
// of the scale as the scale does. And no letter is flat for one tone and sharp for
// another, unless the scale has one of them, or they are the flat and the sharp nine
// (both are asked for), or the seventh and the major seventh of a diminished chord.
func TestOneSpellingOverOneChord(t *testing.T) {
	scales := []harmony.Scale{{}}
	for _, kind := range kinds {
		for _, root := range usualRoots {
			scales = append(scales, scale(t, kind, root))
		}
	}
	for _, over := range tableChords(t) {
		for _, root := range usualRoots {
			over.Root = name(t, root)
			over.Bass = over.Root
			for _, s := range scales {
				for _, rising := range []bool{false, true} {
					oneSpelling(t, s, over, rising)
				}
			}
		}
	}
}

func oneSpelling(t *testing.T, s harmony.Scale, over harmony.Chord, rising bool) {
	t.Helper()
	var flat, sharp [7]tone.Set
	tones := s.Tones()
	for class := range tone.Class(12) {
		n := s.Spell(class, over, rising)
		chordal, ofChord := over.Spell(class)
		double := chordal.Plain() != chordal || over.Formula.Has(harmony.DoubleFlatSeven) && chordal == over.Name(harmony.DoubleFlatSeven)
		i, ofScale := s.Index(class)
		switch {
		case n.Class() != class || n.Plain() != n:
			require.Fail(t, "wrong or double", "%s for %d over %s in %s", n, class, over.Symbol(), s)
		case ofChord && !double:
			if n != chordal {
				require.Equal(t, chordal, n, "over %s in %s", over.Symbol(), s)
			}
		case ofScale:
			if n != tones[i] {
				require.Equal(t, tones[i], n, "over %s in %s", over.Symbol(), s)
			}
		case n.Easy() != n:
			require.Fail(t, "not easy", "%s over %s in %s", n, over.Symbol(), s)
		}
		switch {
		case ofScale && (!ofChord || double):
		case n.Alter < 0:
			flat[n.Letter] |= tone.SetOf(class)
		case n.Alter > 0:
			sharp[n.Letter] |= tone.SetOf(class)
		}
	}
	ninths := tone.SetOf(1, 3).Transpose(int(over.Root.Class()))
	sevenths := tone.SetOf(9, 11).Transpose(int(over.Root.Class()))
	for l := range flat {
		if both := flat[l] | sharp[l]; flat[l] != 0 && sharp[l] != 0 && both != ninths && (both != sevenths || !over.Formula.Has(harmony.DoubleFlatSeven)) {
			require.Fail(t, "flat and sharp", "%v over %s in %s, rising %t", both, over.Symbol(), s, rising)
		}
	}
}

// Without a chord a tone outside is sharp in a line that rises and flat in one that
// falls (common practice).
func TestWithoutAChordTheLineSpells(t *testing.T) {
	for _, c := range []struct{ root, falling, rising string }{
		{"C", "C Db D Eb E F Gb G Ab A Bb B", "C C# D D# E F F# G Ab A A# B"},
		{"F", "C Db D Eb E F Gb G Ab A Bb B", "C Db D D# E F F# G G# A Bb B"},
		{"E", "C C# D D# E F F# G G# A Bb B", "C C# D D# E F F# G G# A A# B"},
		{"Db", "C Db D Eb E F Gb G Ab A Bb B", "C Db D Eb E F Gb G Ab A Bb B"},
	} {
		s := scale(t, harmony.MajorSixth, c.root)
		falling, rising := s.Spelling(harmony.Chord{}, false), s.Spelling(harmony.Chord{}, true)
		assert.Equal(t, c.falling, strings.Join(falling[:], " "), c.root)
		assert.Equal(t, c.rising, strings.Join(rising[:], " "), c.root)
	}
}

// The chord that a player wrote, over any of its tones, keeps its letters when it is
// named by ear, in whatever scale (common practice).
func TestTheWrittenChordIsNeverRespelled(t *testing.T) {
	checked := 0
	for _, written := range tableChords(t) {
		for _, root := range usualRoots {
			written.Root = name(t, root)
			written.Bass = written.Root
			for _, kind := range kinds {
				for class := range tone.Class(12) {
					roots := harmony.RootsIn(harmony.NewScale(kind, class.Name())).Over(written)
					for _, n := range harmony.NamesIn(written.Set(), written.Bass.Class(), roots) {
						if n.Chord.Formula == written.Formula && n.Chord.Root.Class() == written.Root.Class() {
							require.Equal(t, written, n.Chord)
							checked++
						}
					}
				}
			}
		}
	}
	assert.Greater(t, checked, 10_000)
}
