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
	Name   string
	Named  bool
	Tones  []tone.Name // of each key from the lowest up, as the name asks for
	Others []harmony.Naming
	// Borrowed reads the chord as the scale's home chord with dim voices, "C6
	// with B for A"; without a home chord where it is none.
	Borrowed harmony.Borrowing

	root tone.Class // of the first name
}

// NameStep names a chord of a family at concert pitch, with roots spelled as in
// the family's scale. The written chord, which the family is made of, is called
// and spelled as it is written wherever it comes. The dim half is spelled from the scale, whichever of its
// tones it is called by: in A the chord on D is D F G# B (common practice). Where
// the chord has no exact name, Others still holds the chords of which it can be
// a shell or a rootless voicing.
func NameStep(st harmony.Step, in harmony.Scale, written harmony.Chord) StepNames {
	roots := harmony.RootsIn(in).Over(written)
	out := StepNames{Tones: st.Tones}
	out.Borrowed, _ = harmony.Borrowed(st.Set, in)
	names := harmony.NamesIn(st.Set, st.Bass, roots)
	if st.Bass == written.Bass.Class() && (st.Set == written.Set() || st.Set == written.Altered()) {
		out.Tones = tonesOver(written, st, in)
		return out.as(written, names)
	}
	if len(names) == 0 {
		out.Name = harmony.NoteNames(st.Set, st.Bass, roots)
		out.Others = harmony.Readings(st.Set, st.Bass, roots)
		return out
	}
	out.Name, out.Named, out.root = names[0].Chord.Symbol(), true, names[0].Chord.Root.Class()
	out.Others = names[1:]
	switch first := names[0].Chord; {
	case first.Root == written.Root && first.Formula&^written.Formula == 0:
		out.Tones = tonesOver(written, st, in)
	case st.Half != harmony.DimHalf:
		out.Tones = st.Spell(first)
	}
	return out
}

// as calls the chord by the name that is written, whatever else it is called.
func (n StepNames) as(written harmony.Chord, names []harmony.Naming) StepNames {
	n.Name, n.Named, n.root = written.Symbol(), true, written.Root.Class()
	n.Others = slices.DeleteFunc(names, func(o harmony.Naming) bool { return o.Chord == written })
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

// also lists the other names of a chord for a reader, so many at most: the
// exact ones, what it can stand for, and the home chord it is a colour of.
func (n StepNames) also(sp speller, most int) []string {
	var exact, silent []string
	for _, o := range n.Others {
		symbol := sp.symbol(o.Chord.Symbol())
		switch {
		case o.Reading == harmony.ReadShell && o.Chord.Root.Class() == n.root:
			// The first name says (no5) already.
		case o.Reading == harmony.ReadShell:
			silent = append(silent, symbol+" without its fifth")
		case o.Reading == harmony.ReadRootless:
			silent = append(silent, symbol+" without its root")
		default:
			exact = append(exact, symbol)
		}
	}
	half := (most + 1) / 2
	exact = exact[:min(len(exact), max(half, most-len(silent)))]
	out := append(exact, silent[:min(len(silent), most-len(exact))]...)
	if !n.Borrowed.Home.None() {
		out = append(out, sp.borrowed(n.Borrowed))
	}
	return out
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
