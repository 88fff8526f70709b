package backing

import (
	"math"
	"math/rand/v2"
	"slices"

	"shedlight/analyse/harmony"
	"shedlight/analyse/timebase"
	"shedlight/analyse/tone"
)

// The range of the bass, and the middle of it, towards which it leans.
const (
	lowest  = 28 // E1
	highest = 48 // C3
	middle  = 37
	keys    = highest - lowest + 1
)

// What a way of the bass costs. They weigh against each other; the rules are kept
// by what is not allowed at all.
const (
	perSemitone = 0.22
	wideLeap    = 1.6 // beyond a fifth
	turning     = 0.9 // against the direction before
	astray      = 0.05
	offRoot     = 1.2 // at the beginning of a bar, neither root nor fifth
	chromatic   = 0.8 // a step into the next bass that is not in the scale
	rootAgain   = 0.6
	offTurn     = 3.0 // the second of two notes, not as its turn is
	again       = 9.0 // the same key, where it must
	chance      = 1.8
	never       = math.MaxFloat64
)

// role is what a note of the bass has to be.
type role uint8

const (
	begins role = iota // the chord's bass
	inside             // a tone of the chord
	leads              // by step into the next
	second             // of two: third, fifth or a step, in turn
)

// walk is one note of the line to be.
type walk struct {
	cost [keys]float64 // of each key; never where it is not allowed
	step [keys]bool    // the next note is a step away
}

// bass returns the line over the onsets of chorus n, which leads into the next one.
func (b *Band) bass(onsets []onset, n int) []Note {
	if len(onsets) == 0 {
		return nil
	}
	around := onsets
	if first := onsets[0]; first.tick == 0 { // else the next begins in silence
		first.slot += len(b.tune.Slots)
		around = append(slices.Clip(onsets), first)
	}
	dice := b.dice(n, Bass)
	walks := make([]walk, len(around))
	turn := dice.IntN(3)
	for i := range onsets {
		walks[i] = b.walk(around, i, &turn, dice)
	}
	walks[0] = b.opening(&onsets[0], n)
	if len(around) > len(onsets) {
		walks[len(onsets)] = b.in(n+1).opening(&onsets[0], n+1)
	}
	line := cheapest(walks)
	out := make([]Note, len(onsets))
	for i, o := range onsets {
		end := b.tune.Slots[o.slot].End
		if i+1 < len(onsets) {
			end = min(end, onsets[i+1].tick)
		}
		velocity := softest + dice.IntN(loudest-softest)
		if !o.opens && !o.change {
			velocity += loudest - softest // the second and the fourth beat carry the time
		}
		out[i] = Note{
			Tick: o.tick, Length: max(1, end-o.tick-gap),
			Key: uint8(line[i]) + lowest, Velocity: uint8(velocity), By: Bass,
		}
	}
	return out
}

const (
	softest, loudest = 66, 72
	gap              = timebase.Quarter / 16 // between a note and the next
)

// opening says what the first note of chorus n is: one key, so that the chorus before
// can lead there.
func (b *Band) opening(o *onset, n int) walk {
	var w walk
	w.forbid()
	at := int((b.seed + uint64(n)) % keys) // from octave to octave
	for range keys {
		at = (at + 1) % keys
		if tone.Class((at+lowest)%tone.Octave) == b.tune.Slots[o.slot].Chord.Bass.Class() {
			break
		}
	}
	w.cost[at] = 0
	return w
}

func (w *walk) forbid() {
	for k := range w.cost {
		w.cost[k] = never
	}
}

// walk says what the note at an onset may be.
func (b *Band) walk(onsets []onset, i int, turn *int, dice *rand.Rand) walk {
	o := onsets[i]
	slot := &b.tune.Slots[o.slot]
	own := slot.Chord.Own()
	tones, root := own.Set(), slot.Chord.Bass.Class()
	firm := tonesOf(own, harmony.One, harmony.Five, harmony.FlatFive)
	as := roleOf(onsets, i)
	wanted := tone.Set(0)
	if as == second {
		wanted = turns(own, *turn)
		*turn = (*turn + 1) % 3
	}
	var w walk
	for k := range w.cost {
		class := tone.Class((k + lowest) % tone.Octave)
		cost := chance*dice.Float64() + astray*math.Abs(float64(k+lowest-middle))
		strange := !tones.Has(class) && !slot.Key.Set().Has(class)
		switch as {
		case begins:
			if class != root {
				cost = never
			}
		case inside:
			switch {
			case !tones.Has(class):
				cost = never
			case o.opens && !firm.Has(class):
				cost += offRoot
			case !o.opens && class == root:
				cost += rootAgain
			}
		case leads, second:
			w.step[k] = !wanted.Has(class)
			if strange {
				cost += chromatic
			}
			if wanted != 0 && w.step[k] {
				cost += offTurn
			}
		}
		w.cost[k] = cost
	}
	return w
}

// turns returns what the second of a chord's two notes is in its turn: the third, the
// fifth, or, where it is empty, a step into the next.
func turns(c harmony.Chord, turn int) tone.Set {
	switch turn {
	case 0:
		return tonesOf(c, harmony.Three, harmony.FlatThree, harmony.Four)
	case 1:
		return tonesOf(c, harmony.Five, harmony.FlatFive, harmony.SharpFive)
	}
	return 0
}

// tonesOf returns those of the degrees that the chord has.
func tonesOf(c harmony.Chord, degrees ...harmony.Degree) tone.Set {
	var out tone.Set
	for _, d := range degrees {
		if c.Formula.Has(d) {
			out |= tone.SetOf(c.Name(d).Class())
		}
	}
	return out
}

func roleOf(onsets []onset, i int) role {
	o := onsets[i]
	switch {
	case o.change:
		return begins
	case i+1 == len(onsets) || onsets[i+1].slot != o.slot+1: // the same chord, or a silence, comes next
		return inside
	case onsets[i-1].change:
		return second
	}
	return leads
}

// goes reports whether the bass may go from a key of one note to a key of the next.
func (w *walk) goes(from int, next *walk, to int) bool {
	d := max(from-to, to-from)
	return next.cost[to] != never && d <= tone.Octave && (!w.step[from] || d == 1 || d == 2)
}

// must reports whether the bass has to stay on a key, since it can go nowhere else.
func (w *walk) must(from int, next *walk) bool {
	for k := range next.cost {
		if k != from && w.goes(from, next, k) {
			return false
		}
	}
	return true
}

// cheapest returns the keys, from the lowest, of the line that costs least: the best
// way to each key and direction, note by note.
func cheapest(walks []walk) []int {
	type way struct {
		cost float64
		from int // state before
	}
	const up, down, states = 0, 1, 2 * keys
	ways := make([][states]way, len(walks))
	for k, c := range walks[0].cost {
		ways[0][k], ways[0][keys+k] = way{cost: c}, way{cost: c}
	}
	for i := 1; i < len(walks); i++ {
		for s := range ways[i] {
			ways[i][s].cost = never
		}
		for s, before := range ways[i-1] {
			if before.cost == never {
				continue
			}
			a, direction := s%keys, s/keys
			stays := walks[i-1].must(a, &walks[i])
			for k, c := range walks[i].cost {
				if !walks[i-1].goes(a, &walks[i], k) || k == a && !stays {
					continue
				}
				cost := before.cost + c + perSemitone*math.Abs(float64(k-a))
				if max(k-a, a-k) > 7 {
					cost += wideLeap
				}
				if k == a {
					cost += again
				}
				to := up
				if k < a || k == a && direction == down {
					to = down
				}
				if to != direction {
					cost += turning
				}
				if t := &ways[i][to*keys+k]; cost < t.cost {
					*t = way{cost: cost, from: s}
				}
			}
		}
	}
	last := len(walks) - 1
	best := 0
	for s := range ways[last] {
		if ways[last][s].cost < ways[last][best].cost {
			best = s
		}
	}
	line := make([]int, len(walks))
	for i := last; i >= 0; i-- {
		line[i] = best % keys
		best = ways[i][best].from
	}
	return line
}
