package analyse_test

import (
	"slices"

	"shedlight/analyse"
)

// ornament: a grace note into a longer one a step away, or a trill.
func (j *judge) ornament(i *refNote) (*refNote, bool) {
	if n, ok := j.inTime(i, 1); ok && isStep(n, i) && n.micros-i.micros <= graceMicros {
		gap := n.tick - i.tick
		until := n.ended
		if after, ok := j.at(i, 2); ok {
			until = min(until, after.tick)
		}
		if until-n.tick > gap && n.tick+gap <= j.deadline(i) {
			return n, true
		}
	}
	for first := -3; first <= 0; first++ {
		if last, ok := j.trill(i, first); ok {
			return last, true
		}
	}
	return nil, false
}

// trill looks at four line notes, the first of them first places from i, and
// returns the last.
func (j *judge) trill(i *refNote, first int) (*refNote, bool) {
	var four [4]*refNote
	for k := range four {
		note, ok := j.inTime(i, first+k)
		if !ok || k > 0 && note.tick-four[k-1].tick > i.beat/2 {
			return nil, false
		}
		four[k] = note
	}
	return four[3], isStep(four[0], four[1]) && four[0].key == four[2].key && four[1].key == four[3].key
}

// push: a home tone of the next chord's scale, of either view, or a tone of it, more
// than a tenth and up to six tenths of a beat before it, that lasts into it.
func (j *judge) push(i *refNote) (*refNote, bool) {
	if !j.chart || !i.song.running || i.song.left*10 <= i.beat || i.song.left*10 > 6*i.beat {
		return nil, false
	}
	sounding, next := i.song.sounding, i.song.next
	home := next.Key.Home() | next.Own.Home() | next.Chord.Set()
	if sounding.Chord == next.Chord || !home.Has(i.class()) {
		return nil, false
	}
	change := i.tick + i.song.left
	struck := slices.ContainsFunc(j.notes, func(o *refNote) bool {
		return !o.soft && o.left == i.left && o.tick > i.tick && o.tick <= change+i.beat/2
	})
	if i.ended >= change+i.beat/10 || !struck {
		return nil, true
	}
	if i.role == analyse.Struck {
		for _, note := range j.nextChord(i) {
			if note.key == i.key {
				return note, true
			}
		}
		return nil, false
	}
	if again, ok := j.inTime(i, 1); ok && again.key == i.key {
		return again, true
	}
	return nil, false
}

// late: still in the previous scale, of either view, or chord, up to a quarter of a
// beat after the change, and over within half a beat or left for the next note.
func (j *judge) late(i *refNote) (*refNote, bool) {
	before := i.song.before
	if !j.chart || !i.song.running || before == nil || i.song.since > i.beat/4 || before.Chord == i.slot.Chord {
		return nil, false
	}
	left := i.ended
	if next, ok := j.at(i, 1); ok && i.role == analyse.Line { // a voice of a chord is held or over
		left = min(left, next.tick)
	}
	return nil, left-i.tick <= i.beat/2 && (bothScales(before) | before.Chord.Set()).Has(i.class())
}

// enclosure: two notes on opposite sides of a target, or three of which one
// stands on the other side, then the target.
func (j *judge) enclosure(i *refNote) (*refNote, bool) {
	for target := 1; target <= 3; target++ {
		for notes := max(2, target); notes <= 3; notes++ {
			if m, ok := j.encloses(i, target, notes); ok {
				return m, true
			}
		}
	}
	return nil, false
}

// encloses looks at the given number of notes before the line note that stands
// target places after i.
func (j *judge) encloses(i *refNote, target, notes int) (*refNote, bool) {
	m, ok := j.inTime(i, target)
	if !ok || !m.target() {
		return nil, false
	}
	above, below := 0, 0
	for k := target - notes; k < target; k++ {
		note, ok := j.at(i, k)
		if !ok || !isStep(note, m) {
			return nil, false
		}
		after, _ := j.at(i, k+1)
		if after.tick-note.tick > j.gap(i) {
			return nil, false
		}
		if note.key > m.key {
			above++
		} else {
			below++
		}
	}
	first, _ := j.at(i, target-notes)
	return m, above > 0 && below > 0 && m.tick-first.tick <= 2*j.gap(i)
}

// doubleChromatic: two semitones, then one, from one side into a target.
func (j *judge) doubleChromatic(i *refNote) (*refNote, bool) {
	for target := 1; target <= 2; target++ {
		m, ok := j.inTime(i, target)
		x, okX := j.at(i, target-2)
		if !ok || !okX || !m.target() {
			continue
		}
		y, _ := j.at(i, target-1)
		side := y.key - m.key
		if distance(y, m) == 1 && x.key-m.key == 2*side && m.tick-x.tick <= 2*j.gap(i) {
			return m, true
		}
	}
	return nil, false
}

// passing: in the middle between two notes a whole step apart.
func (j *judge) passing(i *refNote) (*refNote, bool) {
	p, n, ok := j.around(i)
	return n, ok && distance(p, n) == 2 && 2*i.key == p.key+n.key
}

// neighbour: a semitone from a target that sounds before and after.
func (j *judge) neighbour(i *refNote) (*refNote, bool) {
	p, n, ok := j.around(i)
	return n, ok && p.key == n.key && distance(i, p) == 1 && p.target() && n.target()
}

// around returns the notes before and after i, where both gaps are short
// enough.
func (j *judge) around(i *refNote) (p, n *refNote, ok bool) {
	p, okP := j.at(i, -1)
	n, okN := j.inTime(i, 1)
	ok = okP && okN && i.tick-p.tick <= j.gap(i) && n.tick-i.tick <= j.gap(i)
	return p, n, ok
}

// approach: the next note is a target a semitone away; the note itself may be
// struck again first, twice at most.
func (j *judge) approach(i *refNote) (*refNote, bool) {
	if next, ok := j.at(i, 1); i.bent && i.bentAt-i.tick <= j.gap(i) && (!ok || i.bentAt <= next.tick) {
		return nil, true
	}
	from := i
	for places := 1; places <= 3; places++ {
		n, ok := j.inTime(i, places)
		if !ok || n.tick-from.tick > j.gap(i) {
			break
		}
		if n.key != i.key {
			if distance(n, i) == 1 && n.target() {
				return n, true
			}
			break
		}
		if into, ok := j.leadsIntoChord(i); ok { // the key again comes later than the chord
			return into, true
		}
		from = n
	}
	return j.leadsIntoChord(i)
}

// leadsIntoChord is the approach of a note of the line to a voice of a chord that
// is struck before another note of the line.
func (j *judge) leadsIntoChord(i *refNote) (*refNote, bool) {
	next, ok := j.at(i, 1)
	chord := j.nextChord(i)
	if len(chord) == 0 || ok && next.n < chord[0].group || chord[0].tick-i.tick > j.gap(i) || chord[0].tick <= i.tick {
		return nil, false
	}
	by := lowestLead(i, chord)
	return by, by != nil
}

// voiceLeads is the approach of a voice of a struck chord: the next chord has
// a target a semitone away. It returns the lowest.
func (j *judge) voiceLeads(i *refNote) *refNote { return lowestLead(i, j.nextChord(i)) }

func lowestLead(i *refNote, chord []*refNote) *refNote {
	var lowest *refNote
	for _, note := range chord {
		if distance(note, i) == 1 && note.target() && (lowest == nil || note.key < lowest.key) {
			lowest = note
		}
	}
	return lowest
}

// nextChord returns the chord that is struck next, if it comes in time.
func (j *judge) nextChord(i *refNote) (next []*refNote) {
	for _, note := range j.notes {
		if note.role != analyse.Struck || note.left != i.left || note.group <= i.n {
			continue
		}
		if len(next) > 0 && note.group != next[0].group {
			break
		}
		next = append(next, note)
	}
	if len(next) > 0 && next[0].tick > j.deadline(i) {
		return nil
	}
	return next
}

// fights reports whether a note that nothing explains fights its chord: in a line, on
// the beat, for half a beat or longer, and not left by a semitone.
func (j *judge) fights(i *refNote) bool {
	if i.role != analyse.Line || !i.onBeat() || !i.isAgainst() {
		return false
	}
	until := i.ended
	if next, ok := j.at(i, 1); ok {
		if distance(next, i) == 1 && next.tick-i.tick <= j.gap(i) {
			return false
		}
		until = min(until, next.tick)
	}
	return until-i.tick >= i.beat/2
}
