package analyse

import "shedlight/analyse/instrument"

// Where nothing parts the hands, the keys that are down tell where a split would: what
// one hand cannot reach is held by two. Each such moment allows some splits, those that
// leave each hand what it can reach; the split that the most moments allow parts the
// hands, whatever one of them plays. Hands that cross all the time are parted in the
// middle.

const (
	// reach is how far a hand spans, in semitones: a major tenth (common practice).
	reach = 16
	// twoHands is how many moments with both hands a split is found from, and
	// agreed how many of a hundred of them must allow it.
	twoHands, agreed = 16, 90
)

// hands gathers the splits that the moments of a session allow.
type hands struct {
	moments int64
	allowed [instrument.KeyCount + 1]int64 // by how many more than the split below it
}

// hear takes the keys that are down when something was struck.
func (h *hands) hear(down instrument.Set) {
	if down.Highest()-down.Lowest() <= reach || down.Len() < 2 {
		return
	}
	h.moments++
	lowest, highest, below := down.Lowest(), down.Highest(), down.Lowest()
	down.Each(func(key uint8) {
		if key > below && below-lowest <= reach && highest-key <= reach {
			h.allowed[below+1]++
			h.allowed[key+1]--
		}
		below = key
	})
}

// split returns the lowest key of the right hand as nearly as it can be told: the
// first above what the left hand played. 0: the hands are not told apart.
func (h *hands) split() uint8 {
	var best, now int64
	var split uint8
	for key, more := range h.allowed[:instrument.KeyCount] {
		if now += more; now > best {
			best, split = now, uint8(key)
		}
	}
	if h.moments < twoHands || 100*best < agreed*h.moments {
		return 0
	}
	return split
}
