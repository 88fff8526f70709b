package analyse_test

import (
	"cmp"
	"slices"

	"shedlight/analyse"
	"shedlight/analyse/fate"
	"shedlight/analyse/timebase"
)

// This is the judge written a second time: slow, with the whole take in hand,
// one function for each row of the table of fates and in its order. It shares
// no code with the analyser, which must agree with it on anything that can be
// played (TestReferenceAgrees). Whoever changes a rule changes it twice.
//
// All differences are of key numbers, all times in ticks but for the two that
// are in milliseconds, all limits inclusive unless a rule says otherwise.

// The numbers of the rules. A beat is the one at the note.
const (
	glitchMicros   = 30_000 // a glitch is shorter than this
	graceMicros    = 90_000
	gapsRemembered = 7 // the median gap is that of so many gaps at most
	gapsEnough     = 3 // and of so many at least
	blueFlats      = 1<<3 | 1<<10
	aFourth        = 5
	handSpan       = 16 // semitones
	crossingLeap   = 5  // semitones
	stretchBars    = 4
)

// verdict is what is said of one note in the end.
type verdict struct {
	role    analyse.Role
	fate    fate.Fate
	by      int64
	scale   string
	colour  string
	against string
}

// slip reports whether the note counts against the player.
func (v verdict) slip() bool { return v.fate == fate.Unresolved || v.against != "" }

// judge is the whole take and what is worked out of it.
type judge struct {
	chart bool
	tempo *timebase.Tempo
	notes []*refNote // every note-on, by number
	line  []*refNote // the notes of the melody, without glitches and lower voices

	// What was struck at one moment, one note or two: the melody, and the single
	// notes of the left hand.
	melody, bass [][]*refNote
}

// reference judges a whole take.
func reference(setup analyse.Setup, events []analyse.Event) []verdict {
	j := &judge{chart: setup.Timeline != nil, notes: refNotes(setup, events), tempo: tempoMap(inOrder(events))}
	j.takeGlitchesOut(setup)
	out := make([]verdict, len(j.notes))
	for i, note := range j.notes {
		out[i] = verdict{role: note.role}
		found, by := j.fate(note)
		if found == fate.Unresolved && j.fights(note) {
			out[i].against = note.degree()
		}
		if note.outside() {
			out[i].fate, out[i].by = found, by
			note.fate = found
		}
	}
	for i, note := range j.notes {
		if note.fate == fate.Unresolved {
			j.behind(note, &out[i])
		}
	}
	return out
}

// fate goes through the rules that look at the notes themselves; Unresolved is
// what is left for behind.
func (j *judge) fate(i *refNote) (fate.Fate, int64) {
	if i.soft {
		return fate.Glitch, -1
	}
	if i.chordTone() { // settled at once, before it can be known whether it is short
		return fate.Written, -1
	}
	if i.glitch {
		return fate.Glitch, -1
	}
	if i.pedal != nil {
		return fate.Pedal, i.pedal.n
	}
	if i.role == analyse.Struck { // a hand that comps is early and late too
		if again, ok := j.push(i); ok && again != nil {
			return fate.Push, again.n
		} else if ok {
			return fate.Push, -1
		}
		if _, ok := j.late(i); ok {
			return fate.Late, -1
		}
		if by := j.voiceLeads(i); by != nil {
			return fate.Approach, by.n
		}
		return fate.Unresolved, -1
	}
	for _, rule := range []struct {
		fate    fate.Fate
		applies func(*refNote) (by *refNote, ok bool)
	}{
		{fate.Ornament, j.ornament},
		{fate.Push, j.push},
		{fate.Late, j.late},
		{fate.Enclosure, j.enclosure},
		{fate.DoubleChromatic, j.doubleChromatic},
		{fate.Passing, j.passing},
		{fate.Neighbour, j.neighbour},
		{fate.Approach, j.approach},
	} {
		by, ok := rule.applies(i)
		switch {
		case ok && by != nil:
			return rule.fate, by.n
		case ok:
			return rule.fate, -1
		}
	}
	return fate.Unresolved, -1
}

// behind goes through what stands behind the rules about movement: what the note is
// to its chord.
func (j *judge) behind(i *refNote, v *verdict) {
	s := j.heardIn(i)
	switch {
	case i.isColour():
		v.fate, v.colour = fate.Colour, i.degree()
	case !s.None() && s.Set().Has(i.class()):
		v.fate, v.scale = fate.Sub, s.String()
	case j.blue(i):
		v.fate = fate.Blue
	}
}

// takeGlitchesOut makes the line.
func (j *judge) takeGlitchesOut(setup analyse.Setup) {
	for n, note := range j.notes {
		next := slices.IndexFunc(j.notes[n+1:], func(o *refNote) bool { return !o.soft })
		short := setup.Legato && len(j.line) > 0 && next >= 0 && j.notes[n+1+next].micros-note.micros < glitchMicros
		note.glitch = note.soft || short
		if note.glitch {
			continue
		}
		crosses := note.left && j.crosses(note)
		if crosses {
			note.low = false
		}
		if note.low {
			j.carryPedal(note)
		}
		switch {
		case note.pedal != nil || note.role != analyse.Line:
		case note.left && !crosses:
			note.bass = true
			j.bass = append(j.bass, []*refNote{note})
		default:
			if last := len(j.melody) - 1; last >= 0 && j.melody[last][0] == note.partner {
				j.melody[last] = append(j.melody[last], note)
			} else {
				j.melody = append(j.melody, []*refNote{note})
			}
			if note.partner == nil || !note.under() {
				j.line = append(j.line, note)
			}
		}
	}
}

// crosses: the hands visibly cross. The melody's last note is the note struck just before,
// near, in one phrase and let go; the left hand holds keys, all of them too far below.
func (j *judge) crosses(i *refNote) bool {
	if i.role != analyse.Line || len(j.line) == 0 {
		return false
	}
	last := j.line[len(j.line)-1]
	far := false
	for _, key := range i.downBefore {
		switch {
		case key == j.notes[max(0, i.before)].key && i.before >= 0:
		case i.key-key > handSpan:
			far = true
		default:
			return false
		}
	}
	if last.n != i.before || distance(last, i) > crossingLeap || i.tick-last.tick > j.gap(&refNote{n: i.n, beat: i.beat}) {
		return false
	}
	if last.released == never || j.tempo.Micros(last.released)-i.micros > chordMicros {
		return false
	}
	return far
}

// carryPedal looks whether a low note is the same as the low note before it,
// silent in between for a bar at most, and goes back to the first of them: under
// another chord than any of those after it the note is a pedal point.
func (j *judge) carryPedal(note *refNote) {
	for _, before := range slices.Backward(j.notes[:note.n]) {
		if !before.low || before.glitch {
			continue
		}
		if before.key != note.key || before.channel != note.channel || note.tick-before.ended > note.bar {
			break
		}
		note.strokeOf = before
		break
	}
	changed := false
	first := note
	for ; first.strokeOf != nil; first = first.strokeOf {
	}
	for stroke := note; stroke != nil; stroke = stroke.strokeOf {
		changed = changed || stroke.slot.Chord != first.slot.Chord
	}
	if changed {
		note.pedal = first
	}
}

// at returns the line note that stands a number of places from i; ok is false
// where there is none.
func (j *judge) at(i *refNote, places int) (note *refNote, ok bool) {
	line := j.lineOf(i)
	at := places + slices.IndexFunc(line, func(moment []*refNote) bool { return slices.Contains(moment, i) })
	if at < 0 || at >= len(line) {
		return nil, false
	}
	if places == 0 {
		return i, true // and not the other one on its key
	}
	// Of two voices the nearer one, of two that are equally near the higher.
	return slices.MinFunc(line[at], func(a, b *refNote) int {
		return cmp.Or(distance(a, i)-distance(b, i), map[bool]int{a.under(): 1, b.under(): -1}[true])
	}), true
}

// lineOf returns the melody, or the bass where i is a note of it.
func (j *judge) lineOf(i *refNote) [][]*refNote {
	if i.bass {
		return j.bass
	}
	return j.melody
}

// inTime returns the line note a number of places after i, if it comes before
// i's fate must be settled.
func (j *judge) inTime(i *refNote, places int) (note *refNote, ok bool) {
	note, ok = j.at(i, places)
	return note, ok && (places <= 0 || note.tick <= j.deadline(i))
}

func (j *judge) deadline(i *refNote) int64 { return i.tick + 2*max(i.beat, j.gap(i)) }

// gap is the longest gap that i's figure may have: a beat, or one and a half
// times the median of the gaps before it where the playing is slower than that.
func (j *judge) gap(i *refNote) int64 {
	var gaps []int64
	line := j.lineOf(i)
	for k := 1; k < len(line) && line[k][0].n <= i.n; k++ {
		gaps = append(gaps, line[k][0].tick-line[k-1][0].tick)
	}
	gaps = gaps[max(0, len(gaps)-gapsRemembered):]
	if len(gaps) < gapsEnough {
		return i.beat
	}
	slices.Sort(gaps)
	median := gaps[(len(gaps)-1)/2] // of an even number the lower of the two in the middle
	return max(i.beat, median*3/2)
}

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
