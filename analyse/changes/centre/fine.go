package centre

import "slices"

// The finer layer: what passes under the large centres.

const (
	// visitBars, in bars: a two, or a seventh that rests, is a visit from this
	// length on where its own dominant reaches it, as "a bar of ii minor" is
	// (common practice).
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
	visits, leads := h.visits(), h.leadsInto()
	for k, p := range h.parts {
		for i := p.from; i < p.to; i++ {
			if h.tune.Chords[i].Chord.None() {
				continue
			}
			s := &out[i]
			s.Scale = stretches[k].Centre
			if leads[i] != h.named[i] {
				s.Scale = h.centre(i, leads[i])
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

// leadsInto returns for each chord the state whose scale goes with it: where a
// chain of dominants lands on the tonic of another centre, that one.
func (h *hearing) leadsInto() []int {
	out := append([]int(nil), h.landed...)
	n := len(out)
	stands := -1 // the next chord that stands
	for i := 2*n - 1; i >= 0; i-- {
		at := i % n
		e := h.at(at)
		if e.does == standing {
			stands = at
		}
		if i >= n || stands < 0 || !e.resolved || e.does != leading && e.does != preparing {
			continue
		}
		if to := h.landed[stands]; h.at(stands).root == to%octave && e.target == to%octave {
			out[at] = to
		}
	}
	return out
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
		// A line of sixths and sevenths over one root is one visit.
		goesOn := i > 0 && out[i-1].known && h.sameMinor(i-1, i)
		if !goesOn && !h.visited(i) {
			continue
		}
		v := visiting{known: true, state: h.at(i).root, from: i}
		if h.at(i).kind.isMinor() {
			v.state += octave * int(Minor)
		}
		out[i] = v
		for j := i - 1; j >= 0 && !out[j].known && h.at(j).does != standing && h.at(j).links == 1 && h.at(j).target == h.at(i).root; j-- {
			out[j] = v
		}
	}
	return out
}

// sameMinor reports whether two chords are minor chords on one root.
func (h *hearing) sameMinor(i, j int) bool {
	a, b := h.at(i), h.at(j)
	return a.root == b.root && a.kind.isMinor() && b.kind.isMinor()
}

// visited reports whether a chord is a tonic of the finer layer by itself.
func (h *hearing) visited(i int) bool {
	at := h.place[i]
	e := &h.loop[at]
	switch {
	case h.tune.Chords[i].Chord.None():
		return false
	case e.kind == dominant:
		return e.ticks >= visitBars*h.bar && h.arrives(at) && h.atRest(at) && !bluesHome(e, h.named[i])
	case !e.kind.isMajor() && !e.kind.isMinor():
		return false
	case e.does == preparing:
		return h.sounds(at) >= visitBars*h.bar && h.arrives(at)
	}
	goes := &h.loop[h.after(at)]
	return h.arrives(at) || goes.does == leading && goes.resolved && goes.links == 1 && goes.target == e.root
}

// bluesHome reports whether a chord has the root of I or IV of a blues.
func bluesHome(e *loopChord, state int) bool {
	degree := mod12(e.root - state%octave)
	return Mode(state/octave) == Blues && (degree == 0 || degree == fourth)
}

// sounds returns how long a minor chord stays on its root from here.
func (r *reading) sounds(at int) (ticks int64) {
	for i, n := at, 0; n < len(r.loop); i, n = r.after(i), n+1 {
		if r.loop[i].root != r.loop[at].root || !r.loop[i].kind.isMinor() {
			break
		}
		ticks += r.loop[i].ticks
	}
	return ticks
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
