package harmony_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"shedlight/analyse/harmony"
	"shedlight/analyse/tone"
)

func ExampleScale_Spelling() {
	c, _ := tone.ParseName("C")
	e, _ := tone.ParseName("E")
	e7 := harmony.Chord{Root: e, Bass: e, Formula: harmony.FormulaOf(harmony.One, harmony.Three, harmony.Five, harmony.FlatSeven)}
	inC := harmony.NewScale(harmony.MajorSixth, c)
	fmt.Println(inC.Spelling(harmony.Chord{}, false))
	fmt.Println(inC.Spelling(e7, false))
	// Output:
	// [C Db D Eb E F Gb G Ab A Bb B]
	// [C C# D D# E F F# G G# A A# B]
}

// Common practice: the chord's own tones first, then the scale's, then degrees over
// the chord; without a chord flats in a line that falls.
func TestHowNotesAreWritten(t *testing.T) {
	for _, c := range []struct {
		kind  harmony.ScaleKind
		root  string
		chord harmony.Chord
		want  string // from C up
	}{
		{harmony.MajorSixth, "G", harmony.Chord{}, "C Db D Eb E F F# G Ab A Bb B"},
		{harmony.MajorSixth, "D", harmony.Chord{}, "C C# D Eb E F F# G Ab A Bb B"},
		{harmony.MajorSixth, "E", harmony.Chord{}, "C C# D D# E F F# G G# A Bb B"},
		{harmony.MajorSixth, "B", harmony.Chord{}, "C C# D D# E F F# G G# A A# B"},
		{harmony.MajorSixth, "F", harmony.Chord{}, "C Db D Eb E F Gb G Ab A Bb B"},
		{harmony.MajorSixth, "Eb", harmony.Chord{}, "C Db D Eb E F Gb G Ab A Bb Cb"},
		{harmony.MajorSixth, "Db", harmony.Chord{}, "C Db D Eb E F Gb G Ab A Bb B"},
		{harmony.MajorSixth, "Gb", harmony.Chord{}, "C Db D Eb E F Gb G Ab A Bb Cb"},
		{harmony.MajorSixth, "F#", harmony.Chord{}, "C C# D D# E E# F# G G# A A# B"},
		{harmony.MinorSixth, "C", harmony.Chord{}, "C Db D Eb E F Gb G Ab A Bb B"},
		{harmony.MinorSixth, "F#", harmony.Chord{}, "C C# D D# E E# F# G G# A Bb B"},
		{harmony.DominantSeventh, "C", harmony.Chord{}, "C Db D Eb E F Gb G Ab A Bb B"},
		{harmony.MajorSixth, "C", chord(t, "A", "7"), "C C# D D# E F F# G Ab A Bb B"},
		{harmony.MajorSixth, "C", chord(t, "G", "7alt"), "C Db D Eb E F F# G Ab A A# B"},
		{harmony.MinorSixth, "C", chord(t, "F", "m7b5"), "C Db D Eb E F Gb G Ab A Bb Cb"},
		{harmony.MajorSixth, "C", chord(t, "D", "dim7"), "C C# D Eb E F F# G Ab A Bb B"},
		{harmony.MajorSixth, "C", chord(t, "D#", "dim7"), "C C# D D# E F F# G Ab A A# B"},
		{harmony.MajorSixth, "A", slash(t, "B", "dim7", "Ab"), "C C# D D# E F F# G Ab A A# B"},
		{0, "C", chord(t, "B", "7#9"), "C C# D D# E F F# G G# A A# B"},
	} {
		var s harmony.Scale
		if c.kind != 0 {
			s = scale(t, c.kind, c.root)
		}
		spelling := s.Spelling(c.chord, false)
		assert.Equal(t, c.want, strings.Join(spelling[:], " "), "%s over %v", s.Short(), c.chord)
	}
}

// Whatever the scale and the chord, a name sounds as its class, has no double
// accidental, and outside both it has no Cb, Fb, E# or B# either.
func TestNoSpellingIsWrong(t *testing.T) {
	for _, kind := range kinds {
		for _, root := range usualRoots {
			s := scale(t, kind, root)
			for quality := range qualities {
				for _, chordRoot := range usualRoots {
					over := chord(t, chordRoot, quality)
					for class := range tone.Class(12) {
						n := s.Spell(class, over, false)
						assert.Equal(t, class, n.Class())
						assert.Equal(t, n, n.Plain())
						if !s.Set().Has(class) && !over.Set().Has(class) {
							assert.Equal(t, n, n.Easy())
						}
					}
				}
			}
		}
	}
}

func TestASpellingAllocatesNothing(t *testing.T) {
	s, over := scale(t, harmony.MajorSixth, "Db"), chord(t, "Ab", "13b9")
	var spelling harmony.Spelling
	assert.Zero(t, testing.AllocsPerRun(100, func() { spelling = s.Spelling(over, true) }))
	assert.Equal(t, "Gb", spelling[6])
}
