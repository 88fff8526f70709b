package centre

import "slices"

// states is the number of centres. A state is tonic + 12*mode, the tonic counted
// from the root at which the search starts.
const states = octave * 3

// cost orders paths: points times ticks, in the upper bits, and among equal
// ones the steps on the circle of fifths between neighbouring tonics.
type cost int64

const (
	// onePoint is a point for a tick. The fifths of a path stay below it up to
	// 170,000 changes of centre; the points of the longest take stay below 2^43.
	onePoint cost = 1 << 20
	// never is more than any path costs, and can be added to once.
	never cost = 1 << 61
)

// fifthsApart returns the steps on the circle of fifths, 0 to 6, between two tonics.
func fifthsApart(a, b int) int {
	n := mod12((a - b) * fifth)
	return min(n, octave-n)
}

// ring is the search: what each chord of the loop costs in each state, and what
// a change of state costs. Changes cost the same in both directions.
type ring struct {
	node   [][states]cost
	change [states][states]cost
}

func newRing(chords int, bar int64) *ring {
	g := &ring{node: make([][states]cost, chords)}
	for a := range states {
		for b := range states {
			switch {
			case a == b:
			case a%octave == b%octave:
				g.change[a][b] = modeChangeCost * cost(bar) * onePoint
			default:
				g.change[a][b] = changeCost*cost(bar)*onePoint + cost(fifthsApart(a, b))
			}
		}
	}
	return g
}

// step returns the cheapest way into each state from the states of a neighbour,
// without the cost of the chord itself, and which state it comes from. Staying
// loses a tie, so that the change nearest to the end of the walk is taken.
func (g *ring) step(last *[states]cost) (best [states]cost, from [states]uint8) {
	low := slices.Min(last[:])
	// Only a state as cheap in points as the cheapest can be worth leaving for
	// another tonic: all pay the same points for it.
	var leave [states]int
	n := 0
	for s, c := range last {
		if c/onePoint == low/onePoint {
			leave[n] = s
			n++
		}
	}
	for s := range best {
		best[s], from[s] = last[s], uint8(s)
		for p := s % octave; p < states; p += octave {
			if c := last[p] + g.change[p][s]; p != s && (c < best[s] || c == best[s] && int(from[s]) == s) {
				best[s], from[s] = c, uint8(p)
			}
		}
		for _, p := range leave[:n] {
			if c := last[p] + g.change[p][s]; p != s && (c < best[s] || c == best[s] && int(from[s]) == s) {
				best[s], from[s] = c, uint8(p)
			}
		}
	}
	return best, from
}

// toGo returns for each chord and state the cheapest way on to the last chord,
// in whatever state it ends.
func (g *ring) toGo() [][states]cost {
	out := make([][states]cost, len(g.node))
	for i := len(g.node) - 2; i >= 0; i-- {
		ahead := out[i+1]
		for s := range ahead {
			ahead[s] += g.node[i+1][s]
		}
		out[i], _ = g.step(&ahead)
	}
	return out
}

// walk finds the cheapest closed path that starts in one state and costs less
// than limit; end is its last state and from[i][s] the state before s at chord i.
// States that cannot get below the limit any more, even if they never had to
// come back to the start, are left out.
func (g *ring) walk(start int, limit cost, toGo [][states]cost, from [][states]uint8) (end int, total cost) {
	var last [states]cost
	for s := range last {
		last[s] = never
	}
	last[start] = g.node[0][start]
	for i := 1; i < len(g.node); i++ {
		last, from[i] = g.step(&last)
		hope := never
		for s := range last {
			last[s] += g.node[i][s]
			if all := last[s] + toGo[i][s]; all >= limit {
				last[s] = never
			} else {
				hope = min(hope, all)
			}
		}
		if hope == never {
			return 0, never
		}
	}
	end, total = start, last[start]
	for s, c := range last {
		// A change at the seam is the latest there is, and wins a tie.
		if c += g.change[s][start]; c < total || c == total && end == start {
			end, total = s, c
		}
	}
	return end, total
}

// solve returns the state of each chord on the cheapest closed path. Each start
// state is tried that can still beat the best before, the most hopeful first.
func (g *ring) solve() []int {
	toGo := g.toGo()
	var starts [states]int
	for s := range starts {
		starts[s] = s
	}
	hope := func(s int) cost { return g.node[0][s] + toGo[0][s] }
	slices.SortStableFunc(starts[:], func(a, b int) int { return int(min(max(hope(a)-hope(b), -1), 1)) })
	from := make([][states]uint8, len(g.node))
	out := make([]int, len(g.node))
	limit := never
	for _, start := range starts {
		if hope(start) >= limit {
			break
		}
		s, total := g.walk(start, limit, toGo, from)
		if total >= limit {
			continue
		}
		limit = total
		for i := len(out) - 1; i >= 0; i-- {
			out[i] = s
			s = int(from[i][s])
		}
	}
	return out
}

// ringFrom weighs the chords of the loop from one of them on, tonics counted from
// its root. Where the tune has an end, its tonic earns the end's bonus.
func (r *reading) ringFrom(first int, last ending) *ring {
	g := newRing(len(r.loop), r.bar)
	base := r.loop[first].root
	for i := range g.node {
		at := (first + i) % len(r.loop)
		e := &r.loop[at]
		for s := range g.node[i] {
			g.node[i][s] = cost(r.weight(e, mod12(base+s), Mode(s/octave))) * onePoint
			if last.known && at == last.at && mod12(base+s) == last.tonic {
				g.node[i][s] -= endBonus * cost(r.bar) * onePoint
			}
		}
	}
	return g
}

// choose returns the state of each chord of the loop, as tonic + 12*mode with
// the tonic a pitch class.
func (r *reading) choose(last ending) []int {
	first := r.canonicalStart()
	base := r.loop[first].root
	g := r.ringFrom(first, last)
	out := make([]int, len(r.loop))
	for i, s := range g.solve() {
		out[(first+i)%len(out)] = mod12(base+s) + s/octave*octave
	}
	return out
}

// canonicalStart returns the chord from which the loop reads first in an order
// that knows neither keys nor bar numbers: its least rotation. Two candidates
// are read side by side; the one that loses after k chords is passed over with
// all k, since none of them can start a lesser reading. Linear time.
func (r *reading) canonicalStart() int {
	n := len(r.loop)
	a, b, k := 0, 1, 0
	for a < n && b < n && k < n {
		switch c := r.compare((a+k)%n, (b+k)%n); {
		case c == 0:
			k++
			continue
		case c > 0:
			a += k + 1
		default:
			b += k + 1
		}
		if a == b {
			b++
		}
		k = 0
	}
	return min(a, b)
}

// compare orders two chords by kind, length and the interval to the next root.
func (r *reading) compare(a, b int) int64 {
	x, y := &r.loop[a], &r.loop[b]
	if d := int64(x.kind) - int64(y.kind); d != 0 {
		return d
	}
	if d := x.ticks - y.ticks; d != 0 {
		return d
	}
	up := func(i int) int { return mod12(r.loop[r.after(i)].root - r.loop[i].root) }
	return int64(up(a) - up(b))
}
