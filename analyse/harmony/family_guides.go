package harmony

import (
	"math/bits"

	"shedlight/analyse/tone"
)

// guides returns the degrees that stand for third, fifth, seventh and ninth in
// shells and rootless voicings, each one degree or none; testdata/reference/voicings
// has them worked out (all of it common practice).
//
// The fourth stands for the third in suspended chords. An altered fifth, a sharp
// eleventh or a flat thirteenth that is written stands for the fifth; else the
// thirteenth in dominants, and where it is written over a major seventh or a
// fourth; a minor chord keeps its fifth. The sixth stands for the seventh where
// a triad has none, the flat seventh in suspended triads, the diminished one in
// diminished triads. The ninth is the altered one that is written, the sharp
// before the flat, else the plain one.
func (f Formula) guides() (third, fifth, seventh, ninth Formula) {
	third = f.third()
	minor, suspended := third.Has(FlatThree), !f.hasThird()
	seventh = f.first(FlatSeven, Seven, DoubleFlatSeven, Six)
	dominant := third.Has(Three) && seventh.Has(FlatSeven)
	thirteenth := dominant || f.Has(Six) && !minor && seventh&sevenths != 0
	switch {
	case minor:
		fifth = f.first(FlatFive, SharpFive, Five)
	case f.hasAny(FlatThirteen, SharpFive, FlatFive, SharpEleven):
		fifth = f.first(FlatThirteen, SharpFive, FlatFive, SharpEleven)
	case thirteenth:
		fifth = FormulaOf(Six)
	default:
		fifth = f & FormulaOf(Five)
	}
	switch {
	case seventh != 0 || third == 0:
	case suspended:
		seventh = FormulaOf(FlatSeven)
	case minor && f.Has(FlatFive):
		seventh = FormulaOf(DoubleFlatSeven)
	case f.Has(Five):
		seventh = FormulaOf(Six)
	}
	if third == 0 {
		return third, fifth, seventh, 0
	}
	ninth = f.first(SharpNine, FlatNine)
	if ninth == 0 {
		ninth = FormulaOf(Nine)
	}
	return third, fifth, seventh, ninth
}

// third is what stands for the third: the fourth where the chord is suspended, else the
// ninth.
func (f Formula) third() Formula { return f.first(Three, FlatThree, Four, Nine) }

// Third returns the tone that stands for the third of a chord: the fourth of a suspended
// one, the ninth where it has neither (common practice). ok is false where it has none of
// them, as C5, and for no chord.
func (c Chord) Third() (third tone.Class, ok bool) {
	f := c.Formula.third()
	if c.None() || f == 0 {
		return 0, false
	}
	return tone.ClassOf(int(c.Root.Class()) + Degree(bits.TrailingZeros16(uint16(f))).Semitones()), true
}

// ownTones is how many tones a chord has of its own, without tensions.
const ownTones = 4

// Own returns the chord with its own four tones alone, root, third, fifth, and
// seventh or sixth, where it has more than four: G7 for G9, C6 for C6/9. A
// fourth stands for a third that is not there; of two altered fifths the sharp
// one is kept, as players say 7#5 for an altered dominant; where there is
// neither seventh nor sixth the lowest tension comes in. The bass stays.
func (c Chord) Own() Chord {
	f := c.Formula
	if f.intervals().Len() <= ownTones {
		return c
	}
	own := f.first(One) | f.third() | f.first(Five, SharpFive, FlatFive) |
		f.first(FlatSeven, Seven, DoubleFlatSeven, Six)
	for d := One; d < degrees && bits.OnesCount16(uint16(own)) < ownTones; d++ {
		own |= f & FormulaOf(d)
	}
	c.Formula = own
	return c
}

// first returns the first of the degrees that the formula holds, as a formula;
// none of them gives none.
func (f Formula) first(ds ...Degree) Formula {
	for _, d := range ds {
		if f.Has(d) {
			return FormulaOf(d)
		}
	}
	return 0
}
