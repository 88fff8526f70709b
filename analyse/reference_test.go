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
