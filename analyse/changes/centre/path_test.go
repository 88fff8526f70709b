package centre

import (
	"math/rand"
	"testing"

	"github.com/stretchr/testify/require"
)

// total adds up what a closed path costs.
func (g *ring) total(path []int) cost {
	sum := g.change[path[len(path)-1]][path[0]]
	for i, s := range path {
		sum += g.node[i][s]
		if i > 0 {
			sum += g.change[path[i-1]][s]
		}
	}
	return sum
}

// exhaustive tries every path there is.
func (g *ring) exhaustive() cost {
	path := make([]int, len(g.node))
	best := g.total(path)
	var try func(i int)
	try = func(i int) {
		if i == len(path) {
			best = min(best, g.total(path))
			return
		}
		for path[i] = 0; path[i] < states; path[i]++ {
			try(i + 1)
		}
	}
	try(0)
	return best
}

// plain is the textbook search: every start state, every pair of states at every
// step, nothing given up early.
func (g *ring) plain() cost {
	best := never
	for start := range states {
		var last [states]cost
		for s := range last {
			last[s] = never
		}
		last[start] = g.node[0][start]
		for i := 1; i < len(g.node); i++ {
			var next [states]cost
			for s := range next {
				next[s] = never
				for p, c := range last {
					next[s] = min(next[s], c+g.change[p][s])
				}
				next[s] += g.node[i][s]
			}
			last = next
		}
		for s, c := range last {
			best = min(best, c+g.change[s][start])
		}
	}
	return best
}

// randomRing has small costs, so that ties are common.
func randomRing(random *rand.Rand, n int) *ring {
	g := newRing(n, 1)
	for i := range g.node {
		for s := range g.node[i] {
			g.node[i][s] = cost(random.Intn(16)-4) * onePoint
		}
	}
	return g
}

func TestSearchIsExact(t *testing.T) {
	random := rand.New(rand.NewSource(1))
	for _, c := range []struct{ n, cases int }{{1, 20}, {2, 20}, {3, 10}} {
		for range c.cases {
			g := randomRing(random, c.n)
			want := g.exhaustive()
			require.Equal(t, want, g.total(g.solve()), "%d chords", c.n)
			require.Equal(t, want, g.plain(), "%d chords", c.n)
		}
	}
	for range 30 {
		g := randomRing(random, 1+random.Intn(30))
		require.Equal(t, g.plain(), g.total(g.solve()), "%d chords", len(g.node))
	}
}
