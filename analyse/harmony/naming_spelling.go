package harmony

import (
	"strings"

	"shedlight/analyse/tone"
)

// RootSpelling says how the root of a chord is written for each pitch class:
// under a minor third, and otherwise. It is a value, to be taken from
// UsualRoots or RootsIn.
type RootSpelling struct {
	minor, major, alone [12]tone.Name
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
}

func namesOf(text string) (names [12]tone.Name) {
	for class, field := range strings.Fields(text) {
		names[class], _, _ = tone.CutName(field)
	}
	return names
}

// RootsIn spells roots as a scale spells its notes, and those outside it as
// Scale.Spell does: Gb7 in F. Two exceptions keep roots readable (common
// practice): a root outside the scale under a minor third is spelled as without
// a key (C#dim7 in C), and a root is never Fb, nor Cb under a minor third (Bdim7
// in Eb, though the note is Cb there). Without a scale it is UsualRoots.
func RootsIn(s Scale) RootSpelling {
	if s.None() {
		return usualRoots
	}
	sp := usualRoots
	for class := range tone.Class(12) {
		n := s.Spell(class, Chord{})
		sp.alone[class], sp.major[class] = n, n
		if s.Set().Has(class) {
			sp.minor[class] = n
		}
	}
	const b, e = 11, 4
	if sp.minor[b].Alter < 0 {
		sp.minor[b] = usualRoots.minor[b]
	}
	if sp.minor[e].Alter < 0 {
		sp.minor[e], sp.major[e] = usualRoots.minor[e], usualRoots.major[e]
	}
	return sp
}

// root returns the spelled root of a chord.
func (sp *RootSpelling) root(class tone.Class, f Formula) tone.Name {
	if f.Has(FlatThree) {
		return sp.minor[class]
	}
	return sp.major[class]
}

// foreignDegree is the degree as which a bass outside its chord is spelled: a
// triad's bass is Bb over A, F# over C, G# over Em.
var foreignDegree = [12]Degree{One, FlatNine, Nine, FlatThree, Three, Four, SharpEleven, Five, FlatThirteen, Six, FlatSeven, Seven}

// bass returns how a chord's bass is written: as the chord spells it (E7/G#,
// Abm/Cb, whatever the key), but never with a double accidental. A tension, a
// raised fifth or a foreign bass is never Cb, Fb, E# or B# either: A(add#9)/C.
func (sp *RootSpelling) bass(root tone.Name, f Formula, class tone.Class) tone.Name {
	interval := tone.ClassOf(int(class) - int(root.Class()))
	d, ok := f.at(int(interval))
	if !ok {
		d = foreignDegree[interval]
	}
	n := Chord{Root: root, Bass: root, Formula: f}.Name(d)
	switch {
	case !ok, FormulaOf(d)&(ninths|elevenths|sixths|1<<SharpFive) != 0:
		return n.Easy()
	case n.Plain() != n:
		return sp.alone[class]
	}
	return n
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
