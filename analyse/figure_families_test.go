package analyse_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/changes"
	"shedlight/analyse/figure"
	"shedlight/analyse/harmony"
	"shedlight/analyse/tone"
)

// player plays lines one after another, with a rest behind each.
type player struct {
	*analyse.Analyser
	at, n int64 // the next tick, the next note
}

func newPlayer(t *testing.T, centre changes.Centre) *player {
	return &player{Analyser: analyser(t, analyse.Setup{Centre: &centre})}
}

// figuresIn plays some keys as eighths and returns what is found in them, with notes and
// ticks counted from the first.
func (p *player) figuresIn(keys []int) (found []figure.Figure) {
	const eighth, rest = 480, 4 * 960 // ticks
	for i, key := range keys {
		at := p.at + int64(i)*eighth
		p.Add(on(at, uint8(key)))
		p.Add(off(at+eighth, uint8(key)))
	}
	from, n := p.at, p.n
	p.at, p.n = p.at+int64(len(keys))*eighth+rest, p.n+int64(len(keys))
	p.AdvanceTo(p.at)
	for _, g := range p.Figures() {
		if g.N >= n {
			g.N, g.Tick, g.End = g.N-n, g.Tick-from, g.End-from
			found = append(found, g)
		}
	}
	return found
}

// whole returns the figure that goes from one note to another.
func whole(all []figure.Figure, from, to int) (figure.Figure, bool) {
	i := slices.IndexFunc(all, func(g figure.Figure) bool { return g.N == int64(from) && g.End == int64(to)*480 })
	if i < 0 {
		return figure.Figure{}, false
	}
	return all[i], true
}

// orders are the 24 orders of four tones.
func orders() (out [][]int) {
	for a := range 4 {
		for b := range 4 {
			for c := range 4 {
				if d := 6 - a - b - c; a != b && b != c && a != c {
					out = append(out, []int{a, b, c, d})
				}
			}
		}
	}
	return out
}

// everyCentre calls for the major and the minor centre on every tone.
func everyCentre(t *testing.T, do func(centre changes.Centre, s harmony.Scale)) {
	for root := range tone.Class(12) {
		for _, mode := range []changes.Mode{changes.Major, changes.Minor} {
			centre := changes.Centre{Tonic: root.Name(), Mode: mode}
			do(centre, centre.Scale())
		}
	}
}

// positions are the tones of a chord from each of them up, within an octave.
func positions(set tone.Set) (out [][]int) {
	const lowest = 60
	for _, bass := range set.Classes() {
		keys := []int{}
		for key := lowest + int(bass); key < lowest+int(bass)+tone.Octave; key++ {
			if set.Has(tone.ClassOf(key)) {
				keys = append(keys, key)
			}
		}
		out = append(out, keys)
	}
	return out
}

// Every chord of both families, from each of its tones, in every order: up and down it
// is an arpeggio, with half steps put in and after an approach too, or with more steps
// than skips in it none; in any other order it is named by that. What is to come is
// worked out from the intervals alone.
func TestEveryFamilyArpeggioInEveryOrder(t *testing.T) {
	counts := map[string]int{}
	everyCentre(t, func(centre changes.Centre, s harmony.Scale) {
		p := newPlayer(t, centre)
		outside := func(key int) bool { return !s.Set().Has(tone.ClassOf(key)) }
		for name, set := range familySets(t, s) {
			for _, tones := range positions(set) {
				steps := 0
				for i := 1; i < 4; i++ {
					if tones[i]-tones[i-1] <= 2 {
						steps++
					}
				}
				for _, order := range orders() {
					keys, label := []int{}, []string{}
					for _, at := range order {
						keys, label = append(keys, tones[at]), append(label, fmt.Sprint(at+1))
					}
					says := strings.Join(label, "-")
					text := fmt.Sprintf("%s: %s %s of %s: %v", centre, says, name, set, keys)
					oneWay := slices.IsSorted(order) || slices.IsSortedFunc(order, func(a, b int) int { return b - a })
					if oneWay {
						says = ""
					}
					is := func(all []figure.Figure, from, to, halves int) {
						g, ok := whole(all, from, to)
						if oneWay && steps >= 2 {
							require.False(t, ok && g.Kind == figure.Arpeggio, text)
							counts["pieces of a scale"]++
							return
						}
						require.True(t, ok, "%s: %+v", text, all)
						require.Equal(t, figure.Arpeggio, g.Kind, text)
						require.Contains(t, g.Chords, name, text)
						require.Len(t, g.Chords, 1, "four tones decide: %s", text)
						require.Equal(t, says, g.Order, text)
						require.Equal(t, halves, g.HalfSteps, text)
						require.True(t, g.Complete, text)
						counts["with "+fmt.Sprint(halves)]++
					}
					all := p.figuresIn(keys)
					is(all, 0, 3, 0)
					if !oneWay || steps >= 2 {
						continue
					}
					way := 1
					if keys[1] < keys[0] {
						way = -1
					}
					if approach := keys[0] - way; outside(approach) && keys[0]-approach == way {
						counts["approaches"]++
						is(p.figuresIn(append([]int{approach}, keys...)), 1, 4, 0)
					}
					for at := 1; at < 4; at++ {
						half := keys[at] - way
						if (half-keys[at-1])*way > 0 && outside(half) {
							is(p.figuresIn(slices.Insert(slices.Clone(keys), at, half)), 0, 4, 1)
						}
						for _, wrong := range []int{keys[at] - 1, keys[at] + 1} {
							spoiled := slices.Clone(keys)
							if spoiled[at] = wrong; set.Has(tone.ClassOf(wrong)) {
								continue
							}
							for _, g := range p.figuresIn(spoiled) {
								require.False(t, g.Kind == figure.Arpeggio && g.Complete && slices.Contains(g.Chords, name), "%s, but %v", text, spoiled)
							}
							counts["wrong tones"]++
						}
					}
				}
			}
		}
	})
	t.Log(counts)
	for _, what := range []string{"with 0", "with 1", "approaches", "wrong tones", "pieces of a scale"} {
		require.Greater(t, counts[what], 100, what)
	}
}

// Eight tones of the scale, and seven of it without its flat six, an octave up and
// down from every degree, told whole.
func TestEveryRunFromEveryDegree(t *testing.T) {
	const low = 48
	everyCentre(t, func(centre changes.Centre, s harmony.Scale) {
		p := newPlayer(t, centre)
		flatSix := tone.ClassOf(int(s.Root.Class()) + 8)
		for without, set := range map[string]tone.Set{"": s.Set(), "b6": s.Set() &^ tone.SetOf(flatSix)} {
			for _, from := range set.Classes() {
				keys := []int{}
				for key := low + int(from); key <= low+int(from)+tone.Octave; key++ {
					if set.Has(tone.ClassOf(key)) {
						keys = append(keys, key)
					}
				}
				for _, up := range []bool{true, false} {
					if !up {
						slices.Reverse(keys)
					}
					all := p.figuresIn(keys)
					g, ok := whole(all, 0, len(keys)-1)
					require.True(t, ok, "%s %v: %+v", centre, keys, all)
					require.Equal(t, []any{figure.Run, up, without, 0}, []any{g.Kind, g.Up, g.Without, g.HalfSteps}, "%s %v", centre, keys)
					require.Len(t, all, 1)
				}
			}
		}
	})
}
