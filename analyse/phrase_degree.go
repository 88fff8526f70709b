package analyse

import (
	"shedlight/analyse/harmony"
	"shedlight/analyse/tone"
)

// wholeStep is two semitones.
const wholeStep = 2

// chordDegree returns what a pitch class is over a chord, as players say it
// (common practice). The chord's own third and seventh are "3" and "7" whatever
// their size, so that the C of Dm7 going to the B of G7 is "7 to 3"; what the
// chord does not hold is told exactly: "b7" and "b3" over Cmaj7, "maj7" and "#9"
// over C7, "9", "4". It is empty where there is no chord.
func chordDegree(c harmony.Chord, class tone.Class) string {
	if c.None() {
		return ""
	}
	above := int(tone.ClassOf(int(class) - int(c.Root.Class())))
	for d := harmony.One; d <= harmony.Seven; d++ {
		if c.Formula.Has(d) && d.Semitones() == above {
			return ownDegree(c.Formula, d)
		}
	}
	return foreignDegree(c.Formula, above)
}

// ownDegree names a degree that the chord holds.
func ownDegree(f harmony.Formula, d harmony.Degree) string {
	third := f.Has(harmony.Three) || f.Has(harmony.FlatThree)
	seventh := f.Has(harmony.FlatSeven) || f.Has(harmony.Seven)
	switch {
	case d == harmony.FlatThree:
		return "3"
	case d == harmony.FlatSeven || d == harmony.DoubleFlatSeven:
		return "7"
	case d == harmony.Four && !third:
		return "4"
	case d == harmony.Six && !seventh:
		return "6"
	}
	return d.String()
}

// foreignDegree names a tone that the chord does not hold, by how many
// semitones it lies above the root.
func foreignDegree(f harmony.Formula, above int) string {
	const minorThird, majorThird, tritone, majorSixth = 3, 4, 6, 9 // semitones
	switch {
	case above == minorThird && f.Has(harmony.Three) && f.Has(harmony.FlatSeven): // over a dominant
		return "#9"
	case above == majorThird && f.Has(harmony.FlatThree):
		return "maj3"
	case above == tritone && f.Has(harmony.Five):
		return "#11"
	case above == majorSixth && f.Has(harmony.FlatSeven):
		return "13"
	}
	return [...]string{"1", "b9", "9", "b3", "3", "4", "b5", "5", "b13", "6", "b7", "maj7"}[above]
}

// DegreeWords writes a degree of a chord as it is said: "the 3rd", "the root",
// "the b9".
func DegreeWords(degree string) string {
	switch degree {
	case "1":
		return "the root"
	case "3":
		return "the 3rd"
	case "maj3":
		return "the major 3rd"
	case "maj7":
		return "the major 7th"
	case "4", "5", "6", "7", "9", "11", "13":
		return "the " + degree + "th"
	}
	return "the " + degree
}
