package backing

import (
	"math/rand/v2"
	"slices"

	"shedlight/analyse/harmony"
	"shedlight/analyse/timebase"
)

const (
	restEvery = 8                    // bars: the last of them is the piano's rest
	short     = timebase.Quarter / 3 // how long a struck chord is held
	compSoft  = 46
	compLoud  = 58
)

// strike is a moment at which the piano plays.
type strike struct {
	tick, end int64
	slot      int
}

// comp returns what the piano plays in chorus n.
func (b *Band) comp(f feel, n int) []Note {
	dice := b.dice(n, Piano)
	chords := make([]harmony.Chord, len(b.tune.Slots))
	for i := range chords {
		chords[i] = b.tune.Slots[i].Chord
	}
	if len(b.keys) > 0 { // the last strike may be of the next key
		chords = append(chords, b.in(n + 1).tune.Slots[0].Chord)
	}
	led := led(chords, dice)
	strikes := b.pads()
	if !f.pads {
		strikes = b.riffs(f, dice)
	}
	var out []Note
	for _, s := range strikes {
		velocity := uint8(compSoft + dice.IntN(compLoud-compSoft))
		for _, key := range led[s.slot] {
			out = append(out, Note{Tick: s.tick, Length: s.end - s.tick, Key: key, Velocity: velocity, By: Piano})
		}
	}
	return out
}

// rests reports whether the piano is silent in bar i.
func rests(i int) bool { return i%restEvery == restEvery-1 }

// pads are chords that are held: struck where they begin and again in each bar but
// the resting one.
func (b *Band) pads() []strike {
	var out []strike
	slot := 0
	for i := range b.bars {
		if rests(i) {
			continue
		}
		start, end := b.bars[i].start, b.bars[i].start+b.bars[i].length
		for at := start; at < end; {
			slot = b.tune.SlotAt(at, slot)
			until := min(end, b.tune.Slots[slot].End)
			if !b.tune.Slots[slot].Chord.None() {
				out = append(out, strike{tick: at, end: until - gap, slot: slot})
			}
			at = until
		}
	}
	return out
}

// riff is where the piano strikes in two bars: half pulses, from 0, an odd one after
// its pulse.
type riff [2][]int

// The riffs for bars of two, three and four pulses; longer bars take those of four,
// which leaves their ends free.
var (
	medium = map[int][]riff{
		1: {{{1}, {1}}, {{0}, {1}}},
		2: {{{3}, {1}}, {{2}, {3}}, {{1}, {3}}, {{3}, {1, 3}}},
		3: {{{3}, {2, 4}}, {{2, 4}, {3}}, {{3}, {3}}, {{2}, {3, 5}}, {{5}, {3}}},
		4: {{{3}, {3}}, {{3}, {7}}, {{7}, {3}}, {{3, 7}, {3}}, {{0, 3}, {7}}, {{3}, {4, 7}}, {{7}, {3, 7}}, {{2}, {3, 7}}},
	}
	fast = map[int][]riff{
		1: {{{1}, nil}, {{0}, nil}},
		2: {{{3}, nil}, {{1}, nil}, {nil, {3}}},
		3: {{{3}, nil}, {{2}, nil}, {nil, {3}}},
		4: {{{3}, nil}, {nil, {7}}, {{3}, {3}}, {{7}, nil}, {{3}, {7}}},
	}
)

const (
	mostPulses = 4
	variedOnce = 0.3 // how often two bars leave their riff for another
)

// riffs are short chords: a riff is kept for eight bars, and left now and then.
func (b *Band) riffs(f feel, dice *rand.Rand) []strike {
	table := medium
	if f.fast {
		table = fast
	}
	var out []strike
	var kept, now riff
	pulses := 0
	for i := range b.bars {
		bar := &b.bars[i]
		fresh := min(len(bar.pulses), mostPulses) != pulses
		pulses = min(len(bar.pulses), mostPulses)
		choices := table[pulses]
		if i%restEvery == 0 || fresh {
			kept = choices[dice.IntN(len(choices))]
		}
		if i%2 == 0 || fresh {
			now = kept
			if dice.Float64() < variedOnce {
				now = choices[dice.IntN(len(choices))]
			}
		}
		if rests(i) {
			continue
		}
		for _, half := range now[i%2] {
			if s, ok := b.struck(f, bar, half); ok {
				out = append(out, s)
			}
		}
	}
	slices.SortFunc(out, func(x, y strike) int { return int(x.tick - y.tick) })
	return out
}

// struck returns the short chord at half a pulse of a bar. One that comes right before
// a change is that of the change already.
func (b *Band) struck(f feel, in *bar, half int) (s strike, ok bool) {
	pulse := half / 2
	at := in.start + in.pulses[pulse]
	if half%2 == 1 {
		switch {
		case in.third > 0:
			at += 2 * in.third
		case in.swings:
			at += f.offbeat()
		default:
			at += in.pulse(pulse) / 2
		}
	}
	slot := b.tune.SlotAt(at, 0)
	if half%2 == 1 && b.tune.Slots[slot].End-at <= timebase.Quarter/2 {
		if slot++; slot == len(b.tune.Slots) && len(b.keys) == 0 {
			slot = 0
		}
	}
	return strike{tick: at, end: at + short, slot: slot}, !b.tune.Slots[slot%len(b.tune.Slots)].Chord.None()
}
