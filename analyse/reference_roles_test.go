package analyse_test

import (
	"maps"
	"slices"

	"shedlight/analyse"
	"shedlight/analyse/timebase"
)

// giveRoles tells struck chords from the line, for each hand by itself: what is struck
// within 50 ms of the first and sounds together at the end of that, three keys or more;
// below the split two, and there also what is struck within 120 ms and sounds together
// then.
func giveRoles(all []*refNote, events []analyse.Event, tempo *timebase.Tempo, setup analyse.Setup) {
	right, left := []refGroup{}, []refGroup{}
	for _, hand := range []struct {
		left   bool
		window int64
		groups *[]refGroup
	}{{false, chordMicros, &right}, {true, rollMicros, &left}} {
		var notes []*refNote // those that are not below the gate: a ghost is no part of a chord
		for _, i := range all {
			if i.role = analyse.Line; !i.soft && i.left == hand.left {
				notes = append(notes, i)
			}
		}
		for len(notes) > 0 {
			g := refGroup{block: tempo.Tick(notes[0].micros + chordMicros), due: tempo.Tick(notes[0].micros + hand.window)}
			for len(notes) > 0 && notes[0].tick <= g.due {
				g.notes, notes = append(g.notes, notes[0]), notes[1:]
			}
			*hand.groups = append(*hand.groups, g)
		}
	}
	for _, g := range append(slices.Clone(right), left...) {
		g.giveRoles(events, setup)
	}
	for _, g := range right {
		if !slices.ContainsFunc(g.notes, func(i *refNote) bool { return i.role == analyse.Struck }) {
			continue
		}
		for _, other := range left {
			keys := other.soundingKeys(events, g.due)
			if other.notes[0].tick > g.due || other.due < g.due || len(keys) < 2 {
				continue
			}
			for _, i := range g.notes {
				i.withLeft = keys
			}
		}
	}
}

// refGroup is what a hand strikes together, and the ticks until which that lasts: all of
// it, and what is struck at once.
type refGroup struct {
	notes      []*refNote
	block, due int64
}

// soundingKeys returns the keys of those struck up to a tick that sound then.
func (g *refGroup) soundingKeys(events []analyse.Event, tick int64) map[int]bool {
	sounds, keys := soundingAt(events, tick), map[int]bool{}
	for _, i := range g.notes {
		if i.tick <= tick && sounds[sound{i.channel, i.key}] {
			keys[i.key] = true
		}
	}
	return keys
}

func (g *refGroup) giveRoles(events []analyse.Event, setup analyse.Setup) {
	atBlock, atEnd := soundingAt(events, g.block), soundingAt(events, g.due)
	blockKeys, keys := g.soundingKeys(events, g.block), g.soundingKeys(events, g.due)
	top := slices.Max(append(slices.Collect(maps.Keys(keys)), 0))
	for _, i := range g.notes {
		i.group = g.notes[0].n
		s := sound{i.channel, i.key}
		chord := len(keys) >= 3 && atEnd[s]
		if i.left {
			atOnce := len(blockKeys) >= 2 && i.tick <= g.block && atBlock[s]
			chord = atOnce || len(keys) >= 2 && atEnd[s]
		}
		i.onTop = chord && !i.left && setup.Top && i.key == top
		if chord && !i.onTop {
			i.role = analyse.Struck
		}
	}
	for _, tick := range []int64{g.due, g.block} { // what sounds in the end says it, else what did at first
		sounds := soundingAt(events, tick)
		var all []int
		for s := range sounds {
			all = append(all, s.key)
		}
		slices.Sort(all)
		all = slices.Compact(all)
		at := slices.IndexFunc(g.notes, func(i *refNote) bool {
			return i.tick <= tick && sounds[sound{i.channel, i.key}] && i.key == all[0]
		})
		if at >= 0 {
			i := g.notes[at]
			i.low = i.left || setup.Split == 0 && (i.role == analyse.Struck || len(all) > 1 && all[1]-i.key > 12)
			break
		}
	}
	pairUp(g.notes, atEnd, setup.Legato)
}

// pairUp finds two notes of the right hand's line that are struck and sound together, two
// voices more than a step apart.
func pairUp(group []*refNote, sounds map[sound]bool, legato bool) {
	var line []*refNote
	for _, i := range group {
		if i.role == analyse.Line {
			line = append(line, i)
		}
	}
	if legato || len(line) != 2 || line[0].left {
		return
	}
	a, b := line[0], line[1]
	d := distance(a, b)
	if !sounds[sound{a.channel, a.key}] || !sounds[sound{b.channel, b.key}] || d == 1 || d == 2 {
		return
	}
	a.partner, b.partner = b, a
}

// under reports whether a note is the lower voice of two; of two on one key that
// is the second.
func (i *refNote) under() bool {
	p := i.partner
	return p != nil && (i.key < p.key || i.key == p.key && i.n > p.n)
}

type sound struct {
	channel uint8
	key     int
}

// soundingAt returns what sounds after all events up to a tick, pedal included
// (MIDI 1.0 Detailed Specification: controllers 64, 120, 121, 123 to 127).
func soundingAt(events []analyse.Event, tick int64) map[sound]bool {
	down, kept, pedal := map[sound]bool{}, map[sound]bool{}, map[uint8]bool{}
	drop := func(from map[sound]bool, channel uint8) {
		for s := range from {
			if s.channel == channel {
				delete(from, s)
			}
		}
	}
	lift := func(s sound) {
		if down[s] && pedal[s.channel] {
			kept[s] = true
		}
		delete(down, s)
	}
	for _, e := range events {
		s := sound{e.Channel, int(e.Key)}
		switch {
		case e.Tick > tick:
		case strikes(e):
			down[s] = true
			delete(kept, s)
		case e.Kind == analyse.NoteOn, e.Kind == analyse.NoteOff:
			lift(s)
		case e.Kind == analyse.Release:
			clear(down)
			clear(kept)
			clear(pedal)
		case e.Kind == analyse.Control && e.Key == 64 && e.Velocity >= 64:
			pedal[e.Channel] = true
		case e.Kind == analyse.Control && (e.Key == 64 || e.Key == 121):
			pedal[e.Channel] = false
			drop(kept, e.Channel)
		case e.Kind == analyse.Control && e.Key == 120:
			drop(down, e.Channel)
			drop(kept, e.Channel)
		case e.Kind == analyse.Control && e.Key >= 123:
			for held := range down {
				if held.channel == e.Channel {
					lift(held)
				}
			}
		}
	}
	for s := range kept {
		down[s] = true
	}
	return down
}
