package figure

import (
	"math/bits"
	"slices"
	"strings"

	"shedlight/analyse/harmony"
	"shedlight/analyse/song"
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

// ninths are the ninths of any chord.
var ninths = harmony.FormulaOf(harmony.Nine, harmony.FlatNine, harmony.SharpNine)

// ninth is a written chord with a ninth that it is not written with.
type ninth struct {
	chord harmony.Chord
	is    chordSet
}

// ninthsOver lists what players put on top of a written seventh chord (common
// practice): its ninth, and over a dominant the flat one. A half-diminished and a
// diminished one have none.
func ninthsOver(c *song.Context) (out []ninth) {
	f := c.Chord.Formula
	if c.Assumed || f&ninths != 0 || !f.Has(harmony.FlatSeven) && !f.Has(harmony.Seven) ||
		!f.Has(harmony.Three) && (!f.Has(harmony.FlatThree) || f.Has(harmony.FlatFive)) {
		return nil
	}
	add := func(d harmony.Degree, is chordSet) {
		chord := c.Chord
		chord.Formula |= harmony.FormulaOf(d)
		out = append(out, ninth{chord: chord, is: is})
	}
	add(harmony.Nine, withNinth)
	if f.Has(harmony.Three) && f.Has(harmony.FlatSeven) {
		add(harmony.FlatNine, withFlatNinth)
	}
	return out
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
// smallest of them has, or the part of it that was played. The written one, with its
// ninth or without, stands alone where all of the arpeggio lies under it: that is what
// the player reads. Where nobody wrote it, it stands first, by its symbol if it is of
// the family too.
func (g *figure) candidates() (names []string, smallest int) {
	if g.chords == 0 {
		return nil, 0
	}
	c := g.last.context
	if g.chords&overWritten != 0 && !c.Assumed {
		if g.chords&writtenChord == 0 || g.rootless() {
			return []string{c.Symbol}, arpeggioLeast + 1
		}
		return []string{c.Symbol}, writtenTones(c.Chord).Len()
	}
	smallest = scaleTones
	add := func(name string, set tone.Set) {
		names, smallest = append(names, name), min(smallest, set.Len())
	}
	written := tone.Set(0)
	if g.chords&writtenChord != 0 {
		written = writtenTones(c.Chord)
		add(c.Symbol, written)
	}
	for i, chord := range g.last.slot.table.chords {
		if g.chords>>i&1 == 1 && chord.set != written {
			add(chord.name, chord.set)
		}
	}
	return names, smallest
}

// rootless reports whether the root of the written chord is not among the tones.
func (g *figure) rootless() bool {
	return !slices.Contains(g.played[:g.nPlayed], g.last.context.Chord.Root.Class())
}

// degrees tells the tones of a cell, or of an upper part of the written chord, by
// their degrees over it, in the order in which they were played: "1-2-3-5", "3-5-7-9".
func (g *figure) degrees() string {
	c := g.last.context
	upper := g.kind == Arpeggio && g.chords&overWritten != 0 && !c.Assumed && g.rootless()
	if g.kind != Cell && !upper {
		return ""
	}
	var words []string
	for _, class := range g.played[:g.nPlayed] {
		degree := harmony.DegreeOver(c.Chord, class)
		if g.kind == Cell {
			degree = belowTheOctave.Replace(degree)
		}
		words = append(words, degree)
	}
	return strings.Join(words, "-")
}

// belowTheOctave counts tensions as the steps they are: in a cell the ninth is 2.
var belowTheOctave = strings.NewReplacer("9", "2", "11", "4", "13", "6")
