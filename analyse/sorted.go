package analyse

import (
	"shedlight/analyse/fate"
	"shedlight/analyse/instrument"
	"shedlight/analyse/tone"
)

const (
	// chordWindow is how far apart the keys of a struck chord may come, in
	// microseconds: USB and DIN alone spread six notes by 4 to 6 ms, a hand
	// that rolls a little by some tens.
	chordWindow = 50_000
	// chordKeys is how many keys make a chord, belowSplitKeys how many make one
	// below the split.
	chordKeys, belowSplitKeys = 3, 2
)

// group is the keys struck within chordWindow of the first, while it is open.
type group struct {
	open    bool
	first   int64 // tick of the first onset
	due     int64 // the last tick that is still within the window
	members []struckKey
	chord   []int       // memory for the keys of the chord being looked at
	voices  []fate.Note // and for its notes but for a melody on top
}

type struckKey struct {
	n            int64
	channel, key uint8
}

// join puts a note-on into the group of keys struck together, or begins one.
func (a *Analyser) join(e Event) {
	g := &a.group
	if !g.open {
		g.open, g.first, g.due, g.members = true, a.now, a.chordDue(a.now), g.members[:0]
	}
	g.members = append(g.members, struckKey{n: a.n - 1, channel: e.Channel, key: e.Key})
}

func (a *Analyser) chordDue(first int64) int64 {
	return a.tempo.Tick(a.tempo.Micros(first) + chordWindow)
}

// sounds reports whether a key of the group sounds on.
func (a *Analyser) sounds(m struckKey) bool { return a.keys.Sound(m.channel, m.key) }

// sort closes the group of keys struck together and gives each its role. The hands
// on the two sides of a split are looked at apart, so that a melody note over a
// chord in the left hand stays in the line; and so does the top note of a chord
// where the player says that it is the melody.
func (a *Analyser) sort() {
	g := &a.group
	g.open = false
	var above, below instrument.Set
	for _, m := range g.members {
		switch {
		case !a.sounds(m):
		case a.setup.inLeft(m.channel, m.key):
			below.Add(m.key)
		default:
			above.Add(m.key)
		}
	}
	top := above.Highest()
	chordAbove, chordBelow := above.Len() >= chordKeys, below.Len() >= belowSplitKeys
	a.counts.struck(chordAbove, chordBelow)
	g.chord, g.voices = g.chord[:0], g.voices[:0]
	var first *arrival
	for _, m := range g.members {
		left := a.setup.inLeft(m.channel, m.key)
		isChord := (chordAbove && !left || chordBelow && left) && a.sounds(m)
		w := a.arrivals.byNumber(m.n)
		w.role = Line
		if isChord {
			if g.chord = append(g.chord, int(m.key)); first == nil { // a melody on top is part of what is struck
				first = w
			}
			if !a.setup.Top || m.key != top {
				w.role = Struck
				g.voices = append(g.voices, w.asNote())
			}
		}
		a.page.sorted(m.n, w.role)
		a.out = append(a.out, Finding{Stage: Sorted, N: m.n, Role: w.role})
	}
	a.markLow()
	a.markTogether()
	if !a.setup.parts() {
		a.hands.Hear(a.keys.AllHeld())
	}
	if len(g.voices) > 0 {
		a.strike(first, chordAbove)
	}
}

// strike hands on a chord that was struck, whose first note is first.
func (a *Analyser) strike(first *arrival, above bool) {
	g := &a.group
	a.docket.Strike(g.voices)
	leader := a.arrivals.byNumber(g.voices[0].N)
	for _, v := range g.voices {
		leader.chord |= 1 << tone.ClassOf(v.Key)
	}
	last := int64(-1)
	if above {
		last = g.members[len(g.members)-1].n
	}
	a.page.struck(pageChord{tick: g.first, roots: first.Context.Roots, left: !above}, g.chord)
	a.melody.phrases.Figures.Strike(g.chord, &first.Note, last)
}

// markLow finds the low note among the keys that were struck together, whose
// roles are known.
func (a *Analyser) markLow() {
	lowest, next := a.keys.LowestTwo()
	for _, m := range a.group.members {
		if int(m.key) != lowest || !a.sounds(m) {
			continue
		}
		w := a.arrivals.byNumber(m.n)
		alone := next-lowest > tone.Octave && next < instrument.KeyCount
		w.low = w.left || !a.setup.parts() && (w.role == Struck || alone)
		return
	}
}

// Two notes of the line that are struck together and sound together, as in
// octaves, thirds or sixths, are one moment of it with two voices. Each voice goes
// its own way: for the rules the note of a moment that lies nearer is the neighbour.
// Figures, phrases and the beat follow the higher one. A step apart they are no two
// voices but a note crushed into another.

// markTogether finds the two among the keys that were struck together, whose roles
// are known. A legato instrument has one voice.
func (a *Analyser) markTogether() {
	if a.setup.Legato || len(a.group.members) < 2 {
		return
	}
	var two [2]*arrival
	n := 0
	for _, m := range a.group.members {
		w := a.arrivals.byNumber(m.n)
		if w.role != Line {
			continue
		}
		if n == len(two) || !a.sounds(m) {
			return
		}
		two[n] = w
		n++
	}
	if n < len(two) || tone.IsStep(two[0].Key, two[1].Key) {
		return
	}
	higher, lower := two[0], two[1]
	if higher.Key < lower.Key {
		higher, lower = lower, higher
	}
	far := a.setup.LeftHand != 0 || higher.Key-lower.Key > tone.Octave
	if far && lower.left != higher.left {
		return // two hands
	}
	higher.partner, lower.partner = lower.N, higher.N
	lower.under = true
}
