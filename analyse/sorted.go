package analyse

import (
	"shedlight/analyse/instrument"
	"shedlight/analyse/tone"
)

// The keys that a hand strikes together are sorted for each hand by itself, so that
// what one plays, and when, changes nothing of the other. Without a split, and
// without a channel for each hand, all is the right hand's.
//
// A left hand that comps rolls its chords (common practice). So what is struck below
// the split within 120 ms of the first key is a chord where it still sounds together at
// the end of that; and what is struck within 50 ms is one, as above the split, where
// it sounds together then, however short the chord is.

const (
	// chordWindow is how far apart the keys of a struck chord may come, in
	// microseconds: USB and DIN alone spread six notes by 4 to 6 ms, a hand
	// that rolls a little by some tens.
	chordWindow = 50_000
	// rollWindow is how far apart those of a chord may come that the left hand rolls,
	// in microseconds: a sixteenth note at 125 beats a minute.
	rollWindow = 120_000
	// chordKeys is how many keys make a chord, belowSplitKeys how many make one
	// below the split.
	chordKeys, belowSplitKeys = 3, 2
)

// group is the keys that a hand strikes within its window of the first, while it is
// open.
type group struct {
	open, left bool
	first      int64 // tick of the first onset
	block      int64 // the last tick that is still within chordWindow
	due        int64 // the last tick that is still within the window
	looked     bool  // what sounds together after chordWindow is known
	named      bool  // it is told as a part of what the right hand strikes
	members    []struckKey
}

type struckKey struct {
	n            int64
	channel, key uint8
	together     bool // it sounds with others after chordWindow
}

// groupOf returns the keys being struck by a hand.
func (a *Analyser) groupOf(left bool) *group {
	if left {
		return &a.groups[1]
	}
	return &a.groups[0]
}

// join puts a note-on into the group of keys its hand strikes together, or begins one.
func (a *Analyser) join(e Event, left bool) {
	g := a.groupOf(left)
	if !g.open {
		*g = group{open: true, left: left, first: a.now, looked: !left, members: g.members[:0]}
		a.window(g)
	}
	g.members = append(g.members, struckKey{n: a.n - 1, channel: e.Channel, key: e.Key})
}

// window works out where a group's windows end.
func (a *Analyser) window(g *group) {
	first := a.tempo.Micros(g.first)
	g.block = a.tempo.Tick(first + chordWindow)
	if g.due = g.block; g.left {
		g.due = a.tempo.Tick(first + rollWindow)
	}
}

// sortGroups looks at the groups whose windows have ended, the right hand's first.
func (a *Analyser) sortGroups() {
	for i := range a.groups {
		g := &a.groups[i]
		if g.open && !g.looked && g.block < a.seen {
			a.look(g)
		}
		if g.open && g.due < a.seen {
			a.sort(g)
		}
	}
}

// sounds reports whether a key of the group sounds on.
func (a *Analyser) sounds(m *struckKey) bool { return a.keys.Sound(m.channel, m.key) }

// sounding returns the keys of a group that sound on.
func (a *Analyser) sounding(g *group) (keys instrument.Set) {
	for i := range g.members {
		if m := &g.members[i]; a.sounds(m) {
			keys.Add(m.key)
		}
	}
	return keys
}

// look notes which keys of the left hand sound together as a chord struck at once does.
func (a *Analyser) look(g *group) {
	g.looked = true
	keys := a.sounding(g)
	for i := range g.members {
		m := &g.members[i]
		m.together = keys.Len() >= belowSplitKeys && a.sounds(m)
	}
	a.markLow(g)
}

// sort closes the group of keys that a hand struck together and gives each its role.
// The top note of a chord stays in the line where the player says that it is the
// melody.
func (a *Analyser) sort(g *group) {
	g.open = false
	keys, enough := a.sounding(g), chordKeys
	if g.left {
		enough = belowSplitKeys
	}
	top, isChord := keys.Highest(), keys.Len() >= enough
	first := a.arrivals.byNumber(g.members[0].n)
	first.strike = strike{note: -1, last: g.members[len(g.members)-1].n, named: g.named}
	var leader *arrival
	for i := range g.members {
		m := &g.members[i]
		w := a.arrivals.byNumber(m.n)
		w.role, w.group = Line, first.N
		if m.together || isChord && a.sounds(m) {
			first.strike.keys.Add(m.key) // a melody on top is part of what is struck
			if first.strike.note < 0 {
				first.strike.note = m.n
			}
			if g.left || !a.setup.Top || m.key != top {
				w.role = Struck
				if leader == nil {
					leader = w
				}
				leader.chord |= 1 << tone.ClassOf(w.Key)
			}
		}
		a.page.sorted(m.n, w.role)
		a.out = append(a.out, Finding{Stage: Sorted, N: m.n, Role: w.role})
	}
	if leader != nil {
		a.counts.struck()
		a.joinHands(g, &first.strike)
	}
	a.markLow(g)
	a.markTogether(g)
	if !a.setup.parts() {
		a.hands.Hear(a.keys.AllHeld())
	}
}

// joinHands takes what the left hand has just struck into a chord of the right hand: the
// two are told as one.
func (a *Analyser) joinHands(g *group, s *strike) {
	left := a.groupOf(true)
	if g.left || !left.open {
		return
	}
	if keys := a.sounding(left); keys.Len() >= belowSplitKeys {
		s.keys.Include(&keys)
		left.named = true
	}
}

// strike hands on a chord when the first note struck with it leaves the queue, so that
// all notes before it are where they belong.
func (a *Analyser) strike(n *arrival) {
	s := &n.strike
	if s.keys.Len() == 0 {
		return
	}
	a.voices, a.chord = a.voices[:0], a.chord[:0]
	for i := a.arrivals.head; i < len(a.arrivals.items); i++ {
		if w := &a.arrivals.items[i]; w.group == n.N && w.role == Struck {
			a.voices = append(a.voices, w.asNote())
		}
	}
	a.docket.Strike(a.voices, n.Left)
	if s.named {
		return
	}
	s.keys.Each(func(key uint8) { a.chord = append(a.chord, int(key)) })
	first, last := a.arrivals.byNumber(s.note), s.last
	if n.Left {
		last = -1
	}
	a.page.struck(pageChord{tick: n.Tick, roots: first.Context.Roots, left: n.Left}, a.chord)
	a.melody.phrases.Figures.Strike(a.chord, &first.Note, last)
}

// markLow finds the low note among the keys that were struck together.
func (a *Analyser) markLow(g *group) {
	lowest, next := a.keys.LowestTwo()
	for i := range g.members {
		m := &g.members[i]
		if int(m.key) != lowest || !a.sounds(m) {
			continue
		}
		for k := range g.members {
			a.arrivals.byNumber(g.members[k].n).low = false
		}
		w := a.arrivals.byNumber(m.n)
		alone := next-lowest > tone.Octave && next < instrument.KeyCount
		w.low = w.Left || !a.setup.parts() && (w.role == Struck || alone)
		return
	}
}

// Two notes of the line that are struck together and sound together, as in
// octaves, thirds or sixths, are one moment of it with two voices. Each voice goes
// its own way: for the rules the note of a moment that lies nearer is the neighbour.
// Figures, phrases and the beat follow the higher one. A step apart they are no two
// voices but a note crushed into another.

// markTogether finds the two among the keys of the right hand that were struck together,
// whose roles are known. A legato instrument has one voice.
func (a *Analyser) markTogether(g *group) {
	if g.left || a.setup.Legato || len(g.members) < 2 {
		return
	}
	var two [2]*arrival
	n := 0
	for i := range g.members {
		w := a.arrivals.byNumber(g.members[i].n)
		if w.role != Line {
			continue
		}
		if n == len(two) || !a.sounds(&g.members[i]) {
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
	higher.partner, lower.partner = lower.N, higher.N
	lower.under = true
}
