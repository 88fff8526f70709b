package harmony

import (
	"strings"

	"shedlight/analyse/tone"
)

// Meant returns the chord that tones are meant for which a player laid for c: C6 for the
// shell C E A of C6 or C, Cm6/9 for Eb G A D, C13 for E A Bb D. The tones are a shell or a
// rootless voicing of c, and its root, its fifth or both are left to others; ok is false
// for all else (common practice).
func (c Chord) Meant(sounding tone.Set) (n Naming, ok bool) {
	third, fifth, seventh, ninth := c.Formula.guides()
	if third == 0 || seventh == 0 {
		return Naming{}, false
	}
	for _, form := range [...]struct {
		laid Formula
		kind Reading
	}{{FormulaOf(One) | third | seventh, ReadShell}, {third | fifth | seventh | ninth, ReadRootless}} {
		laid := Chord{Root: c.Root, Bass: c.Root, Formula: form.laid}
		left := (c.Own().Formula | FormulaOf(One)) &^ form.laid
		if laid.Formula.intervals().Transpose(int(c.Root.Class())) != sounding || left == 0 || left&^(FormulaOf(One)|fifths) != 0 {
			continue
		}
		var words []string
		if left.Has(One) {
			words = append(words, "root")
		}
		if left.hasFifth() {
			words = append(words, "fifth")
		}
		laid.Formula |= left
		return Naming{Chord: laid, Reading: form.kind, Reason: strings.Join(words, " and ") + " left out"}, true
	}
	return Naming{}, false
}
