package backing

import (
	"math"
	"math/rand/v2"

	"shedlight/analyse/harmony"
	"shedlight/analyse/timebase"
	"shedlight/analyse/tone"
)

// The range of the bass.
const (
	lowest  = 28 // E1
	highest = 48 // C3
	keys    = highest - lowest + 1
)

// What a way of the bass costs. They weigh against each other; the rules are kept
// by what is not allowed at all.
const (
	perSemitone = 0.22
	wideLeap    = 1.6 // beyond a fifth
	turning     = 0.9 // against the direction before
	astray      = 0.1 // a semitone away from where the line is heading
	offRoot     = 1.2 // at the beginning of a bar, neither root nor fifth
	chromatic   = 0.8 // a step that is not in the scale
	against     = 2.5 // a step on the other third of the chord, or on its other seventh
	held        = 6.0 // a step that is held for two beats
	rootAgain   = 0.6
	offTurn     = 3.0 // not what comes in turn: the second of two notes, root and fifth
	offChord    = 0.5 // a step where a tone of the chord would do
	stale       = 2.0 // a tone of a bar that was played before
	again       = 40  // the same key, where it must
	chance      = 1.8
	never       = math.MaxFloat64
)

// role is what a note of the bass has to be.
type role uint8

const (
	begins role = iota // the chord's bass
	inside             // a tone of the chord
	turns              // the same; or a step to the next, which opens a bar
	leads              // by step into the next chord
	second             // of two: third, fifth or a step, in turn
	stands             // the bass of a pedal point
	firm               // root or fifth
)

// walk is one note of the line to be.
type walk struct {
	cost [keys]float64 // of each key; never where it is not allowed
	step [keys]bool    // the next note is a step away
	free bool          // the next may be the same
}

// bass returns the line over some onsets in chorus n. next is the first note of what
// follows, where anything does at once: the line leads there.
func (b *Band) bass(f feel, onsets []onset, n int, next *walk) []Note {
	dice := b.dice(n, Bass)
	walks := make([]walk, len(onsets), len(onsets)+1)
	turn, way := dice.IntN(len(turnsOf)), b.way(dice)
	for i := range onsets {
		as := b.role(f, onsets, i, next != nil)
		end := onsets[i].end
		if i+1 < len(onsets) {
			end = onsets[i+1].tick
		}
		long := end-onsets[i].tick >= 2*timebase.Quarter
		if long && turnsOf[turn](onsets[i].chord) == 0 { // a step that is held says another chord
			turn = 0
		}
		walks[i] = b.walk(&onsets[i], as, long, turn, way[onsets[i].bar], dice)
		if as == second {
			turn = (turn + 1) % len(turnsOf)
		}
	}
	if first := &onsets[0]; first.tick == 0 {
		free := walks[0].free
		walks[0] = b.opening(first.chord, n)
		walks[0].free = free
	}
	if next != nil {
		walks = append(walks, *next)
	}
	line := cheapest(walks)
	for range retries {
		if !refresh(walks, onsets, line) {
			break
		}
		line = cheapest(walks)
	}
	out := make([]Note, len(onsets))
	for i, o := range onsets {
		end := o.end
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
	retries          = 3                     // for bars that were played before
)

// refresh makes the tones of bars that come a second time dearer. It reports whether
// there are any.
func refresh(walks []walk, onsets []onset, line []int) (any bool) {
	known := map[string]bool{}
	for from := 0; from < len(onsets); {
		to := from
		var played []byte
		for ; to < len(onsets) && onsets[to].bar == onsets[from].bar; to++ {
			played = append(played, byte(line[to]))
		}
		if known[string(played)] && to-from > 1 {
			any = true
			for i := from; i < to; i++ {
				if cost := &walks[i].cost[line[i]]; !onsets[i].change {
					*cost += stale
				}
			}
		}
		known[string(played)] = true
		from = to
	}
	return any
}

// rootEvery is how many bars of one chord have its root once, where they begin.
const rootEvery = 2

// wayBars is how many bars the line takes from one height to the next.
const wayBars = 4

// way returns where the line is heading in each bar: up and down between heights that
// chance gives, so that it has a direction for some bars.
func (b *Band) way(dice *rand.Rand) []float64 {
	const margin = 4 // semitones
	height := func() float64 { return float64(margin + dice.IntN(keys-2*margin)) }
	out := make([]float64, len(b.bars))
	from, to := height(), height()
	for i := range out {
		if i > 0 && i%wayBars == 0 {
			from, to = to, height()
		}
		out[i] = between(float64(i%wayBars), 0, from, wayBars, to)
	}
	return out
}

// opening says what the first note of chorus n is: one key, so that the chorus before
// can lead there.
func (b *Band) opening(c harmony.Chord, n int) walk {
	return only(c, int((b.seed+uint64(n))%keys)) // from octave to octave
}

// only is the bass of a chord, in one octave.
func only(c harmony.Chord, from int) walk {
	w := walk{}
	for k := range w.cost {
		w.cost[k] = never
	}
	for at := range keys {
		if k := (from + at) % keys; classAt(k) == c.Bass.Class() {
			w.cost[k] = 0
			break
		}
	}
	return w
}

// classAt returns the pitch class of a key, from the lowest.
func classAt(k int) tone.Class { return tone.Class((k + lowest) % tone.Octave) }

// walk says what the note at an onset may be.
func (b *Band) walk(o *onset, as role, long bool, turn int, way float64, dice *rand.Rand) walk {
	stay := &b.stays[min(o.stay, len(b.stays)-1)]
	own := o.chord.Own()
	tones, root, other := own.Set(), o.chord.Bass.Class(), beside(o.chord)
	fifths := tonesOf(own, harmony.One, harmony.Five, harmony.FlatFive) | tone.SetOf(root)
	wanted := turnsOf[turn](own)
	due := (o.bar-b.tune.BarAt(stay.start, 0))%rootEvery == 0 // for the root
	w := walk{free: as == stands || as == firm}
	for k := range w.cost {
		class := classAt(k)
		cost := chance*dice.Float64() + astray*math.Abs(float64(k)-way)
		step := 0.0 // what it costs as one
		if !tones.Has(class) {
			if !stay.key.Set().Has(class) {
				step += chromatic
			}
			if other.Has(class) {
				step += against
			}
			if long {
				step += held
			}
		}
		switch as {
		case begins, stands:
			if class != root {
				cost = never
			}
		case firm:
			switch {
			case !fifths.Has(class), o.opens && class != root:
				cost = never
			case !o.opens && class == root:
				cost += offTurn
			}
		case inside, turns:
			switch {
			case as == turns && !long && !tones.Has(class):
				w.step[k] = true
				cost += step + offChord
			case !tones.Has(class):
				cost = never
			case o.opens && due:
				if class != root {
					cost = never
				}
			case o.opens && !fifths.Has(class):
				cost += offRoot
			case !o.opens && class == root:
				cost += rootAgain
			}
		case leads:
			w.step[k] = true
			cost += step
		case second:
			w.step[k] = !wanted.Has(class)
			if w.step[k] {
				cost += step
				if wanted != 0 {
					cost += offTurn
				}
			}
		}
		w.cost[k] = cost
	}
	return w
}

// turnsOf are what the second of a chord's two notes is, in turn: the third, the fifth,
// or, where there is none, a step into the next.
var turnsOf = [...]func(harmony.Chord) tone.Set{
	func(c harmony.Chord) tone.Set {
		return tonesOf(c, harmony.Three, harmony.FlatThree, harmony.Four)
	},
	func(c harmony.Chord) tone.Set {
		return tonesOf(c, harmony.Five, harmony.FlatFive, harmony.SharpFive)
	},
	func(harmony.Chord) tone.Set { return 0 },
}

// beside returns the tones that tell a chord of another kind: the other third, the
// other seventh.
func beside(c harmony.Chord) tone.Set {
	var out tone.Set
	for _, d := range [...][2]harmony.Degree{
		{harmony.Three, harmony.FlatThree}, {harmony.FlatThree, harmony.Three},
		{harmony.FlatSeven, harmony.Seven}, {harmony.Seven, harmony.FlatSeven},
	} {
		if c.Formula.Has(d[0]) {
			out |= tone.SetOf(c.Name(d[1]).Class())
		}
	}
	return out
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

// role says what the note at an onset is. follows says that the next chord comes at
// once behind the last onset.
func (b *Band) role(f feel, onsets []onset, i int, follows bool) role {
	o := &onsets[i]
	var changes, opens bool // the next, which comes at once
	if i+1 < len(onsets) {
		next := &onsets[i+1]
		changes, opens = next.change && next.tick <= o.end, next.opens
	} else {
		changes = follows
	}
	switch {
	case o.stay < len(b.stays) && b.stays[o.stay].pedal:
		return stands
	case o.change:
		return begins
	case f.straight:
		return firm
	case changes && onsets[i-1].change:
		return second
	case changes:
		return leads
	case opens:
		return turns
	}
	return inside
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
				if !walks[i-1].goes(a, &walks[i], k) || k == a && !stays && !walks[i-1].free {
					continue
				}
				cost := before.cost + c + perSemitone*math.Abs(float64(k-a))
				if max(k-a, a-k) > 7 {
					cost += wideLeap
				}
				if k == a && !walks[i-1].free {
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
