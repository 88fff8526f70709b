package backing

import (
	"math"
	"math/rand/v2"
	"slices"

	"shedlight/analyse/harmony"
	"shedlight/analyse/tone"
)

// The range of the piano, and where the middle of its chords lies best.
const (
	pianoLowest  = 48 // C3
	pianoHighest = 72 // C5
	pianoMiddle  = 60
)

const (
	fourth    = 5 // semitones, and more than any voice moves where it need not
	widest    = 14
	minorNine = 13
	muddyTo   = 53 // under it no second is the lowest interval
	offMiddle = 0.25
	freely    = 2.0  // what chance may cost
	still     = 14.0 // more than an inversion does

	phraseBars = 2 // after which it is another
)

// voicing is what the piano strikes, from the lowest key up: two voices or three.
type voicing []uint8

// voices returns what the piano plays of a chord: its guide tones, and what there is
// for one colour. Where there are more colours than one, any will do.
func voices(c harmony.Chord) (guides []tone.Class, colours []tone.Class) {
	f := c.Formula
	first := func(degrees ...harmony.Degree) (harmony.Degree, bool) {
		for _, d := range degrees {
			if f.Has(d) {
				return d, true
			}
		}
		return 0, false
	}
	third, hasThird := first(harmony.Three, harmony.FlatThree, harmony.Four, harmony.Nine)
	seventh, hasSeventh := first(harmony.FlatSeven, harmony.Seven, harmony.DoubleFlatSeven, harmony.Six)
	if !hasThird || !hasSeventh { // a triad, or a fifth
		c.Bass = c.Root // the bassist's
		return c.Own().Set().Classes(), nil
	}
	class := func(d harmony.Degree) tone.Class { return c.Name(d).Class() }
	guides = []tone.Class{class(third), class(seventh)}
	fifth, hasFifth := first(harmony.FlatFive, harmony.SharpFive, harmony.Five)
	switch {
	case third == harmony.Three && seventh == harmony.FlatSeven:
		if named, ok := first(harmony.SharpNine, harmony.FlatNine, harmony.FlatThirteen, harmony.Six, harmony.Nine,
			harmony.SharpFive, harmony.FlatFive, harmony.SharpEleven); ok {
			colours = append(colours, class(named))
		}
		return guides, colours
	case third == harmony.Three, f.Has(harmony.Nine) && third != harmony.Nine:
		colours = append(colours, class(harmony.Nine))
	}
	if hasFifth {
		colours = append(colours, class(fifth))
	}
	return guides, colours
}

// voicings returns the ways to strike a chord; there is one at least.
func voicings(c harmony.Chord) []voicing {
	guides, colours := voices(c)
	sets := [][]tone.Class{guides}
	if len(colours) > 0 {
		sets = nil
		for _, colour := range colours {
			if !slices.Contains(guides, colour) {
				sets = append(sets, append(slices.Clip(guides), colour))
			}
		}
	}
	var sound, any []voicing
	for _, set := range sets {
		for _, v := range spread(set) {
			any = append(any, v)
			if v.sounds() {
				sound = append(sound, v)
			}
		}
	}
	if len(sound) == 0 {
		return any
	}
	return sound
}

// spread returns every way to lay out some classes in the piano's range.
func spread(classes []tone.Class) []voicing {
	out := []voicing{{}}
	for _, class := range classes {
		var more []voicing
		for _, v := range out {
			for key := uint8(pianoLowest); key <= pianoHighest; key++ {
				if tone.Class(key%tone.Octave) == class {
					more = append(more, append(slices.Clip(v), key))
				}
			}
		}
		out = more
	}
	for _, v := range out {
		slices.Sort(v)
	}
	return out
}

// sounds reports whether a voicing is one that a hand plays and an ear likes.
func (v voicing) sounds() bool {
	for i := range v {
		for j := range i {
			if v[i]-v[j] == minorNine {
				return false
			}
		}
		if i > 0 && v[i]-v[i-1] < 2 {
			return false
		}
	}
	last := v[len(v)-1]
	return last-v[0] <= widest && (v[0] >= muddyTo || v[1]-v[0] > 2)
}

// moves returns how far the voices go from one voicing to another, all together and
// the one that goes farthest. Of other numbers of voices each comes from the nearest.
func moves(from, to voicing) (all, most int) {
	for i, key := range to {
		way := tone.Octave * 2
		if len(from) == len(to) {
			way = tone.Apart(int(from[i]), int(key))
		} else {
			for _, before := range from {
				way = min(way, tone.Apart(int(before), int(key)))
			}
		}
		all += way
		most = max(most, way)
	}
	return all, most
}

// led returns a voicing for each strike, so that together they move least. Where two
// bars later the chord is the same, another inversion is liked.
func led(strikes []strike, dice *rand.Rand) []voicing {
	type way struct {
		cost float64
		from int
	}
	options := make([][]voicing, len(strikes))
	ways := make([][]way, len(strikes))
	for i, s := range strikes {
		options[i] = voicings(s.chord)
		ways[i] = make([]way, len(options[i]))
		for j, v := range options[i] {
			own := freely*dice.Float64() + offMiddle*math.Abs(v.middle()-pianoMiddle)
			ways[i][j] = way{cost: own}
			if i == 0 {
				continue
			}
			before := &strikes[i-1]
			inverts := s.chord == before.chord && s.bar/phraseBars != before.bar/phraseBars
			ways[i][j].cost = math.MaxFloat64
			for k, from := range options[i-1] {
				all, most := moves(from, v)
				if most > fourth && nearer(from, options[i]) {
					continue
				}
				cost := ways[i-1][k].cost + own + float64(all)
				if all == 0 && inverts {
					cost += still
				}
				if cost < ways[i][j].cost {
					ways[i][j] = way{cost: cost, from: k}
				}
			}
		}
	}
	out := make([]voicing, len(strikes))
	best := -1
	for i := len(strikes) - 1; i >= 0; i-- {
		if best < 0 {
			best = 0
			for j := range ways[i] {
				if ways[i][j].cost < ways[i][best].cost {
					best = j
				}
			}
		}
		out[i] = options[i][best]
		best = ways[i][best].from
	}
	return out
}

// nearer reports whether some voicing can be reached without a move beyond a fourth.
func nearer(from voicing, options []voicing) bool {
	for _, v := range options {
		if _, most := moves(from, v); most <= fourth {
			return true
		}
	}
	return false
}

// middle returns the mean key.
func (v voicing) middle() float64 {
	sum := 0
	for _, key := range v {
		sum += int(key)
	}
	return float64(sum) / float64(len(v))
}
