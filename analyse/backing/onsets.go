package backing

import "shedlight/analyse/timebase"

// onset is a place where the bass strikes.
type onset struct {
	tick   int64
	slot   int
	change bool // the chord begins here
	opens  bool // a bar begins here
}

// onsets returns where the bass strikes: at each change, and on the pulses of the feel
// that no change crowds.
func (b *Band) onsets(f feel) []onset {
	var out []onset
	slots := b.tune.Slots
	slot := 0
	strike := func(tick int64, opens bool) {
		for slot+1 < len(slots) && slots[slot+1].Start <= tick {
			slot++
		}
		if slots[slot].Chord.None() {
			return
		}
		change := len(out) == 0 || out[len(out)-1].slot != slot
		out = append(out, onset{tick: tick, slot: slot, change: change, opens: opens})
	}
	next := 0 // the first slot that has not begun
	for i := range b.bars {
		bar := &b.bars[i]
		for _, p := range bar.struck(f, i) {
			at := bar.start + p.at
			for ; next < len(slots) && slots[next].Start < at; next++ {
				strike(slots[next].Start, false)
			}
			began := next < len(slots) && slots[next].Start == at
			if began {
				next++
			}
			if began || !b.crowded(out, next, at, p.room) {
				strike(at, p.at == 0)
			}
		}
		for ; next < len(slots) && slots[next].Start < bar.start+bar.length; next++ {
			strike(slots[next].Start, false)
		}
	}
	return out
}

// crowded reports whether a change lies less than a room away: a pushed chord has been
// struck just before, or one comes just after.
func (b *Band) crowded(out []onset, next int, at, room int64) bool {
	if next < len(b.tune.Slots) && b.tune.Slots[next].Start-at < room {
		return true
	}
	if len(out) == 0 {
		return false
	}
	last := out[len(out)-1]
	return last.change && at-last.tick < room
}

// place is where the feel strikes in a bar, and how far away a change crowds it.
type place struct{ at, room int64 }

// struck returns the places of bar i, in order.
func (b *bar) struck(f feel, i int) []place {
	var out []place
	if f.walks {
		for n, p := range b.pulses {
			out = append(out, place{at: p, room: b.pulse(n)/2 + 1})
		}
		return out
	}
	for _, g := range b.groups {
		out = append(out, place{at: g, room: timebase.Quarter/2 + 1})
	}
	last := len(b.pulses) - 1
	switch {
	case b.third > 0: // the last eighth leads on
		out = append(out, place{at: b.pulses[last] + 2*b.third, room: b.third})
	case len(b.groups) == 1 && last == 2 && i%2 == 1: // a waltz in one leads on in every second bar
		out = append(out, place{at: b.pulses[last], room: b.pulse(last)/2 + 1})
	}
	return out
}
