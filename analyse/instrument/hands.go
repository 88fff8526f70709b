package instrument

// Where nothing parts the hands, the keys that are down tell where a split would: what
// one hand cannot reach is held by two. Each such moment allows some splits, those that
// leave each hand what it can reach; the split that the most moments allow parts the
// hands, whatever one of them plays. Hands that cross all the time are parted in the
// middle. Where a line that sounds alone goes over that split, no split parts the hands.

const (
	// Reach is how far a hand spans, in semitones: a major tenth (common practice).
	Reach = 16
	// twoHands is how many moments with both hands a split is found from, and
	// agreed how many of a hundred of them must allow it.
	twoHands, agreed = 16, 90
	// near is how far two notes of one line lie apart at the most, in semitones, and
	// crossing how many of a hundred such steps may go over the split: a fifth, and
	// this project's own number.
	near, crossing = 7, 2
)

// Hands gathers the splits that the moments of a session allow. The zero value has
// heard nothing.
type Hands struct {
	moments int64
	allowed [KeyCount + 1]int64 // by how many more than the split below it

	alone   bool                // a key was struck while no other was down
	key     uint8               // the last one
	steps   int64               // from one such key to a near one
	crossed [KeyCount + 1]int64 // how many go over a split, counted as allowed is
}

// Hear takes the keys that are down when something was struck.
func (h *Hands) Hear(down Set) {
	if down.Len() == 1 {
		h.step(down.Lowest())
		return
	}
	if down.Highest()-down.Lowest() <= Reach || down.Len() < 2 {
		return
	}
	h.moments++
	lowest, highest, below := down.Lowest(), down.Highest(), down.Lowest()
	down.Each(func(key uint8) {
		if key > below && below-lowest <= Reach && highest-key <= Reach {
			h.allowed[below+1]++
			h.allowed[key+1]--
		}
		below = key
	})
}

// step takes a key that sounds alone.
func (h *Hands) step(key uint8) {
	low, high := min(h.key, key), max(h.key, key)
	if h.alone && high-low <= near {
		h.steps++
		h.crossed[low+1]++
		h.crossed[high+1]--
	}
	h.alone, h.key = true, key
}

// Split returns the lowest key of the right hand as nearly as it can be told: the
// first above what the left hand played. 0: the hands are not told apart.
func (h *Hands) Split() uint8 {
	var best, now, over, crossed int64
	var split uint8
	for key, more := range h.allowed[:KeyCount] {
		over += h.crossed[key]
		if now += more; now > best {
			best, split, crossed = now, uint8(key), over
		}
	}
	if h.moments < twoHands || 100*best < agreed*h.moments || 100*crossed > crossing*h.steps {
		return 0
	}
	return split
}
