package backing

import (
	"slices"

	"shedlight/analyse/harmony"
	"shedlight/analyse/timebase"
)

// onset is a place where the bass strikes.
type onset struct {
	tick   int64
	end    int64 // of the chord, or of the last one
	stay   int
	chord  harmony.Chord
	bar    int
	change bool // the chord begins here
	opens  bool // a bar begins here
}

// onsets returns where the bass strikes: at each change, and on the places of the feel
// that no change crowds.
func (b *Band) onsets(f feel) []onset {
	var out []onset
	next := 0 // the first stay that has not begun
	strike := func(tick int64, stay, bar int, opens bool) {
		if s := &b.stays[stay]; !s.chord.None() {
			change := len(out) == 0 || out[len(out)-1].stay != stay
			out = append(out, onset{tick: tick, end: s.end, stay: stay, chord: s.chord, bar: bar, change: change, opens: opens})
		}
	}
	begin := func(before int64, bar int) {
		for ; next < len(b.stays) && b.stays[next].start < before; next++ {
			strike(b.stays[next].start, next, bar, false)
		}
	}
	for i := range b.bars {
		bar := &b.bars[i]
		for _, p := range bar.struck(f, i) {
			at := bar.start + p.at
			begin(at, i)
			began := next < len(b.stays) && b.stays[next].start == at
			if began {
				next++
			}
			now := &b.stays[next-1]
			if began || (!now.pedal || p.group) && !b.crowded(out, next, at, p.room) {
				strike(at, next-1, i, p.at == 0)
			}
		}
		begin(bar.start+bar.length, i)
	}
	return out
}

// crowded reports whether a change lies less than a room away: a pushed chord has been
// struck just before, or one comes just after.
func (b *Band) crowded(out []onset, next int, at, room int64) bool {
	if next < len(b.stays) && b.stays[next].start-at < room {
		return true
	}
	if len(out) == 0 {
		return false
	}
	last := out[len(out)-1]
	return last.change && at-last.tick < room
}

// place is where the feel strikes in a bar, and how far away a change crowds it.
type place struct {
	at, room int64
	group    bool // a group of pulses begins here
}

// struck returns the places of bar i, in order.
func (b *bar) struck(f feel, i int) []place {
	var out []place
	if f.walks {
		for n, p := range b.pulses {
			out = append(out, place{at: p, room: b.pulse(n)/2 + 1, group: slices.Contains(b.groups, p)})
			if b.third > 0 && (n == len(b.pulses)-1 || n == 0 && i%2 == 1) { // long and short
				out = append(out, place{at: p + 2*b.third, room: b.third})
			}
		}
		return out
	}
	for n, g := range b.groups {
		if f.straight && n > 0 && b.third == 0 { // a quick one goes before
			out = append(out, place{at: g - timebase.Quarter/2, room: timebase.Quarter / 2})
		}
		out = append(out, place{at: g, room: timebase.Quarter/2 + 1, group: true})
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
