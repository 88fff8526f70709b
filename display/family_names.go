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
	// Said is what a player calls it by the chord that it is meant for or a part of, "G9
	// rootless", "C6 without fifth", where that is not Name; else of no chord.
	Said   harmony.Naming
	Tones  []tone.Name // of each key from the lowest up, as the name asks for
	Others []harmony.Naming
	// Borrowed reads the chord as the scale's home chord with dim voices, "C6
	// with B for A"; without a home chord where it is none.
	Borrowed harmony.Borrowing

	root  tone.Class    // of the name that is said
	exact harmony.Chord // the likeliest of the exact names
}

// NameFamily names the chords of a family at concert pitch, with roots spelled as in
// the family's scale. The written chord, which the family is made of, is called
// and spelled as it is written wherever it comes; where its natural fifth is left
// out the name says so. The first chord, where it is a shell or a rootless voicing of
// the written one, is called by that: C E A is C6 without fifth (harmony.Chord.Meant).
// A major triad or seventh with a flat fifth is called by the chord whose shell or
// rootless voicing it is: B F A is G9, F A B E is G13; so is what has no exact name, by
// the likeliest of those chords. Three tones of the home chord that no
// triad is are called by that: G A E is C6/G without root (all common practice). The dim
// half is spelled from the scale, whichever of its tones it is called by: in A
// the chord on D is D F G# B (common practice). But the root and the bass of the
// name are written as in the name.
func NameFamily(f harmony.Family, written harmony.Chord) []StepNames {
	out := make([]StepNames, len(f.Steps))
	for i, st := range f.Steps {
		asked := harmony.Naming{}
		if i == 0 && !written.None() {
			asked, _ = written.Meant(st.Set)
		}
		out[i] = nameStep(st, f.Scale, written, asked)
	}
	return out
}

// nameStep names a chord; asked is what it was laid for, where it is the first.
func nameStep(st harmony.Step, in harmony.Scale, written harmony.Chord, asked harmony.Naming) StepNames {
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
	named := len(names) > 0
	if !named {
		names = harmony.Readings(st.Set, st.Bass, roots)
	}
	if !asked.Chord.None() && !slices.ContainsFunc(names, func(n harmony.Naming) bool { return silent(n) && n.Chord.Formula == asked.Chord.Formula }) {
		names = append(names, asked)
	}
	if !named {
		out.Name = harmony.NoteNames(st.Set, st.Bass, roots)
		out.Others = onRootFirst(names, written)
		if len(names) > 0 {
			out.Said = out.Others[0]
			out.Tones = st.Spell(out.Said.Chord)
		}
		out.root = out.Said.Chord.Root.Class()
		return out
	}
	first := names[0].Chord
	out.exact = first
	names = onRootFirst(names, written)
	piece, isPiece := pieceOfHome(first, st, in, written)
	meant, isMeant := asked, !asked.Chord.None()
	if at := slices.IndexFunc(names, silent); at >= 0 && unheard(first) && !isMeant {
		meant, isMeant = names[at], !isPiece || names[at].Chord.Root.Class() == written.Root.Class()
	}
	switch {
	case isMeant:
		out.Said = meant
	case isPiece:
		out.Said = piece
	}
	if isMeant && unheard(first) {
		first = sounding(meant.Chord, st, first)
	}
	switch {
	case first.Root == written.Root && first.Formula&^written.Formula == 0:
		out.Tones = tonesOver(written, st, in)
	case st.Half != harmony.DimHalf:
		out.Tones = st.Spell(first)
	}
	return out.as(first, written, names)
}

// pieceOfHome calls three tones of the home chord that are no triad and no shell by that
// chord, or by the written one where it has the same tones.
func pieceOfHome(exact harmony.Chord, st harmony.Step, in harmony.Scale, written harmony.Chord) (n harmony.Naming, is bool) {
	const tones = 3
	home := in.HomeChord()
	if own := written.Own(); !written.None() && own.Set() == home.Set() {
		home = own
	}
	left := home.Set() &^ st.Set
	if st.Half != harmony.HomeHalf || st.Set.Len() != tones || left.Len() != 1 || isTriad(exact) || exact.Formula.Has(harmony.FlatSeven) {
		return n, false
	}
	n = harmony.Naming{Chord: home, Reading: harmony.ReadShell, Reason: partOf(home, left) + " left out"}
	n.Chord.Bass, is = home.Spell(st.Bass)
	return n, is
}

// partOf says which part of a chord of four is a tone of it: "root", "third", "fifth",
// "sixth", "seventh".
func partOf(c harmony.Chord, one tone.Set) string {
	for d := harmony.One; d <= harmony.Seven; d++ {
		if !c.Formula.Has(d) || !one.Has(c.Name(d).Class()) {
			continue
		}
		switch d {
		case harmony.One:
			return "root"
		case harmony.FlatThree, harmony.Three:
			return "third"
		case harmony.Six:
			return "sixth"
		case harmony.DoubleFlatSeven, harmony.FlatSeven, harmony.Seven:
			return "seventh"
		}
	}
	return "fifth"
}

// isTriad reports whether a chord is a major, minor or diminished triad.
func isTriad(c harmony.Chord) bool {
	switch c.Formula {
	case harmony.FormulaOf(harmony.One, harmony.Three, harmony.Five), harmony.FormulaOf(harmony.One, harmony.FlatThree, harmony.Five),
		harmony.FormulaOf(harmony.One, harmony.FlatThree, harmony.FlatFive):
		return true
	}
	return false
}

// unheard reports whether a chord is a name that no lead sheet shows: a major
// triad or seventh with a flat fifth.
func unheard(c harmony.Chord) bool {
	const plain = 1<<harmony.One | 1<<harmony.Three | 1<<harmony.FlatFive
	return c.Formula&^(1<<harmony.Seven) == plain
}

// silent reports whether a name claims tones that do not sound.
func silent(n harmony.Naming) bool { return n.Reading != harmony.ReadExact }

// onRootFirst puts names on the root of a chord before the others.
func onRootFirst(names []harmony.Naming, c harmony.Chord) []harmony.Naming {
	on := func(n harmony.Naming) int {
		if n.Chord.Root.Class() == c.Root.Class() {
			return 1
		}
		return 0
	}
	slices.SortStableFunc(names, func(a, b harmony.Naming) int { return on(b) - on(a) })
	return names
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
	if !n.Said.Chord.None() {
		n.root = n.Said.Chord.Root.Class()
	}
	n.Others = slices.DeleteFunc(onRootFirst(names, written), func(o harmony.Naming) bool { return o.Chord == c })
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
	aFifth := harmony.FormulaOf(harmony.FlatFive, harmony.Five, harmony.SharpFive)
	if c := n.exact; c.Root.Class() != n.root && c.Formula&aFifth != 0 && !rare(c) && !unheard(c) {
		out = append(out, sp.symbol(c.Symbol()))
	}
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
	case !n.Said.Chord.None():
		return sp.naming(n.Said)
	case !n.Named:
		return "no chord name"
	}
	return sp.symbol(n.Name)
}

// naming shows a name and what it claims: "G9 rootless", "C6 without fifth".
func (s speller) naming(n harmony.Naming) string {
	text := s.symbol(n.Chord.Symbol())
	what, silent := strings.CutSuffix(n.Reason, " left out")
	switch {
	case n.Reading == harmony.ReadRootless:
		text += " rootless"
	case silent:
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
