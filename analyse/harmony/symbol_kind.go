package harmony

// Kinds of chord, as Kind returns them. The list is closed.
const (
	KindMajor          = "major"           // a major third, with a major seventh, a sixth or neither
	KindDominant       = "dominant"        // a minor seventh with a major third, or with none
	KindMinor          = "minor"           // a minor third, plain or with a minor seventh
	KindMinorSixth     = "minor sixth"     // a minor third with a sixth or major seventh: a tonic minor
	KindHalfDiminished = "half-diminished" // minor third, flat five, minor seventh
	KindDiminished     = "diminished"      // minor third and flat five without a minor seventh
	KindAugmented      = "augmented"       // major third and sharp five without a seventh
	KindSuspended      = "suspended"       // a second or fourth in place of the third
	KindPower          = "power"           // root and fifth alone
	KindOther          = "other"           // anything else
)

// Kind names the family a chord belongs to, for grouping chords of the same use
// in a review; the empty string for no chord. The families are those to which
// players give the same scales (common practice), so a minor seventh and a minor
// sixth stand apart, and a major seventh and a sixth together.
func (c Chord) Kind() string {
	f := c.Formula
	flatFive := f&fifths == 1<<FlatFive
	switch {
	case f == 0:
		return ""
	case f.Has(Three) && f.Has(FlatSeven):
		return KindDominant
	case f.Has(Three) && f&fifths == 1<<SharpFive && f&(sevenths|1<<Six) == 0:
		return KindAugmented
	case f.Has(Three):
		return KindMajor
	case f.Has(FlatThree) && flatFive && f.Has(FlatSeven):
		return KindHalfDiminished
	case f.Has(FlatThree) && (flatFive || f.Has(DoubleFlatSeven)):
		return KindDiminished
	case f.Has(FlatThree) && (f.Has(Seven) || f.Has(Six)) && !f.Has(FlatSeven):
		return KindMinorSixth
	case f.Has(FlatThree):
		return KindMinor
	case f&(1<<Four|1<<FlatNine|1<<Nine|1<<SharpEleven) != 0 && f&(fifths|sevenths) != 0:
		return KindSuspended
	case f.Has(FlatSeven):
		return KindDominant
	case f.Has(Seven):
		return KindMajor
	case f == FormulaOf(One, Five):
		return KindPower
	}
	return KindOther
}
