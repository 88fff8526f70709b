package figure

import (
	"math/bits"

	"shedlight/analyse/harmony"
	"shedlight/analyse/tone"
)

// chordOrder says which tones of a chord follow each other in an arpeggio: for
// the lower one the semitones up to those that may come next, 1 to 11.
type chordOrder [12]tone.Set

func (o *chordOrder) add(low, semitones int) { o[tone.ClassOf(low)] |= 1 << semitones }

// orderOf returns the order of a chord's tones: after each comes the next one
// above, and after the fifth of a triad its root too, past a sixth or a seventh.
// So G Bb Eb is Eb6 from its third, for a triad is what players turn about first
// (common practice).
func orderOf(chord tone.Set) (o chordOrder) {
	for class := range chord.Each() {
		if above := chord.Transpose(-int(class)) &^ 1; above != 0 {
			o.add(int(class), bits.TrailingZeros16(uint16(above)))
		}
	}
	for _, t := range triadsIn(chord) {
		o.add(t.root+t.fifth, tone.Octave-t.fifth)
	}
	return o
}

// triad is a root and the semitones up to its third and its fifth.
type triad struct{ root, third, fifth int }

// triadsIn lists the triads among the tones of a chord.
func triadsIn(chord tone.Set) (out []triad) {
	const minorThird, majorThird = 3, 4 // semitones
	for root := range chord.Each() {
		for third := minorThird; third <= majorThird; third++ {
			for fifth := third + minorThird; fifth <= third+majorThird; fifth++ {
				if tone.SetOf(0, tone.Class(third), tone.Class(fifth)).Transpose(int(root)).Within(chord) {
					out = append(out, triad{root: int(root), third: third, fifth: fifth})
				}
			}
		}
	}
	return out
}

// writtenTones returns the tones of a written chord without a bass that is not
// one of them.
func writtenTones(c harmony.Chord) tone.Set {
	c.Bass = c.Root
	return c.Set()
}

// writtenOrder returns the order of a written chord's tones. One with tensions,
// so with more than four tones, goes in thirds, past its root too, and in seconds
// only from the seventh to the root: G A B D over G9 is a pattern on a scale, B D
// F A is G9.
func writtenOrder(c harmony.Chord) chordOrder {
	const plainMost = 4 // tones of a chord without tensions
	set := writtenTones(c)
	o := orderOf(set)
	if set.Len() <= plainMost {
		return o
	}
	for class := range set.Each() {
		for second := 1; second <= tone.WholeStep; second++ {
			if tone.ClassOf(int(class)+second) != c.Root.Class() {
				o[class] &^= 1 << second
			}
		}
	}
	for _, t := range triadsIn(set) {
		o.add(t.root, t.third)
		o.add(t.root+t.third, t.fifth-t.third)
	}
	return o
}

// chordSteps holds, for a lower tone and the semitones from it up to another,
// the chords in whose order the one follows the other.
type chordSteps [12][12]chordSet

// add gives some chords this order.
func (s *chordSteps) add(o chordOrder, chords chordSet) {
	for low, up := range o {
		for semitones := range up.Each() {
			s[low][semitones] |= chords
		}
	}
}

// follow returns the chords in whose order two keys follow each other, up or
// down.
func (s *chordSteps) follow(from, to int) chordSet {
	semitones := tone.Apart(from, to)
	if semitones >= len(s) {
		return 0
	}
	return s[tone.ClassOf(min(from, to))][semitones]
}

// candidates lists the chords that an arpeggio fits and tells how many tones the
// smallest of them has. The written one stands first, if all of the arpeggio lies
// under it; where that is a chord of the family as well it stands there once, by
// the symbol that the player reads.
func (g *figure) candidates() (names []string, smallest int) {
	if g.chords == 0 {
		return nil, 0
	}
	smallest = scaleTones
	add := func(name string, set tone.Set) {
		names, smallest = append(names, name), min(smallest, set.Len())
	}
	c, written := g.last.context, tone.Set(0)
	if g.chords&writtenChord != 0 {
		written = writtenTones(c.Chord)
		add(c.Symbol, written)
	}
	for i, chord := range g.last.table.chords {
		if g.chords>>i&1 == 1 && chord.set != written {
			add(chord.name, chord.set)
		}
	}
	return names, smallest
}
