package harmony

import "shedlight/analyse/tone"

// Spelling says how each of the twelve pitch classes is written; the index is
// the class, the strings are constants.
type Spelling [12]string

// outsideLetters gives the letter, counted from the root, of a note that the
// scale does not hold: the harmonic chromatic scale, with the flat degrees of
// the parallel minor and the raised fourth (common practice). Natural degrees
// are there for the scales that lack them, such as the major third over a
// minor scale.
var outsideLetters = [12]int{0, 1, 1, 2, 2, 3, 3, 4, 5, 5, 6, 6}

// Spell returns how a note is written where this scale is active over a chord;
// both may be none.
//
// A tone of the chord takes the chord's spelling: over E7 in C it is G#, not
// Ab. The exceptions are the seventh of a diminished seventh chord and tones
// that would need a double accidental, which no player wants to read. Then
// comes the scale's own spelling, and last, for a note outside, the harmonic
// chromatic scale of the scale's root without Cb, Fb, E# and B# (common
// practice). A note is never written with a double accidental.
func (s Scale) Spell(c tone.Class, over Chord) tone.Name {
	if n, ok := over.Spell(c); ok && n.Plain() == n && !over.diminishedSeventh(n) {
		return n
	}
	if i, ok := s.Index(c); ok {
		t := &scaleTable[s.Kind]
		return s.Root.Transpose(t.letters[i], t.semitones[i]).Plain()
	}
	root := s.Root
	if s.None() {
		root = over.Root
	}
	above := int(tone.ClassOf(int(c) - int(root.Class())))
	return root.Transpose(outsideLetters[above], above).Easy()
}

// diminishedSeventh reports whether n is the double flat seventh of the chord
// and not its bass.
func (c Chord) diminishedSeventh(n tone.Name) bool {
	return c.Formula.Has(DoubleFlatSeven) && n == c.Name(DoubleFlatSeven) && n != c.Bass
}

// Spelling returns Spell for all twelve classes, to be made once for a chord
// and looked up for each note. It allocates nothing.
func (s Scale) Spelling(over Chord) Spelling {
	var out Spelling
	for c := range tone.Class(12) {
		out[c] = s.Spell(c, over).String()
	}
	return out
}
