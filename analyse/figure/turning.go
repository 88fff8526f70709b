package figure

import "shedlight/analyse/tone"

// takeTurning takes the figures from note i on that do not go one way, and the cell.
func (p *span) takeTurning(s []walkNote, i int) {
	if n := repeatedFrom(s[i:]); n >= repeatedLeast {
		p.take(span{kind: Repeated, from: i, to: i + n - 1}, s)
	}
	if n := trillFrom(s[i:]); n >= trillLeast {
		p.take(span{kind: Trill, from: i, to: i + n - 1}, s)
	}
	if n := thirdsFrom(s[i:]); n >= thirdsLeast {
		p.take(span{kind: Thirds, from: i, to: i + n - 1}, s)
	}
	if chords := brokenFrom(s[i:]); chords != 0 && p.length() <= brokenNotes {
		p.take(span{kind: Arpeggio, from: i, to: i + brokenNotes - 1, broken: true, shape: shape{tones: brokenNotes}, chords: chords}, s)
	}
	if p.length() <= cellNotes && isCell(s[i:]) {
		p.take(span{kind: Cell, from: i, to: i + cellNotes - 1}, s)
	}
	if n := enclosureFrom(s[i:]); n > 0 {
		p.take(span{kind: Enclosure, from: i, to: i + n - 1}, s)
	}
}

// inScale reports whether a note is in one of the scales that runs go through.
func (w *walkNote) inScale() bool { return !w.foreign() }

// repeatedFrom counts the notes at the head of s on one key.
func repeatedFrom(s []walkNote) (n int) {
	for n = 1; n < len(s) && s[n].key == s[0].key; n++ {
	}
	return n
}

// trillFrom counts the notes at the head of s that alternate between two keys a step
// apart.
func trillFrom(s []walkNote) (n int) {
	if d := tone.Apart(s[0].key, s[1].key); d == 0 || d > tone.WholeStep {
		return 0
	}
	for n = 2; n < len(s) && s[n].key == s[n-2].key; n++ {
	}
	return n
}

// thirdsFrom counts the notes at the head of s that are thirds, all up or all down,
// each a step from the one before, all steps the same way.
func thirdsFrom(s []walkNote) (n int) {
	if len(s) < thirdsLeast {
		return 0
	}
	move := s[2].key - s[0].key
	for n = 0; n+1 < len(s) && isThird(&s[n], &s[n+1]) && s[n+1].way == s[1].way; n += 2 {
		if n > 0 {
			if step := s[n].key - s[n-2].key; step*move <= 0 || max(step, -step) > tone.WholeStep {
				break
			}
		}
	}
	return n
}

// isThird reports whether two tones are a third apart, or two steps of the scale.
func isThird(a, b *walkNote) bool {
	const smallest = 3 // semitones
	if !a.inScale() || !b.inScale() {
		return false
	}
	d := tone.Apart(a.key, b.key)
	twoSteps := a.index >= 0 && b.index >= 0 && a.context.Set == b.context.Set &&
		(b.index-a.index+scaleTones)%scaleTones%(scaleTones-4) == 2
	return smallest <= d && d <= WidestSkip || d == tone.WholeStep && twoSteps
}

// brokenFrom returns the chords of which the four notes at the head of s are the four
// tones, under one chord, within an octave and not all one way.
func brokenFrom(s []walkNote) (chords chordSet) {
	if len(s) < brokenNotes {
		return 0
	}
	low, high, set := s[0].key, s[0].key, tone.Set(0)
	for i := range s[:brokenNotes] {
		low, high = min(low, s[i].key), max(high, s[i].key)
		set |= tone.SetOf(s[i].class())
	}
	oneWay := s[1].way == s[2].way && s[2].way == s[3].way
	if set.Len() != brokenNotes || high-low >= tone.Octave || oneWay {
		return 0
	}
	for i := range s[0].slot.fours {
		if f := &s[0].slot.fours[i]; f.set == set {
			chords = f.chords
			break
		}
	}
	for i := range s[:brokenNotes] {
		if s[i].context.Chord != s[0].context.Chord || s[i].slot.table != s[0].slot.table {
			return 0
		}
	}
	return chords
}

// ranks tells for each of four notes which it is from the lowest up, from 1.
func ranks(s []walkNote) (order [brokenNotes]uint8) {
	for i := range order {
		for k := range s {
			if s[k].key <= s[i].key {
				order[i]++
			}
		}
	}
	return order
}

// isCell reports whether the four notes at the head of s go one way under one chord,
// with two steps of a scale and a skip of at most a fourth among them.
func isCell(s []walkNote) bool {
	if len(s) < cellNotes || s[0].context.Chord.None() {
		return false
	}
	steps := 0
	for i := range s[:cellNotes] {
		if !s[i].inScale() || s[i].context.Chord != s[0].context.Chord {
			return false
		}
		if i == 0 {
			continue
		}
		d := tone.Apart(s[i].key, s[i-1].key)
		if s[i].way == 0 || s[i].way != s[1].way || d > cellSkip {
			return false
		}
		if d <= tone.WholeStep {
			steps++
		}
	}
	return steps == cellNotes-2
}

// enclosureFrom counts the notes at the head of s that lead into a tone of the chord
// from both sides: one and one, or two on one side and one on the other, of two the
// nearer last. 0 where they do not.
func enclosureFrom(s []walkNote) int {
	for n := min(4, len(s)); n >= 3; n-- {
		goal := &s[n-1]
		tones := goal.context.ChordTone
		if tones == 0 {
			tones = goal.context.Home
		}
		if !tones.Has(goal.class()) {
			continue
		}
		var side [3]int
		near := true
		for i := range s[:n-1] {
			side[i] = s[i].key - goal.key
			near = near && side[i] != 0 && max(side[i], -side[i]) <= tone.WholeStep
		}
		switch {
		case !near:
		case n == 3 && side[0]*side[1] < 0:
			return n
		case n == 4 && side[0]*side[2] < 0 && (side[1] == side[0]/2 && side[0]%2 == 0 || side[1] == 2*side[2]):
			return n
		}
	}
	return 0
}
