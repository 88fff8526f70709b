package harmony

import (
	"cmp"
	"iter"
	"math/bits"
	"slices"

	"shedlight/analyse/tone"
)

// Naming: from the tones that sound, and the lowest of them, to the name a jazz
// player would say.
//
// Method. Every tone of the set is tried as the root. Seen from a root the set
// is twelve bits of intervals, and a table made once from about forty kinds of
// chord (qualities, in naming_table.go) gives the degrees those intervals are
// heard as and a weight; a degree in the bass other than the root adds its own
// weight. A triad or seventh chord over a tone it lacks (C/F#) is the same
// question asked without the bass. The name of least weight is said first; on
// equal weight the root that lies least far above the bass, so root position
// before any inversion. Nothing is guessed: a name is exact, its chord holds
// the sounding tones, all of them and no other, and what is missing is written
// out as (no5) or (no3).
//
// Readings. A player also hears chords of which a tone does not sound. These
// come after the exact names and say so: a Shell lacks its fifth, a Rootless
// voicing its root and perhaps its fifth. They are never first, because they
// claim tones that nobody played.
//
// Sixths and sevenths. C6 and Am7 are one set, and so are Fm6 and Dm7b5. The
// bass decides where it is one of the two roots; over any other bass the sixth
// is said, as the sixth-diminished system thinks of them: C6/E, Fm6/Ab.
//
// Cost. A table lookup for each sounding tone, twice where a foreign bass is
// possible; well under a microsecond and no allocation for NameChord.
//
// Known wrong answers, and why they stand. F/G is named F(add9)/G first and F/G
// after it, so that a chord keeps its name through all its inversions when it
// moves up a scale. Voicings with neither third nor seventh have several honest
// names; the weights pick one. The set of G13(no root), F A B E over F, is
// Fmaj7b5 until the other hand plays the G. A flat five and a sharp eleven
// without a natural fifth sound alike: b5 is said. Sets of more than seven
// tones are scales and have no name.

// Reading says what a name claims about the sounding tones.
type Reading uint8

const (
	// ReadExact: the chord's tones are the sounding tones, its bass their bass.
	ReadExact Reading = iota + 1
	// ReadShell: the root sounds, the fifth is left to the ear.
	ReadShell
	// ReadRootless: the root is left to the bass player.
	ReadRootless
)

// String prints the reading in lower case: "exact", "shell", "rootless".
func (r Reading) String() string {
	return [...]string{ReadExact: "exact", ReadShell: "shell", ReadRootless: "rootless"}[r]
}

// Naming is one name of a sounding set, with the reason it is offered.
type Naming struct {
	Chord   Chord
	Reading Reading
	Reason  string // in a musician's words: "third in the bass, no fifth"
}

// The most tones a chord name holds: root to thirteenth.
const mostTones = 7

// NameChord returns the first name of a set of sounding tones over its bass,
// with roots spelled where no key is known. ok is false where no musician has a
// name for the set, and where the bass is not one of its tones: print NoteNames
// then. It allocates nothing.
func NameChord(set tone.Set, bass tone.Class) (c Chord, ok bool) {
	return nameChord(set, bass, &usualRoots)
}

// NameChordIn is NameChord with the roots spelled by sp.
func NameChordIn(set tone.Set, bass tone.Class, sp RootSpelling) (c Chord, ok bool) {
	return nameChord(set, bass, &sp)
}

// Names returns every name of a set of sounding tones over its bass: the exact
// ones first, in order of weight, the first of them NameChord's; then shells
// and rootless readings. Where NameChord has no name Names is empty, even if
// the set can be read as part of a chord: see Readings.
func Names(set tone.Set, bass tone.Class) []Naming { return NamesIn(set, bass, usualRoots) }

// NamesIn is Names with the roots spelled by sp.
func NamesIn(set tone.Set, bass tone.Class, sp RootSpelling) []Naming {
	exact := exactNames(set, bass, &sp)
	if len(exact) == 0 {
		return nil
	}
	return append(exact, Readings(set, bass, sp)...)
}

// candidate is a name before it is spelled.
type candidate struct {
	root    tone.Class
	formula Formula
	cost    int16
}

func nameChord(set tone.Set, bass tone.Class, sp *RootSpelling) (Chord, bool) {
	if !nameable(set, bass) {
		return Chord{}, false
	}
	best := candidate{cost: highestCost + 1}
	for c := range candidates(set, bass) {
		if c.cost < best.cost {
			best = c
		}
	}
	if best.formula == 0 {
		return Chord{}, false
	}
	return best.spell(bass, sp), true
}

// candidates yields the exact names from every root of the set, the root that
// lies least far above the bass first.
func candidates(set tone.Set, bass tone.Class) iter.Seq[candidate] {
	return func(yield func(candidate) bool) {
		for i := range 12 {
			root := tone.ClassOf(int(bass) + i)
			if !set.Has(root) {
				continue
			}
			if c := chordOn(set, bass, root); c.formula != 0 && !yield(c) {
				return
			}
			if c := slashOn(set, bass, root); c.formula != 0 && !yield(c) {
				return
			}
		}
	}
}

func nameable(set tone.Set, bass tone.Class) bool {
	return bass < 12 && set.Has(bass) && set.Len() > 1 && set.Len() <= mostTones
}

// chordOn reads the whole set from a root.
func chordOn(set tone.Set, bass, root tone.Class) candidate {
	e := entries[set.Transpose(-int(root))]
	if e.formula == 0 {
		return candidate{}
	}
	if bass != root {
		if symmetric(set) {
			return candidate{}
		}
		d, _ := e.formula.at(int(tone.ClassOf(int(bass) - int(root))))
		e.cost += bassCost[d]
		if !e.formula.hasFifth() {
			e.cost += bassNoFifth
		}
	}
	return candidate{root: root, formula: e.formula, cost: e.cost}
}

// slashOn reads the set without its bass from a root: a plain chord over a
// foreign bass.
func slashOn(set tone.Set, bass, root tone.Class) candidate {
	if root == bass {
		return candidate{}
	}
	upper := set &^ tone.SetOf(bass)
	e := entries[upper.Transpose(-int(root))]
	if !e.plain || symmetric(upper) && root != firstAbove(upper, bass) {
		return candidate{}
	}
	return candidate{root: root, formula: e.formula, cost: e.cost + foreignBass}
}

// symmetric reports whether a set is a diminished seventh or an augmented triad,
// of which every tone is as good a root: they have no inversions.
func symmetric(set tone.Set) bool {
	const minorThird, majorThird = 3, 4
	return set == set.Transpose(minorThird) && set.Len() == 4 || set == set.Transpose(majorThird) && set.Len() == 3
}

// firstAbove returns the tone of a set that lies least far above the bass.
func firstAbove(set tone.Set, bass tone.Class) tone.Class {
	above := bits.TrailingZeros16(uint16(set.Transpose(-int(bass))))
	return tone.ClassOf(int(bass) + above)
}

func (c candidate) spell(bass tone.Class, sp *RootSpelling) Chord {
	root := sp.root(c.root, c.formula)
	return Chord{Root: root, Bass: sp.spellBass(root, c.formula, bass), Formula: c.formula}
}

// exactNames returns all names that hold the sounding tones and no others.
func exactNames(set tone.Set, bass tone.Class, sp *RootSpelling) []Naming {
	if !nameable(set, bass) {
		return nil
	}
	var found []candidate
	for c := range candidates(set, bass) {
		if c.cost <= highestCost {
			found = append(found, c)
		}
	}
	slices.SortStableFunc(found, func(a, b candidate) int { return cmp.Compare(a.cost, b.cost) })
	names := make([]Naming, 0, len(found))
	for _, c := range found {
		names = append(names, Naming{Chord: c.spell(bass, sp), Reading: ReadExact, Reason: c.reason(bass)})
	}
	return names
}

// reason tells where the bass stands in the chord and what is left out.
func (c candidate) reason(bass tone.Class) string {
	text := "foreign bass"
	if d, ok := c.formula.at(int(tone.ClassOf(int(bass) - int(c.root)))); ok {
		text = bassReason(d)
	}
	switch {
	case c.formula.missesThird():
		text += ", no third"
	case !c.formula.hasFifth():
		text += ", no fifth"
	}
	return text
}

// missesThird reports whether neither a third sounds nor what a suspended chord
// has in its place: a fourth, or a second without seventh or sixth.
func (f Formula) missesThird() bool {
	second := f.Has(Nine) && f&sevenths == 0 && !f.Has(Six)
	return !f.hasThird() && !f.Has(Four) && !second
}

func bassReason(d Degree) string {
	switch d {
	case One:
		return "root in the bass"
	case FlatThree, Three:
		return "third in the bass"
	case FlatFive, Five, SharpFive:
		return "fifth in the bass"
	case DoubleFlatSeven, FlatSeven, Seven:
		return "seventh in the bass"
	}
	return d.String() + " in the bass"
}
