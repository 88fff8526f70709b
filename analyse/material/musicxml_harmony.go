package material

import (
	"strings"

	"shedlight/analyse/changes"
	"shedlight/analyse/harmony"
)

// kinds are those of MusicXML 4.0 (type kind-value) with what a chord symbol has behind
// its root, the plainer before the fuller.
var kinds = [...]struct{ kind, suffix string }{
	{"major", ""}, {"minor", "m"}, {"augmented", "aug"}, {"dominant", "7"}, {"major-seventh", "maj7"},
	{"minor-seventh", "m7"}, {"diminished-seventh", "dim7"}, {"augmented-seventh", "7#5"}, {"half-diminished", "m7b5"},
	{"major-minor", "m(maj7)"}, {"major-sixth", "6"}, {"minor-sixth", "m6"}, {"dominant-ninth", "9"},
	{"major-ninth", "maj9"}, {"minor-ninth", "m9"}, {"dominant-13th", "13"}, {"suspended-second", "sus2"},
	{"suspended-fourth", "sus4"}, {"power", "5"},
}

// degreeSigns are a chord's degrees as MusicXML counts them: a number, and how far it
// lies from that of the major scale.
var degreeSigns = [...]struct {
	number, alter int
	degree        harmony.Degree
}{
	{9, -1, harmony.FlatNine}, {9, 0, harmony.Nine}, {9, 1, harmony.SharpNine},
	{3, -1, harmony.FlatThree}, {3, 0, harmony.Three},
	{11, 0, harmony.Four}, {11, 1, harmony.SharpEleven},
	{5, -1, harmony.FlatFive}, {5, 0, harmony.Five}, {5, 1, harmony.SharpFive},
	{13, -1, harmony.FlatThirteen}, {13, 0, harmony.Six},
	{7, -2, harmony.DoubleFlatSeven}, {7, -1, harmony.FlatSeven}, {7, 0, harmony.Seven},
}

// change is a degree that a chord has beside its kind, or lacks.
type change struct {
	number, alter int
	what          string // add, alter or subtract
}

// kindOf returns the kind that a chord is nearest to, and what makes the chord of it.
func kindOf(c harmony.Chord) (kind string, all []change) {
	best := -1
	for _, k := range kinds {
		read, err := harmony.ParseSymbol(c.Root.String() + k.suffix)
		if err != nil {
			continue
		}
		if found := changesTo(c.Formula, read.Chord.Formula); best < 0 || len(found) < best {
			kind, all, best = k.kind, found, len(found)
		}
	}
	return kind, all
}

// changesTo returns what makes a formula of another. An added seventh is counted from
// the dominant's, an altered degree from the one that the kind has (MusicXML 4.0,
// element degree-alter, from memory).
func changesTo(f, from harmony.Formula) (out []change) {
	const seventh = 7
	lost := from &^ f
	for _, d := range degreeSigns {
		if !f.Has(d.degree) || from.Has(d.degree) {
			continue
		}
		c := change{d.number, d.alter, "add"}
		for _, had := range degreeSigns {
			if had.number == d.number && lost.Has(had.degree) {
				c.what, c.alter = "alter", d.alter-had.alter
				lost &^= harmony.FormulaOf(had.degree)
				break
			}
		}
		if c.what == "add" && d.number == seventh {
			c.alter++
		}
		out = append(out, c)
	}
	for _, d := range degreeSigns {
		if lost.Has(d.degree) {
			out = append(out, change{d.number, 0, "subtract"})
		}
	}
	return out
}

// harmony writes a chord, offset ticks behind the note that is written next.
func (w *scoreWriter) harmony(slot *changes.Slot, offset int64) {
	c := slot.Chord
	w.open("harmony")
	if c.None() {
		w.text("function", "") // a kind stands behind one of three; a root is printed by some, its empty text or not
		w.text(`kind text="N.C."`, "none")
	} else {
		kind, all := kindOf(c)
		w.pitchName("root", c.Root)
		bare := c
		bare.Bass = c.Root
		printed := strings.TrimPrefix(bare.ChartSymbol(), c.Root.String())
		w.text(`kind text="`+printed+`"`, kind)
		if c.Bass != c.Root {
			w.pitchName("bass", c.Bass)
		}
		for _, d := range all {
			w.open(`degree print-object="no"`)
			w.text("degree-value", d.number)
			w.text("degree-alter", d.alter)
			w.text("degree-type", d.what)
			w.close("degree")
		}
	}
	if offset > 0 {
		w.text("offset", offset)
	}
	w.close("harmony")
}
