package analyse

import (
	"shedlight/analyse/harmony"
	"shedlight/analyse/timebase"
)

// The left hand under a melody.
//
// A pedal point is a low note that is held or repeated while the chords change
// over it (common practice): it belongs to the chord it began under, is judged
// there, once, and not again under the chords that pass over it. What is low:
// below the split the lowest key that sounds; without a split the lowest of a
// struck chord, or a key more than an octave below everything else that sounds. A
// single line is never low against itself, so a line that returns to one tone
// stays a line.
//
// A single note below the split is a bass note, however near the melody it lies: it is
// judged like any note of a line, but by the bass notes beside it, and it does not come
// between a note of the melody and the one it leads to. It is the melody's only where
// the hands visibly cross (crosses in line.go).
//
// Known wrong answers, accepted: a solo that goes below the split while the left hand
// holds nothing is taken for the bass until it comes back; without a split a pedal
// struck while nothing else sounds is judged at each stroke.

// pedalRest is how long a pedal point may be silent between two strokes, in
// bars: it is struck again in each bar at least.
const pedalRest = 1

// pedalPoint is the low note that was struck last.
type pedalPoint struct {
	going       bool
	first, last int64 // the numbers of its first and its latest stroke
	off         int64 // tick at which that stopped sounding
	channel     uint8
	key         int
	under       harmony.Chord // what was written at the first stroke
	carried     bool          // it has been struck under another chord
}

// stroke takes a low note. by is the first stroke of the pedal point that
// it carries on under another chord, -1 where it is none.
func (p *pedalPoint) stroke(n *arrival) (by int64) {
	written, rest := n.Context.Chord, pedalRest*n.Position.BarTicks
	if !p.going || p.channel != n.Channel || p.key != n.Key || n.Tick > p.off && n.Tick-p.off > rest {
		*p = pedalPoint{going: true, first: n.N, channel: n.Channel, key: n.Key, under: written}
	}
	p.last, p.off = n.N, n.off
	if p.carried = p.carried || written != p.under; !p.carried {
		return -1
	}
	return p.first
}

// ended tells that note n stopped sounding.
func (p *pedalPoint) ended(n, tick int64) {
	if p.last == n && p.off == timebase.Never {
		p.off = tick
	}
}
