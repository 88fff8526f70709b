package material

import (
	"cmp"
	"math/rand/v2"
	"slices"

	"shedlight/analyse/tone"
)

// motif is what an etude begins with and comes back to: three to six notes.
type motif struct {
	notes []Note
	from  int // the eighth it begins at
	until int // and the one behind it
}

// newMotifs makes motifs for the beginning of a phrase, the best first: of a rhythm
// that is not all eighths, with one leap among steps.
func (g *ground) newMotifs(r *rand.Rand, h hole) []motif {
	const tries = 300
	type found struct {
		motif
		worth float64
	}
	var all []found
	for range tries {
		notes, until := g.motifRhythm(r, h.from)
		if until > h.to-2 {
			continue
		}
		key, leapt := 0, false
		for i := range notes {
			move := pick(r, -2, -1, 1, 2, -2, 2, -1, 1, 3, -3, 4, -4, 5, -5, 7)
			if leapt {
				move = pick(r, -2, -1, 1, 2)
			}
			if i == 0 {
				key = (h.lowest+h.highest)/2 + r.IntN(11) - 6
			} else {
				key += move
				leapt = leapt || max(move, -move) > tone.WholeStep
			}
			notes[i].Key = uint8(min(max(key, h.lowest), h.highest))
		}
		if g.keeps(notes, false) && g.lies(notes) {
			all = append(all, found{motif{notes, h.from, until}, worthOf(notes) + r.Float64()})
		}
	}
	slices.SortStableFunc(all, func(a, b found) int { return cmp.Compare(b.worth, a.worth) })
	var out []motif
	for _, f := range all {
		out = append(out, f.motif)
	}
	return out
}

// motifRhythm draws three to six notes from an eighth on, which end on a beat.
func (g *ground) motifRhythm(r *rand.Rand, at int) (notes []Note, until int) {
	n := 3 + r.IntN(3)
	long := false
	for i := 0; i < n || !g.places[at].beat && i < 6; i++ {
		length := pick(r, 1, 1, 1, 2, 2, 3)
		if !g.places[at].beat && length == 2 && g.level < cadenceLevel {
			length = 1
		}
		if i == n-1 && !long {
			length = 3
		}
		if at+length >= len(g.places) {
			return nil, len(g.places)
		}
		long = long || length > 1
		notes = append(notes, Note{Tick: int64(at) * eighth, Length: int64(length) * eighth})
		at += length
	}
	if !g.places[at].beat || !long {
		return nil, len(g.places)
	}
	return notes, at
}

// lies reports whether every note but leading ones is in the chord or its scales, what
// stands on a beat in the chord, and none is held into another chord.
func (g *ground) lies(notes []Note) bool {
	for i := range notes {
		n := &notes[i]
		s := g.heardOver(n)
		if !s.allowed.Has(n.class()) || (g.onBeat(n) || n.Length > eighth) && !(s.tones|s.lands).Has(n.class()) {
			return false
		}
		if at := int(n.Tick / eighth); int(n.end()/eighth) > g.stayAt(at).to && s == g.stayAt(at) {
			return false
		}
	}
	return true
}

// worthOf says how well a motif can be sung: a leap and steps, one turn or two, no tone
// twice in a row.
func worthOf(notes []Note) float64 {
	w := 1.0
	for i := 1; i < len(notes); i++ {
		switch apart := tone.Apart(int(notes[i].Key), int(notes[i-1].Key)); {
		case apart == 0:
			w -= 1.5
		case apart > tone.WholeStep:
			w++
		}
	}
	if n := turns(notes); n == 1 || n == 2 {
		w++
	}
	if len(notes) >= 4 {
		w += 0.5
	}
	return max(0, w)
}

// unmoved returns a motif at another place as it is.
func (m motif) unmoved(at int) motif {
	out := motif{from: at, until: at + m.until - m.from}
	for _, n := range m.notes {
		n.Tick += int64(at-m.from) * eighth
		out.notes = append(out.notes, n)
	}
	return out
}

// moved returns a motif at another place: the same rhythm, some tones higher or lower,
// with its moves the same way and as wide, give or take what the scale there asks for,
// rather not from a key that it began with before; ok is false where nothing like it
// lies there.
func (g *ground) moved(m motif, at int, h hole, began []uint8) (out motif, ok bool) {
	out = m.unmoved(at)
	if out.until >= len(g.places) {
		return out, false
	}
	const (
		asBefore = 8 // what it costs to begin with the same tone again
		around   = 7 // semitones that it may be moved by
		never    = 1 << 20
	)
	notes := slices.Clone(out.notes)
	best := never
	var try func(i, cost int)
	try = func(i, cost int) {
		if cost >= best || i > 0 && !g.keeps(notes[max(0, i-3):i], false) {
			return
		}
		if i == len(notes) {
			if g.keeps(notes, false) && g.lies(notes) {
				best = cost
				copy(out.notes, notes)
			}
			return
		}
		move := int(m.notes[i].Key) - int(m.notes[i-1].Key)
		for _, more := range []int{0, 1, -1, 2, -2} {
			now := move + more
			if key := int(notes[i-1].Key) + now; (now*move > 0 || now == move) && key >= h.lowest && key <= h.highest {
				notes[i].Key = uint8(key)
				try(i+1, cost+3*max(more, -more))
			}
		}
	}
	for by := -around; by <= around; by++ {
		if key := int(m.notes[0].Key) + by; key >= h.lowest && key <= h.highest {
			notes[0].Key = uint8(key)
			cost := tone.Apart(tone.Apart(by, 0), 3)
			if slices.Contains(began, uint8(key)) {
				cost = asBefore
			}
			try(1, cost)
		}
	}
	return out, best < never
}
