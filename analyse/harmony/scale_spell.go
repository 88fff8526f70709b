package harmony

import "shedlight/analyse/tone"

// Spelling says how each of the twelve pitch classes is written; the index is
// the class, the strings are constants.
type Spelling [12]string

// Spell returns how a note is written where this scale is active over a written
// chord; both may be none. rising says that the line comes from below.
//
//   - A tone of the chord takes the chord's spelling: over E7 in C it is G#, not
//     Ab. Not so the seventh of a diminished seventh chord and tones that would
//     need a double accidental, which no player wants to read.
//   - A tone of the scale takes the scale's.
//   - A tone outside both is written by its degree over the chord, without Cb, Fb,
//     E# and B#: the flat nine of G7 is Ab and the sharp eleven of D7 G#, in
//     whatever key. The minor third over a dominant is a sharp nine where the line
//     rises and a flat third where it falls: A# or Bb over G7.
//   - Without a chord such a tone is sharp where the line rises, else flat.
//
// All of it is common practice. A note is never written with a double accidental.
func (s Scale) Spell(c tone.Class, over Chord, rising bool) tone.Name {
	chordal, ok := over.Spell(c)
	if ok && chordal.Plain() == chordal && !over.diminishedSeventh(chordal) {
		return chordal
	}
	if n, ok := s.own(c); ok {
		return n
	}
	switch {
	case ok:
		return chordal.Easy()
	case !over.None():
		return over.spellForeign(c, rising).Easy()
	case rising:
		return c.Sharp()
	}
	return c.Flat()
}

// own returns how the scale writes one of its tones.
func (s Scale) own(c tone.Class) (n tone.Name, ok bool) {
	i, ok := s.Index(c)
	if !ok {
		return n, false
	}
	t := &scaleTable[s.Kind]
	return s.Root.Transpose(t.letters[i], t.semitones[i]).Plain(), true
}

// diminishedSeventh reports whether n is the double flat seventh of the chord
// and not its bass.
func (c Chord) diminishedSeventh(n tone.Name) bool {
	return c.Formula.Has(DoubleFlatSeven) && n == c.Name(DoubleFlatSeven) && n != c.Bass
}

// foreignDegree is the degree as which a tone outside its chord is spelled, by
// semitones above the root: Bb over A, F# over C, G# over Em.
var foreignDegree = [12]Degree{One, FlatNine, Nine, FlatThree, Three, Four, SharpEleven, Five, FlatThirteen, Six, FlatSeven, Seven}

// spellForeign spells a tone that the chord does not hold. rising says that the
// line comes from below.
func (c Chord) spellForeign(class tone.Class, rising bool) tone.Name {
	d := foreignDegree[tone.ClassOf(int(class)-int(c.Root.Class()))]
	if d == FlatThree && rising && c.Formula.Has(Three) && c.Formula.Has(FlatSeven) {
		d = SharpNine
	}
	return c.Name(d)
}

// Spelling returns Spell for all twelve classes, to be made once for a chord
// and looked up for each note. It allocates nothing.
func (s Scale) Spelling(over Chord, rising bool) Spelling {
	var out Spelling
	for c := range tone.Class(12) {
		out[c] = s.Spell(c, over, rising).String()
	}
	return out
}
