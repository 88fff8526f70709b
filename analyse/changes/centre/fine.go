package centre

import "slices"

// The finer layer: what passes under the large centres.

const (
	// visitBars, in bars: a two that its own dominant reaches is a visit from
	// this length on, as "a bar of ii minor" is (common practice).
	visitBars = 1
	// ownBars, in bars: a secondary dominant this long has its own scale in the
	// key view; a visit home's colour no more (common practice).
	ownBars = 2
	// moveBars, in bars: tonics that follow each other within this time are too
	// fast to be centres (common practice: every bar or two).
	moveBars = 2
	// leastTonics is how many of them make a move.
	leastTonics = 3
)

// senses tells each chord's part in the stretches and the moves.
func (h *hearing) senses(stretches []Stretch, moves []Move) []Sense {
	out := make([]Sense, len(h.tune.Chords))
	visits := h.visits()
	for k, p := range h.parts {
		for i := p.from; i < p.to; i++ {
			if h.tune.Chords[i].Chord.None() {
				continue
			}
			s := &out[i]
			s.Scale = stretches[k].Centre
			if to := h.leadsInto(i); to != h.named[i] {
				s.Scale = h.centre(i, to)
			}
			s.Own = h.own(i, s.Scale)
			if v := visits[i]; v.known && v.state%octave != p.tonic {
				s.Passing, s.Passes = h.centre(v.from, v.state), true
				if h.inMove(i, moves) {
					s.Scale = s.Passing
				}
			}
		}
	}
	return out
}

// inMove reports whether a chord lies where tonics move too fast for a centre.
func (h *hearing) inMove(i int, moves []Move) bool {
	return slices.ContainsFunc(moves, func(m Move) bool { return m.Start <= h.start(i) && h.start(i) < m.End })
}

// centre spells a state as the chords from i on write it.
func (h *hearing) centre(i, state int) Centre {
	p := part{tonic: state % octave, mode: Mode(state / octave), from: i, to: i + 1}
	for p.to < len(h.tune.Chords) && h.at(p.to-1).root != p.tonic {
		p.to++
	}
	return Centre{Tonic: h.tune.spell(p), Mode: p.mode}
}

// leadsInto returns the state whose scale goes with a chord: where a chain of
// dominants lands on the tonic of another centre, that one.
func (h *hearing) leadsInto(i int) int {
	e := h.at(i)
	if e.does != leading && e.does != preparing || !e.resolved {
		return h.landed[i]
	}
	n := len(h.tune.Chords)
	j := (i + 1) % n
	for ; j != i && h.at(j).does != standing; j = (j + 1) % n {
	}
	if to := h.landed[j]; h.at(j).root == to%octave && e.target == to%octave {
		return to
	}
	return h.landed[i]
}

// own reports whether a chord takes its own scale in the key view: a secondary
// dominant of two bars or more, a minor seventh or a suspended seventh of four.
func (h *hearing) own(i int, in Centre) bool {
	e := h.at(i)
	switch {
	case e.kind == minorSeventh, e.kind == dominant && e.suspended:
		return e.whole >= staticBars*h.bar
	case e.kind != dominant || e.whole < ownBars*h.bar:
		return false
	}
	tonic := int(in.Tonic.Class())
	degree := mod12(e.root - tonic)
	if degree == fifth || in.Mode == Blues && (degree == 0 || degree == fourth) {
		return false
	}
	return !(e.resolved && e.links == 1 && e.target == tonic) // the tritone substitute and the backdoor are home's
}

// visiting is a chord's share in a visit: the state that is visited, and the chord
// on which it lands.
type visiting struct {
	known bool
	state int
	from  int
}

// visits finds for each chord the visit that it belongs to: a chord that its
// own dominant reaches, or that goes to its own dominant and comes back; and
// before it the dominant and the two that lead to it.
func (h *hearing) visits() []visiting {
	out := make([]visiting, len(h.tune.Chords))
	for i := range out {
		if !h.visited(i) {
			continue
		}
		v := visiting{known: true, state: h.at(i).root, from: i}
		if h.at(i).kind.isMinor() {
			v.state += octave * int(Minor)
		}
		out[i] = v
		if i > 0 && out[i-1].known && out[i-1].state == v.state {
			continue
		}
		for j := i - 1; j >= 0 && !out[j].known && h.at(j).does != standing && h.at(j).links == 1 && h.at(j).target == h.at(i).root; j-- {
			out[j] = v
		}
	}
	return out
}

// visited reports whether a chord is a tonic of the finer layer.
func (h *hearing) visited(i int) bool {
	e := h.at(i)
	switch {
	case h.tune.Chords[i].Chord.None() || !e.kind.isMajor() && !e.kind.isMinor():
		return false
	case i > 0 && h.tune.Chords[i-1].Chord != h.tune.Chords[i].Chord && h.at(i-1).root == e.root && h.at(i-1).kind.isMinor() && e.kind.isMinor() && h.visited(i-1):
		return true // its sixth and seventh change
	case e.does == preparing:
		return e.ticks >= visitBars*h.bar && h.arrives(h.place[i])
	}
	goes := &h.loop[h.after(h.place[i])]
	return h.arrives(h.place[i]) || goes.does == leading && goes.resolved && goes.links == 1 && goes.target == e.root
}

// arrives reports whether a chord's own dominant comes before it.
func (r *reading) arrives(at int) bool {
	from := r.before(at)
	for from != at && r.loop[from].does == passing {
		from = r.before(from)
	}
	d := &r.loop[from]
	up := mod12(r.loop[at].root - d.five)
	return d.does == leading && d.kind == dominant && (up == fourth || up == semitoneBelow)
}
