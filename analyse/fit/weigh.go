package fit

import (
	"shedlight/analyse/changes"
	"shedlight/analyse/harmony"
	"shedlight/analyse/tone"
)

// What a note counts for by what it is to the chord, in hundredths of a point.
// The sizes are set by hand and follow how plainly a tone speaks for its chord
// (common practice, no source); they are rounded, since nothing hangs on their
// last digit, and no data chose them.
const (
	// chordTone: a tone of the chord with its charted tensions and its bass.
	chordTone = 60
	// guideTone: the third and the seventh, which tell one chord from another,
	// count for 1.4 chord tones. Where there is no third the fourth of a
	// suspended chord is one, where there is no seventh the sixth.
	guideTone = 84
	// tension: what players add to the chord. A little against it, since every
	// tension of one chord is a chord tone of another.
	tension = -30
	// foreign: anything else.
	foreign = -80
)

// How much a note counts, in hundredths.
const (
	fullWeight = 100
	// offBeat: between the beats stands what leads from one chord tone to the
	// next.
	offBeat = 60
	// movesOn: a note that moves on by a semitone within a beat has its reason
	// in where it goes.
	movesOn = 30
)

// point is one point: a table's hundredths times a weight's.
const point = fullWeight * 100

const (
	classes    = 12
	scaleTones = 8 // of every sixth-diminished scale
)

// The moves by semitones that are looked at: every other way to lie over the
// chords once.
const (
	lowestMove  = -5
	highestMove = 6
	pitchMoves  = highestMove - lowestMove + 1 // with none, which stays empty
	noMove      = -lowestMove                  // the index of none
)

// table is all there is to know of a chord: what each pitch class counts for,
// as it is and moved.
type table struct {
	chord    harmony.Chord
	counts   [classes]int64
	moved    [classes][pitchMoves]int64 // less as it is; by i+lowestMove
	alike    []int                      // the moves, less lowestMove, that leave the chord the same; none for most
	dominant int64                      // 1 for a dominant, else 0
	sum      int64                      // over the twelve classes
	spread   int64                      // classes squared times the variance over them
}

// newTable works out the table of a chord, which may be none.
func newTable(c harmony.Chord, resolves bool) table {
	t := table{chord: c}
	if c.None() {
		return t
	}
	if c.Kind() == harmony.KindDominant {
		t.dominant = 1
	}
	tones, guides, tensions := c.Set(), guideTones(c), tensionsOf(c, resolves)
	for class := range tone.All.Each() {
		counts := int64(foreign)
		switch {
		case guides.Has(class):
			counts = guideTone
		case tones.Has(class):
			counts = chordTone
		case tensions.Has(class):
			counts = tension
		}
		t.counts[class] = counts
		t.sum += counts
		t.spread += classes * counts * counts
	}
	t.spread -= t.sum * t.sum
	for i := range pitchMoves {
		for class := range t.moved {
			t.moved[class][i] = t.counts[tone.ClassOf(class+i+lowestMove)] - t.counts[class]
		}
		if i != noMove && tones.Transpose(i+lowestMove) == tones {
			t.alike = append(t.alike, i)
		}
	}
	return t
}

// over returns what the tones of a set count for together.
func (t *table) over(s tone.Set) int64 {
	var sum int64
	for class := range s.Each() {
		sum += t.counts[class]
	}
	return sum
}

// turned returns what each class counts for over the dim half of a scale, less as it is
// written: for a player who takes that half for home and sets it on the beats. A tone of it
// counts as those of a chord do on the average, one of the home half as a tension.
func (t *table) turned(s harmony.Scale) (less [classes]int64) {
	if s.None() {
		return less
	}
	for class := range tone.All.Each() {
		counts := int64(foreign)
		switch {
		case s.Dim().Has(class):
			counts = (guideTone + chordTone) / 2
		case s.Home().Has(class):
			counts = tension
		}
		less[class] = counts - t.counts[class]
	}
	return less
}

// guideTones returns the tones that tell a chord from its neighbours.
func guideTones(c harmony.Chord) tone.Set {
	first := func(among ...harmony.Degree) (s tone.Set) {
		for _, d := range among {
			if c.Formula.Has(d) {
				return tone.SetOf(tone.ClassOf(int(c.Root.Class()) + d.Semitones()))
			}
		}
		return 0
	}
	return first(harmony.Three, harmony.FlatThree, harmony.Four) |
		first(harmony.Seven, harmony.FlatSeven, harmony.DoubleFlatSeven, harmony.Six)
}

// tensionsOf returns what players add to a chord: the ninth, eleventh and
// thirteenth of the scales it is given, and its colours (common practice, no
// source). resolves says that the root of the next chord lies a fifth or a
// semitone below: such a dominant takes every alteration.
func tensionsOf(c harmony.Chord, resolves bool) tone.Set {
	// In semitones over the root.
	var above tone.Set
	f := c.Formula
	has := func(d ...harmony.Degree) bool { return f&harmony.FormulaOf(d...) != 0 }
	switch c.Kind() {
	case harmony.KindDominant:
		switch {
		case has(harmony.FlatFive, harmony.SharpFive):
			above = tone.SetOf(1, 3, 6, 8)
		case has(harmony.FlatNine, harmony.SharpNine) && resolves:
			above = tone.SetOf(1, 3, 6, 8, 9)
		case has(harmony.FlatNine, harmony.SharpNine):
			above = tone.SetOf(1, 3, 6, 9)
		case resolves:
			above = tone.SetOf(1, 2, 3, 6, 8, 9)
		default:
			above = tone.SetOf(2, 3, 6, 9)
		}
	case harmony.KindSuspended:
		above = tone.SetOf(2, 4, 8, 9)
		if resolves {
			above |= tone.SetOf(1)
		}
	case harmony.KindMajor, harmony.KindAugmented:
		above = tone.SetOf(2, 6, 9, 11)
	case harmony.KindMinor:
		above = tone.SetOf(2, 5, 9, 10)
	case harmony.KindMinorSixth:
		above = tone.SetOf(2, 5, 9, 10, 11)
	case harmony.KindHalfDiminished:
		above = tone.SetOf(2, 5, 8, 9)
	case harmony.KindDiminished:
		above = tone.SetOf(2, 5, 8, 11)
	default: // a power chord, anything else
		above = tone.SetOf(2, 9)
	}
	return above.Transpose(int(c.Root.Class()))
}

// resolving says for each slot whether the next chord with another root, past
// the end of the form into its start, has its root a fifth or a semitone below.
// N.C. resolves nothing.
func resolving(slots []changes.Slot) []bool {
	const fifthBelow, semitoneBelow = 5, 11 // in semitones up
	n := len(slots)
	out := make([]bool, n)
	// Backwards and twice round, the chord after each is known when it is met.
	var chord, next harmony.Chord
	for i := 2*n - 1; i >= 0; i-- {
		here := slots[i%n].Chord
		if here.None() || chord.None() || here.Root.Class() != chord.Root.Class() {
			next = chord
		}
		chord = here
		if i < n && !here.None() && !next.None() {
			up := tone.ClassOf(int(next.Root.Class()) - int(here.Root.Class()))
			out[i] = up == fifthBelow || up == semitoneBelow
		}
	}
	return out
}
