// Package harmony knows chords and sixth-diminished scales: what a symbol
// means, what a set of tones is called, which scale goes with which chord, and
// the family of chords that a voicing makes when it moves up a scale.
package harmony

import "shedlight/analyse/tone"

// Degree is a tone of a chord as a musician counts it from the root. Tensions
// share a degree with their lower octave: 2 is 9, 4 is 11, 6 is 13. Degrees
// that sound alike and are written differently stay apart.
type Degree uint8

const (
	One Degree = iota
	FlatNine
	Nine
	SharpNine
	FlatThree
	Three
	Four // 4 or 11
	SharpEleven
	FlatFive
	Five
	SharpFive
	FlatThirteen
	Six // 6 or 13
	DoubleFlatSeven
	FlatSeven
	Seven
	degrees // how many there are
)

// degreeTable gives for each degree the letters and semitones above the root,
// and the label a musician writes.
var degreeTable = [degrees]struct {
	letters   int
	semitones int
	label     string
}{
	One:             {0, 0, "1"},
	FlatNine:        {1, 1, "b9"},
	Nine:            {1, 2, "9"},
	SharpNine:       {1, 3, "#9"},
	FlatThree:       {2, 3, "b3"},
	Three:           {2, 4, "3"},
	Four:            {3, 5, "11"},
	SharpEleven:     {3, 6, "#11"},
	FlatFive:        {4, 6, "b5"},
	Five:            {4, 7, "5"},
	SharpFive:       {4, 8, "#5"},
	FlatThirteen:    {5, 8, "b13"},
	Six:             {5, 9, "13"},
	DoubleFlatSeven: {6, 9, "bb7"},
	FlatSeven:       {6, 10, "b7"},
	Seven:           {6, 11, "7"},
}

// String prints the degree as written in a chord symbol: "b9", "3", "#11".
func (d Degree) String() string { return degreeTable[d].label }

// Semitones returns how far the degree lies above the root, 0 to 11.
func (d Degree) Semitones() int { return degreeTable[d].semitones }

// Formula is a chord's set of degrees: bit n is Degree n.
type Formula uint16

// FormulaOf returns the formula with the given degrees.
func FormulaOf(ds ...Degree) Formula {
	var f Formula
	for _, d := range ds {
		f |= 1 << d
	}
	return f
}

// Has reports whether the formula holds the degree.
func (f Formula) Has(d Degree) bool { return f>>d&1 == 1 }

// hasAny reports whether the formula holds one of the degrees.
func (f Formula) hasAny(ds ...Degree) bool { return f&FormulaOf(ds...) != 0 }

// Chord is what a chord symbol means: a root, the degrees above it and the tone
// in the bass. It is a value; equal chords compare equal. The zero Chord is no
// chord at all (N.C.).
type Chord struct {
	Root    tone.Name
	Bass    tone.Name // the root unless the symbol is a slash chord
	Formula Formula
}

// None reports whether there is no chord (N.C.).
func (c Chord) None() bool { return c.Formula == 0 }

// Set returns the pitch classes of the chord's degrees and of its bass.
func (c Chord) Set() tone.Set {
	if c.None() {
		return 0
	}
	return c.degreeSet() | tone.SetOf(c.Bass.Class())
}

// degreeSet returns the pitch classes of the degrees, without the bass.
func (c Chord) degreeSet() tone.Set {
	var s tone.Set
	for d := One; d < degrees; d++ {
		if c.Formula.Has(d) {
			s |= 1 << d.Semitones()
		}
	}
	return s.Transpose(int(c.Root.Class()))
}

// Altered returns the tones with which players sound a chord that has an altered
// ninth, eleventh or thirteenth: without its natural fifth (common practice). It
// is empty for other chords.
func (c Chord) Altered() tone.Set {
	if !c.Formula.hasAny(FlatNine, SharpNine, SharpEleven, FlatThirteen) {
		return 0
	}
	c.Formula &^= 1 << Five
	return c.Set()
}

// Name returns the spelled tone of a degree over the chord's root. A degree
// that would take more than two accidentals is spelled as the nearest tone
// with fewer.
func (c Chord) Name(d Degree) tone.Name {
	t := degreeTable[d]
	return c.Root.Transpose(t.letters, t.semitones)
}

// Spell returns how the chord writes a pitch class; ok is false for a class
// that is not one of its tones. A sharp five beside a flat five is written as
// the flat thirteen, so that no letter stands for two tones side by side: Db and
// Eb in G7alt, but D and E in Ab7alt (common practice).
func (c Chord) Spell(class tone.Class) (n tone.Name, ok bool) {
	if c.None() {
		return tone.Name{}, false
	}
	for d := One; d < degrees; d++ {
		if !c.Formula.Has(d) || c.Name(d).Class() != class {
			continue
		}
		n = c.Name(d)
		if d == SharpFive && c.Formula.Has(FlatFive) {
			if thirteen := c.Name(FlatThirteen); thirteen.Easy() == thirteen {
				n = thirteen
			}
		}
		return n, true
	}
	return c.Bass, c.Bass.Class() == class
}
