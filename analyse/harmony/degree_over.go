package harmony

import "shedlight/analyse/tone"

// DegreeOver returns what a pitch class is over a chord, as players say it
// (common practice). The chord's own third and seventh are "3" and "7" whatever
// their size, so that the C of Dm7 going to the B of G7 is "7 to 3"; what the
// chord does not hold is told exactly: "b7" and "b3" over Cmaj7, "maj7" and "#9"
// over C7, "9", "4". It is empty where there is no chord.
func DegreeOver(c Chord, class tone.Class) string {
	if c.None() {
		return ""
	}
	above := int(tone.ClassOf(int(class) - int(c.Root.Class())))
	for d := One; d <= Seven; d++ {
		if c.Formula.Has(d) && d.Semitones() == above {
			return ownDegree(c.Formula, d)
		}
	}
	return degreeNotHeld(c.Formula, above)
}

// ownDegree names a degree that the chord holds.
func ownDegree(f Formula, d Degree) string {
	third := f.Has(Three) || f.Has(FlatThree)
	seventh := f.Has(FlatSeven) || f.Has(Seven)
	switch {
	case d == FlatThree:
		return "3"
	case d == FlatSeven || d == DoubleFlatSeven:
		return "7"
	case d == Four && !third:
		return "4"
	case d == Six && !seventh:
		return "6"
	}
	return d.String()
}

// degreeNotHeld names a tone that the chord does not hold, by how many
// semitones it lies above the root.
func degreeNotHeld(f Formula, above int) string {
	const minorThird, majorThird, majorSixth = 3, 4, 9 // semitones
	switch {
	case above == minorThird && f.Has(Three) && f.Has(FlatSeven): // over a dominant
		return "#9"
	case above == majorThird && f.Has(FlatThree):
		return "maj3"
	case above == majorSixth && f.Has(FlatSeven):
		return "13"
	}
	return [...]string{"1", "b9", "9", "b3", "3", "4", "#11", "5", "b13", "6", "b7", "maj7"}[above]
}
