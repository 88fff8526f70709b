package backing

import (
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
	chord     harmony.Chord
	bar       int
}

// strikes returns where the piano plays in chorus n, by tick.
func (b *Band) strikes(f feel, n int) []strike {
	if f.pads {
		return b.pads()
	}
	return b.riffs(f, n)
}

// rhythm is the pianist choosing when, not what.
const rhythm = Piano + 1

// comp returns what the piano plays at its strikes in chorus n.
func (b *Band) comp(strikes []strike, n int) []Note {
	dice := b.dice(n, Piano)
	var out []Note
	for i, keys := range led(strikes, dice) {
		velocity := uint8(compSoft + dice.IntN(compLoud-compSoft))
		for _, key := range keys {
			out = append(out, Note{Tick: strikes[i].tick, Length: strikes[i].end - strikes[i].tick, Key: key, Velocity: velocity, By: Piano})
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
	for i := range b.bars {
		if rests(i) {
			continue
		}
		end := b.bars[i].start + b.bars[i].length
		for at := b.bars[i].start; at < end; {
			s := &b.stays[b.stayAt(at)]
			until := min(end, s.end)
			if !s.chord.None() {
				out = append(out, strike{tick: at, end: until - gap, chord: s.chord, bar: i})
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
func (b *Band) riffs(f feel, n int) []strike {
	dice := b.dice(n, rhythm)
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
			if s, ok := b.struck(f, n, i, half); ok {
				out = append(out, s)
			}
		}
	}
	slices.SortFunc(out, func(x, y strike) int { return int(x.tick - y.tick) })
	return out
}

// struck returns the short chord at half a pulse of bar i in chorus n. One that comes right before
// a change is that of the change already.
func (b *Band) struck(f feel, n, i, half int) (s strike, ok bool) {
	in := &b.bars[i]
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
	now := b.stayAt(at)
	stay := &b.stays[now]
	chord := stay.chord
	if half%2 == 1 && stay.end-at <= ahead && at > stay.start && !chord.None() {
		if chord = b.top(n + 1); now+1 < len(b.stays) {
			chord = b.stays[now+1].chord
		}
	}
	return strike{tick: at, end: at + short, chord: chord, bar: i}, !chord.None()
}
