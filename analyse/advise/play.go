package advise

import (
	"slices"

	"shedlight/analyse/harmony"
	"shedlight/analyse/tone"
)

// What is to be played, and how fast: see tempo.go. The four tones over a chord and where
// they go are common practice, no source:
//
//   - Over a dominant they are the third, the fifth, the seventh and the ninth: the flat
//     ninth where it goes to a tonic a fourth up and its symbol names no other, so that
//     they are the dim half of the tonic's scale. Over any other chord they are its own.
//   - A line up through them goes on by step: from the third of a dominant to the root,
//     else by a half step to the third of the next chord, as the seventh of a minor
//     seventh falls into it, else to its root or its fifth, else by a whole step.

// Exercise is what to play, as it stands. Names are concert pitch, without octave.
type Exercise struct {
	Bar   int      `json:"bar,omitempty"` // over which bars; 0: over no certain ones
	ToBar int      `json:"to_bar,omitempty"`
	Chord string   `json:"chord,omitempty"` // over which chord, as the chart writes it
	Next  string   `json:"next,omitempty"`  // and into which
	Notes []string `json:"notes,omitempty"` // in order
	Then  []string `json:"then,omitempty"`  // where they go: a tone on 1, another chord, or a tone for each
	Tempo int      `json:"tempo,omitempty"` // beats a minute; 0 where no beat is known
	Times int      `json:"times"`           // how often: choruses, but phrases for Hanging and changes for Crossing
}

// four returns the tones to play over a chord, from the lowest up.
func (o *over) four() (tones []tone.Class) {
	f := o.chord.Formula
	if o.chord.Kind() != harmony.KindDominant || !f.Has(harmony.Three) {
		for d := harmony.One; d <= harmony.Seven; d++ {
			if o.chord.Own().Formula.Has(d) {
				tones = append(tones, o.chord.Name(d).Class())
			}
		}
		return o.fromRoot(tones)
	}
	first := func(ds ...harmony.Degree) tone.Class {
		for _, d := range ds[:len(ds)-1] {
			if f.Has(d) {
				return o.chord.Name(d).Class()
			}
		}
		return o.chord.Name(ds[len(ds)-1]).Class()
	}
	ninth := harmony.Nine
	if o.toTonic() {
		ninth = harmony.FlatNine
	}
	return []tone.Class{
		o.chord.Name(harmony.Three).Class(), first(harmony.Five, harmony.SharpFive, harmony.FlatFive, harmony.Five),
		o.chord.Name(harmony.FlatSeven).Class(), first(harmony.FlatNine, harmony.SharpNine, harmony.Nine, ninth),
	}
}

// fromRoot puts tones in order from the root of the chord up.
func (o *over) fromRoot(tones []tone.Class) []tone.Class {
	root := int(o.chord.Root.Class())
	slices.SortFunc(tones, func(a, b tone.Class) int { return int(tone.ClassOf(int(a)-root)) - int(tone.ClassOf(int(b)-root)) })
	return tones
}

func (o *over) named(tones []tone.Class) (names []string) {
	for _, t := range tones {
		names = append(names, o.names[t])
	}
	return names
}

// way is a step from the last tone of a line to a degree of the next chord, in semitones.
type way struct {
	step   int
	degree harmony.Degree
}

// into returns the four tones from that one up behind which the line steps on into the
// next chord, and the tone it comes to; none where no step leads there.
func (o *over) into() (line []tone.Class, goal tone.Name, ok bool) {
	line = o.four()
	if o.next.None() || o.next == o.chord || len(line) == 0 {
		return line, goal, false
	}
	root, third, fifth, last := harmony.One, thirdOf(o.next), fifthOf(o.next), lastOf(o.next)
	ways := []way{{-1, third}, {1, third}, {1, root}, {1, fifth}, {-1, fifth}, {1, last}, {2, third}, {2, fifth}, {2, root}, {2, last}}
	if kind := o.chord.Kind(); kind == harmony.KindDominant || kind == harmony.KindDiminished {
		ways = slices.Insert(ways, 0, way{1, root})
	}
	for _, to := range ways {
		if !o.next.Formula.Has(to.degree) {
			continue
		}
		goal = o.next.Name(to.degree)
		from := tone.ClassOf(int(goal.Class()) - to.step)
		if i := slices.Index(line, from); i >= 0 {
			return slices.Concat(line[i+1:], line[:i+1]), goal, true
		}
	}
	return line, tone.Name{}, false
}

func thirdOf(c harmony.Chord) harmony.Degree {
	return having(c, harmony.Three, harmony.FlatThree, harmony.Four, harmony.Nine)
}

func fifthOf(c harmony.Chord) harmony.Degree {
	return having(c, harmony.Five, harmony.SharpFive, harmony.FlatFive)
}

func lastOf(c harmony.Chord) harmony.Degree {
	return having(c, harmony.FlatSeven, harmony.Six, harmony.Seven, harmony.DoubleFlatSeven)
}

// having is the first of the degrees that a chord has, or else the first.
func having(c harmony.Chord, ds ...harmony.Degree) harmony.Degree {
	for _, d := range ds {
		if c.Formula.Has(d) {
			return d
		}
	}
	return ds[0]
}

// down is the exercise over a chord whose tones are to be found again.
func (o *over) down(p pace) Exercise {
	e := o.exercise(p.at(mending))
	e.Notes = o.named(o.four())
	return e
}

// up is the exercise over a chord that is to be outlined, into the next.
func (o *over) up(p pace) Exercise {
	e := o.exercise(p.at(mending))
	line, goal, ok := o.into()
	e.Notes = o.named(line)
	if ok {
		e.Then = []string{goal.String()}
	}
	return e
}

const fourChoruses, threeChoruses, twoChoruses = 4, 3, 2

func (o *over) exercise(tempo int) Exercise {
	return Exercise{Bar: o.Bar, ToBar: o.ToBar, Chord: o.Symbol, Tempo: tempo, Times: fourChoruses}
}

// stepping returns a tone of the chord, or else of its scale, from which a step leads to
// the third of the next, and that third.
func (o *over) stepping() (from, to string, ok bool) {
	third := thirdOf(o.next)
	if o.next.None() || !o.next.Formula.Has(third) {
		return "", "", false
	}
	goal := o.next.Name(third)
	for _, among := range []tone.Set{o.chord.Set(), o.scale.Set()} {
		for _, step := range []int{1, -1, 2, -2} {
			if t := tone.ClassOf(int(goal.Class()) + step); among.Has(t) && t != goal.Class() {
				return o.names[t], goal.String(), true
			}
		}
	}
	return "", "", false
}
