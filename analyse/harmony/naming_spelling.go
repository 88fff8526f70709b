package harmony

import (
	"strings"

	"shedlight/analyse/tone"
)

// RootSpelling says how the root and the bass of a chord are written for each
// pitch class. It is a value, to be taken from UsualRoots or RootsIn.
type RootSpelling struct {
	minor, major [12]tone.Name // roots, under a minor third and otherwise
	alone        [12]tone.Name // a tone by itself
	bass         [12]tone.Name // a bass that its chord does not spell
	scale        tone.Set      // the tones that the scale writes; none without one
	written      Chord         // that is never respelled; none where nobody wrote one
}

// UsualRoots spells roots where no key is known (common practice): Db, Eb, Gb,
// Ab and Bb as on most lead sheets, but C#m and F#m, since Dbm would need an Fb
// and Gbm a Bbb. Tones that are no roots are written Db Eb F# Ab Bb.
func UsualRoots() RootSpelling { return usualRoots }

// usualRoots is never written.
var usualRoots = RootSpelling{
	minor: namesOf("C C# D Eb E F F# G Ab A Bb B"),
	major: namesOf("C Db D Eb E F Gb G Ab A Bb B"),
	alone: namesOf("C Db D Eb E F F# G Ab A Bb B"),
	bass:  namesOf("C Db D Eb E F F# G Ab A Bb B"),
}

func namesOf(text string) (names [12]tone.Name) {
	for class, field := range strings.Fields(text) {
		names[class], _, _ = tone.CutName(field)
	}
	return names
}

// RootsIn spells roots as a scale spells its notes, and those outside it as its
// harmonic chromatic scale does, Gb7 in F, but for the raised tonic that a minor or
// diminished chord takes there: C#dim7 in C, G#dim7 in G (common practice).
//
// Where the scale writes the chord's third, fifth and seventh as the chord does
// the root stays, unless it is Fb: E#m7b5 in F#, Dbm6 in Ab, Cbmaj7 in Gb.
// Elsewhere a root that makes the chord hard to read gives way to its
// neighbour; see hard. Without a scale it is UsualRoots.
func RootsIn(s Scale) RootSpelling {
	if s.None() {
		return usualRoots
	}
	sp := RootSpelling{scale: s.Set()}
	for class := range tone.Class(12) {
		n := s.chromatic(class)
		sp.alone[class], sp.minor[class], sp.major[class], sp.bass[class] = n, n, n, n
	}
	for _, n := range [...]tone.Name{s.Tones()[flatSixPlace], fFlat} {
		sp.bass[n.Class()] = sp.bass[n.Class()].Easy()
	}
	if raised := s.Root.Transpose(0, 1); !sp.scale.Has(raised.Class()) {
		sp.minor[raised.Class()] = raised.Easy()
	}
	return sp
}

// outsideLetters gives the letter, counted from the root, of a tone that the
// scale does not hold: the harmonic chromatic scale, with the flat degrees of
// the parallel minor and the raised fourth (common practice). Natural degrees
// are there for the scales that lack them, such as the major third over a
// minor scale.
var outsideLetters = [12]int{0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6}

// chromatic spells a tone in the scale's key where neither a chord nor a line
// says more, outside the scale without Cb, Fb, E# and B#.
func (s Scale) chromatic(c tone.Class) tone.Name {
	if n, ok := s.own(c); ok {
		return n
	}
	above := int(tone.ClassOf(int(c) - int(s.Root.Class())))
	return s.Root.Transpose(outsideLetters[above], above).Easy()
}

// Over returns the same but for the chord that a player wrote, its shells and its
// triads: they keep its root and its bass, Ebm7b5 and Ebdim/Gb in F#m6 dim
// (common practice).
func (sp RootSpelling) Over(written Chord) RootSpelling {
	sp.written = written
	return sp
}

// holds reports whether a chord is the written one or part of it.
func (sp *RootSpelling) holds(class tone.Class, f Formula) bool {
	return f&^sp.written.Formula == 0 && class == sp.written.Root.Class()
}

// flatSixPlace is where the flat six stands among the tones of every kind of
// scale. It is the one tone that players read respelled, B for the Cb of Eb
// (common practice).
const flatSixPlace = 5

// fFlat is never a root or a foreign bass.
var fFlat = tone.Name{Letter: 3, Alter: -1}

// root returns the spelled root of a chord.
func (sp *RootSpelling) root(class tone.Class, f Formula) tone.Name {
	if sp.holds(class, f) {
		return sp.written.Root
	}
	n, usual := sp.major[class], usualRoots.major[class]
	if f.Has(FlatThree) {
		n, usual = sp.minor[class], usualRoots.minor[class]
	}
	if sp.scale != 0 && !sp.writes(n, f) && hard(n, f) {
		return usual
	}
	return n
}

// writes reports whether the scale writes the tones that a chord on the root is
// built of, and its altered fifth, as the chord does.
func (sp *RootSpelling) writes(root tone.Name, f Formula) bool {
	if root == fFlat {
		return false
	}
	c := Chord{Root: root, Bass: root, Formula: f}
	for d := One; d < degrees; d++ {
		n := c.Name(d)
		if (f.built() | f&fifths).Has(d) && !(sp.scale.Has(n.Class()) && sp.alone[n.Class()] == n) {
			return false
		}
	}
	return true
}

// built returns the degrees by which a player knows a chord: root, third, fifth,
// sixth and minor or major seventh. An altered fifth is one of them in a
// half-diminished chord; over a major third it is heard as a sharp eleventh or
// flat thirteenth, and a diminished seventh as a sixth (common practice).
func (f Formula) built() Formula {
	own := Formula(1<<One | thirds | 1<<Five | 1<<Six | 1<<FlatSeven | 1<<Seven)
	if f.Has(FlatThree) {
		own |= 1 << FlatFive
	}
	return f & own
}

// mostSigns is the number of accidentals in the widest key signature: C# major
// and Cb major.
const mostSigns = 7

// hard reports whether a root makes its chord hard to read. All of it is common
// practice.
//
//   - A diminished chord is written as the scale writes it, Gbdim7 in Bb, but
//     not on Cb or Fb.
//   - A root under a minor third is one that a minor key has: C#m and F#m for
//     Dbm and Gbm, Bm and Em for Cbm and Fbm, Fm and Cm for E#m and B#m.
//   - Any other root is hard if it is E#, B# or Fb, or if third, fifth or
//     seventh would take a double accidental: Eb7 for D#7, Bb7 for A#7, Abmaj7
//     for G#maj7, B7 for Cb7; but G#7 stays. An altered fifth is no reason, B7#5
//     and Db7b5 are everyday names, unless no key has the root: Ab7#5 for G#7#5.
func hard(root tone.Name, f Formula) bool {
	c := Chord{Root: root, Bass: root, Formula: f}
	const minorKey = 3 // signs fewer on the sharp side than the major key
	switch {
	case f.diminished():
		return root.Alter < 0 && root.Easy() != root
	case f.Has(FlatThree):
		signs := signature(root) - minorKey
		return signs > mostSigns || signs < -mostSigns
	case root.Easy() != root && signature(root) != -mostSigns: // Cb has a key
		return true
	}
	counted := Formula(1<<Three | 1<<Five | 1<<FlatSeven | 1<<Seven)
	if signs := signature(root); signs > mostSigns || signs < -mostSigns {
		counted |= fifths
	}
	for d := One; d < degrees; d++ {
		if n := c.Name(d); f&counted&FormulaOf(d) != 0 && n.Plain() != n {
			return true
		}
	}
	return false
}

// signature returns the number of sharps in the signature of the major key on a
// root, negative for flats; beyond seven no such key is written.
func signature(root tone.Name) int {
	return [...]int{0, 2, 4, -1, 1, 3, 5}[root.Letter] + mostSigns*int(root.Alter)
}

// spellBass returns how a chord's bass is written (common practice). A tone of
// the chord is written as the chord spells it, whatever the key: E7/G#, Abm/Cb,
// C#7/E#. Tones that would take a double accidental, and tensions and altered
// fifths on Cb, Fb, E# or B#, are written as in the scale: A(add#9)/C.
//
// A bass outside its chord, and that of a diminished chord, is written as in
// the scale too, its flat six without Cb or Fb: Bb6/Gb in Bb, Bb/B and Bdim/Ab in
// Eb. A foreign bass is spelled from the root where there is no scale, and where
// the root is not as the scale has it: F#m/D# in Db.
func (sp *RootSpelling) spellBass(root tone.Name, f Formula, class tone.Class) tone.Name {
	interval := tone.ClassOf(int(class) - int(root.Class()))
	d, ok := f.at(int(interval))
	if !ok {
		d = foreignDegree[interval]
	}
	own := Chord{Root: root, Bass: root, Formula: f}.Name(d)
	keyed := sp.bass[class]
	switch {
	case class == root.Class():
		return root
	case class == sp.written.Bass.Class() && sp.holds(root.Class(), f):
		return sp.written.Bass
	case ok && own.Plain() == own && sp.holds(root.Class(), f):
		return own
	case sp.scale != 0 && f.diminished():
		return keyed
	case !ok && (sp.scale == 0 || sp.alone[root.Class()] != root):
		return own.Easy()
	case !ok, own.Plain() != own:
		return keyed
	case !f.built().Has(d) && own.Easy() != own:
		return keyed
	}
	return own
}

// NoteNames writes the tones of a set from the bass up: "C Db D Eb". It is what
// to say where a set has no chord name. A bass outside the set is left out.
func NoteNames(set tone.Set, bass tone.Class, sp RootSpelling) string {
	names := make([]string, 0, set.Len())
	for i := range 12 {
		if class := tone.ClassOf(int(bass) + i); set.Has(class) {
			names = append(names, sp.alone[class].String())
		}
	}
	return strings.Join(names, " ")
}
