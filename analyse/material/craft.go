package material

import (
	"shedlight/analyse/tone"
)

// The rules of the craft (common practice): what no line may do.
//
//   - Every tone is one of the chord or of a scale that goes with it, or it stands off
//     the beat and moves on at once by a half step to one that is.
//   - A tone that fights the chord is not struck on a beat, but where a half step
//     follows; one that wants to go on is not held for a beat, nor left before a rest.
//   - What is held for a beat or left before a rest is a tone of the chord, or its
//     sixth or ninth.
//   - No leap is larger than was asked for. After one of more than a fifth the line
//     steps back.
//   - Between two rests one tone at most is repeated, and not at the end; two tones take
//     turns once, and no more than eight go one way.
const (
	fifth     = 7 // semitones
	mostSteps = 7 // moves one way, of eight tones
	// mostSwings is how often in a row a line comes back to the tone before last: once
	// round a tone, not to and fro between two.
	mostSwings = 1
)

// joined reports whether b comes right after a.
func joined(a, b *Note) bool { return a != nil && b != nil && a.end() == b.Tick }

// heardOver returns the stay whose chord a note is heard over.
func (g *ground) heardOver(n *Note) *stay {
	at := g.places[n.Tick/eighth].stay
	if at+1 < len(g.stays) && isPush(*n, int64(g.stays[at].to)*eighth) {
		at++
	}
	return &g.stays[at]
}

// onBeat reports whether a note is struck on a beat.
func (g *ground) onBeat(n *Note) bool { return n.Tick%eighth == 0 && g.places[n.Tick/eighth].beat }

// beatTicks is how long a beat is where a note stands.
func (g *ground) beatTicks(n *Note) int64 {
	return g.line.Bars[g.places[n.Tick/eighth].bar].Meter.Beat()
}

// encloses reports whether two tones lie on both sides of what follows them at once, a
// step away.
func encloses(n, next, goal *Note) bool {
	if !joined(n, next) || !joined(next, goal) {
		return false
	}
	a, b := int(n.Key)-int(goal.Key), int(next.Key)-int(goal.Key)
	return a*b < 0 && max(a, -a) <= tone.WholeStep && max(b, -b) <= tone.WholeStep
}

// stands reports whether a note can be where it is, before the next two: nil where
// there is none.
func (g *ground) stands(n, next, goal *Note) bool {
	s := g.heardOver(n)
	if s.silent || n.Key < g.compass.Low || n.Key > g.compass.High || n.end() > g.line.Length {
		return false
	}
	half := joined(n, next) && tone.Apart(int(n.Key), int(next.Key)) == 1
	beat, class := g.onBeat(n), n.class()
	if s != g.stayAt(int(n.Tick/eighth)) && !s.rests.Has(class) {
		return false // it is ahead of the change
	}
	leads := half && !beat && n.Length <= eighth && g.heardOver(next).allowed.Has(next.class())
	if !s.allowed.Has(class) && !leads && !encloses(n, next, goal) {
		return false
	}
	if beat && s.against.Has(class) && n.Length >= eighth && !half {
		return false
	}
	if n.Length >= min(g.beatTicks(n), 2*eighth) || !joined(n, next) {
		if s.hanging.Has(class) || s.against.Has(class) || !(s.tones | s.lands).Has(class) {
			return false
		}
	}
	if last := g.places[n.Tick/eighth].stay; int64(g.stays[last].to)*eighth < n.end() && s == &g.stays[last] {
		over := &g.stays[last+1] // it is held into another chord
		return over.tones.Has(class) || over.lands.Has(class)
	}
	return true
}

// moves reports whether the line may go from b to c, having come from a: nil where
// there is none.
func (g *ground) moves(a, b, c *Note) bool {
	if !joined(b, c) {
		return true
	}
	leap := int(c.Key) - int(b.Key)
	if tone.Apart(int(b.Key), int(c.Key)) > g.leap {
		return false
	}
	if !joined(a, b) {
		return true
	}
	before := int(b.Key) - int(a.Key)
	return tone.Apart(int(a.Key), int(b.Key)) <= fifth ||
		before > 0 && leap < 0 && leap >= -tone.WholeStep || before < 0 && leap > 0 && leap <= tone.WholeStep
}

// keeps reports whether notes keep the rules. Where they are not ended what hangs on
// the notes that come is left open.
func (g *ground) keeps(notes []Note, ended bool) bool {
	repeats, steps, up, swings := 0, 0, false, 0
	for i := range notes {
		n := &notes[i]
		var a, b, next, goal *Note
		if i > 0 {
			b = &notes[i-1]
		}
		if i > 1 {
			a = &notes[i-2]
		}
		if i+1 < len(notes) {
			next = &notes[i+1]
		}
		if i+2 < len(notes) {
			goal = &notes[i+2]
		}
		open := !ended && (next == nil || goal == nil && n.end() == next.Tick && !g.heardOver(n).allowed.Has(n.class()))
		if !open && !g.stands(n, next, goal) || b != nil && !g.moves(a, b, n) {
			return false
		}
		if !joined(b, n) {
			repeats, steps, swings = 0, 0, 0
			continue
		}
		swings++
		if !joined(a, b) || a.Key != n.Key {
			swings = 0
		}
		rises := n.Key > b.Key
		switch {
		case n.Key == b.Key:
			repeats++
			steps = 0
		case steps > 0 && rises == up:
			steps++
		default:
			steps, up = 1, rises
		}
		if repeats > 1 || steps > mostSteps || swings > mostSwings {
			return false
		}
		if n.Key == b.Key && !joined(n, next) && (next != nil || ended) {
			return false
		}
	}
	return true
}
