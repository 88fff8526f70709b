package display

import (
	"slices"
	"strings"

	"shedlight/analyse/harmony"
	"shedlight/analyse/tone"
)

// StepNames is what a chord of a family is called and how it is then written.
type StepNames struct {
	// Name is the first name of the chord, or its notes from the bass up
	// where no musician has a name for them: "E F G A". Then Named is false.
	// A name holds the sounding tones and no others; what it lacks stands in it,
	// "C7(no5)", "G9(no1,no5)/B".
	Name  string
	Named bool
	// Said is the chord that the name is meant for, "G9 without root and fifth",
	// where a player knows it by that chord; else of no chord.
	Said   harmony.Naming
	Tones  []tone.Name // of each key from the lowest up, as the name asks for
	Others []harmony.Naming
	// Borrowed reads the chord as the scale's home chord with dim voices, "C6
	// with B for A"; without a home chord where it is none.
	Borrowed harmony.Borrowing

	root tone.Class // of the first name
}

// NameStep names a chord of a family at concert pitch, with roots spelled as in
// the family's scale. The written chord, which the family is made of, is called
// and spelled as it is written wherever it comes; where its natural fifth is left
// out the name says so. A major triad or seventh with a flat fifth is called by the
// chord whose shell or rootless voicing it is: B F A is G9, F A B E is G13
// (common practice). The dim
// half is spelled from the scale, whichever of its tones it is called by: in A
// the chord on D is D F G# B (common practice). But the root and the bass of the
// name are written as in the name. Where the chord has no exact name, Others still
// holds the chords of which it can be a shell or a rootless voicing.
func NameStep(st harmony.Step, in harmony.Scale, written harmony.Chord) StepNames {
	roots := harmony.RootsIn(in).Over(written)
	out := StepNames{Tones: st.Tones}
	out.Borrowed, _ = harmony.Borrowed(st.Set, in)
	names := harmony.NamesIn(st.Set, st.Bass, roots)
	if st.Bass == written.Bass.Class() && (st.Set == written.Set() || st.Set == written.Altered()) {
		if st.Set != written.Set() {
			written.Formula &^= harmony.FormulaOf(harmony.Five)
		}
		out.Tones = tonesOver(written, st, in)
		return out.as(written, written, names)
	}
	if len(names) == 0 {
		out.Name = harmony.NoteNames(st.Set, st.Bass, roots)
		out.Others = harmony.Readings(st.Set, st.Bass, roots)
		return out
	}
	first := names[0].Chord
	if at := slices.IndexFunc(names, silent); at >= 0 && unheard(first) {
		out.Said = names[at]
		first = sounding(names[at].Chord, st, first)
	}
	switch {
	case first.Root == written.Root && first.Formula&^written.Formula == 0:
		out.Tones = tonesOver(written, st, in)
	case st.Half != harmony.DimHalf:
		out.Tones = st.Spell(first)
	}
	return out.as(first, written, names)
}

// unheard reports whether a chord is a name that no lead sheet shows: a major
// triad or seventh with a flat fifth.
func unheard(c harmony.Chord) bool {
	const plain = 1<<harmony.One | 1<<harmony.Three | 1<<harmony.FlatFive
	return c.Formula&^(1<<harmony.Seven) == plain
}

// silent reports whether a name claims tones that do not sound.
func silent(n harmony.Naming) bool { return n.Reading != harmony.ReadExact }

// onRoot is 1 for a name on the root of a chord, else 0.
func onRoot(n harmony.Naming, c harmony.Chord) int {
	if n.Chord.Root.Class() == c.Root.Class() {
		return 1
	}
	return 0
}

// sounding is the part of a chord that sounds in a step, over the bass of the
// step's exact name.
func sounding(c harmony.Chord, st harmony.Step, exact harmony.Chord) harmony.Chord {
	for d := harmony.One; d <= harmony.Seven; d++ {
		if !st.Set.Has(c.Name(d).Class()) {
			c.Formula &^= harmony.FormulaOf(d)
		}
	}
	c.Bass = exact.Bass
	if n, ok := c.Spell(st.Bass); ok {
		c.Bass = n
	}
	return c
}

// as calls the step by a chord, whatever else it is called, on the root of the
// written chord first, and writes the root and the bass as the name does.
func (n StepNames) as(c, written harmony.Chord, names []harmony.Naming) StepNames {
	n.Name, n.Named, n.root = c.Symbol(), true, c.Root.Class()
	n.Others = slices.DeleteFunc(names, func(o harmony.Naming) bool { return o.Chord == c })
	slices.SortStableFunc(n.Others, func(a, b harmony.Naming) int { return onRoot(b, written) - onRoot(a, written) })
	n.Tones = slices.Clone(n.Tones)
	for i, t := range n.Tones {
		switch t.Class() {
		case c.Bass.Class():
			n.Tones[i] = c.Bass
		case c.Root.Class():
			n.Tones[i] = c.Root
		}
	}
	return n
}

// tonesOver spells the tones of a step that is the written chord or part of it.
func tonesOver(written harmony.Chord, st harmony.Step, in harmony.Scale) []tone.Name {
	out := slices.Clone(st.Tones)
	for i, n := range out {
		out[i] = in.Spell(n.Class(), written, false)
	}
	return out
}

// also lists the other names of a chord for a reader, mostAlso at most: the home
// chord it is a colour of, and before it an exact one or what it can stand for.
func (n StepNames) also(sp speller) []string {
	var out []string
	for _, o := range n.Others {
		// Where a silent root is the first name's the name has said so: (no5).
		if !rare(o.Chord) && !(silent(o) && o.Chord.Root.Class() == n.root) {
			out = append(out, sp.naming(o))
		}
	}
	if n.Borrowed.Home.None() {
		return out[:min(len(out), mostAlso)]
	}
	return append(out[:min(len(out), mostAlso-1)], sp.borrowed(n.Borrowed))
}

// rare reports whether a name tells a player nothing beside a better one (common
// practice): a triad with an altered or no third and something added, Csus24,
// C(addb9), Caug(add9); a diminished triad over another bass; Cdim7(maj7).
func rare(c harmony.Chord) bool {
	f := c.Formula
	has := func(ds ...harmony.Degree) bool { return f&harmony.FormulaOf(ds...) != 0 }
	third, seventh := has(harmony.Three, harmony.FlatThree), has(harmony.FlatSeven, harmony.Seven, harmony.DoubleFlatSeven)
	sus4 := harmony.FormulaOf(harmony.One, harmony.Four, harmony.Five)
	sus2 := harmony.FormulaOf(harmony.One, harmony.Nine, harmony.Five)
	dim := harmony.FormulaOf(harmony.One, harmony.FlatThree, harmony.FlatFive)
	switch {
	case has(harmony.DoubleFlatSeven) && has(harmony.Seven):
		return true
	case seventh:
		return false
	case !third:
		return f != sus4 && f != sus2
	case f == dim:
		return c.Bass != c.Root
	}
	return has(harmony.FlatNine, harmony.SharpNine, harmony.SharpEleven, harmony.FlatThirteen) ||
		has(harmony.SharpFive) && has(harmony.Nine)
}

// first is the first name for a reader.
func (n StepNames) first(sp speller) string {
	switch {
	case !n.Named:
		return "no chord name"
	case n.Said.Chord.None():
		return sp.symbol(n.Name)
	}
	return sp.naming(n.Said)
}

// naming shows a name and what it claims: "G9 without root and fifth".
func (s speller) naming(n harmony.Naming) string {
	text := s.symbol(n.Chord.Symbol())
	if what, ok := strings.CutSuffix(n.Reason, " left out"); ok && silent(n) {
		text += " without " + what
	}
	return text
}

// borrowed shows a borrowing as it prints itself: "B♭6 with E♭ for D".
func (s speller) borrowed(b harmony.Borrowing) string {
	loans := make([]string, 0, len(b.Loans()))
	for _, l := range b.Loans() {
		loans = append(loans, s.print(l.Tone)+" for "+s.print(l.For))
	}
	return s.symbol(b.Home.Symbol()) + " with " + strings.Join(loans, " and ")
}

// chord moves a chord to written pitch; its tones are then spelled there.
func (s speller) chord(c harmony.Chord) harmony.Chord {
	if c.None() || s.written == tone.InC {
		return c
	}
	out := harmony.Chord{Root: s.root(c.Root, c.Formula.Has(harmony.FlatThree)), Formula: c.Formula}
	out.Bass = out.Root
	if c.Bass != c.Root {
		out.Bass = s.written.Written(c.Bass)
		if n, ok := out.Spell(out.Bass.Class()); ok {
			out.Bass = n
		}
	}
	return out
}

// lacks returns the tones that a chord has and a scale has not, as they are
// written over the chord, from its root up.
func lacks(c harmony.Chord, sc harmony.Scale) []tone.Name {
	var out []tone.Name
	for _, class := range (c.Set() &^ sc.Set()).Classes() {
		out = append(out, sc.Spell(class, c, false))
	}
	above := func(n tone.Name) tone.Class { return tone.ClassOf(int(n.Class()) - int(c.Root.Class())) }
	slices.SortFunc(out, func(a, b tone.Name) int { return int(above(a)) - int(above(b)) })
	return out
}
