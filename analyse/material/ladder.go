package material

import (
	"shedlight/analyse/harmony"
	"shedlight/analyse/tone"
)

// ladder is a scale over the whole keyboard: its tones are rungs, numbered from the
// root below key 0, so that even rungs are of the home half.
type ladder struct {
	scale harmony.Scale
	above [8]int // semitones of the scale's tones over its root
	root  int
}

// rungs is how many rungs an octave has.
const rungs = 8

func newLadder(s harmony.Scale) ladder {
	l := ladder{scale: s, root: int(s.Root.Class()) - tone.Octave}
	for i, n := range s.Tones() {
		l.above[i] = int(tone.ClassOf(int(n.Class()) - l.root))
	}
	return l
}

// key returns the key of a rung; it may lie off the keyboard.
func (l *ladder) key(rung int) int {
	return l.root + rung/rungs*tone.Octave + l.above[rung%rungs]
}

// rung returns the rung of a key; ok is false for a key between two.
func (l *ladder) rung(key int) (rung int, ok bool) {
	octave, rest := (key-l.root)/tone.Octave, (key-l.root)%tone.Octave
	for i, a := range l.above {
		if a == rest {
			return octave*rungs + i, true
		}
	}
	return 0, false
}

// isHome reports whether a rung is of the home half.
func isHome(rung int) bool { return rung%2 == 0 }

// pattern is a chord as places on a ladder over its lowest, in one octave.
type pattern [4]int

// The patterns of the families that are taught first: the home chord, and it with its
// seventh in place of its sixth (C E G B of C6 dim), the minor seventh (D F A C), and
// what holds the dominant (G B D F).
var (
	homePattern     = pattern{0, 2, 4, 6}
	seventhPattern  = pattern{0, 2, 4, 7}
	minorPattern    = pattern{0, 2, 5, 7}
	dominantPattern = pattern{0, 3, 5, 7}
)

// arpeggio is a chord of a family, to be played from any of its tones.
type arpeggio struct {
	ladder *ladder
	root   int // rung of the tone that it is named by, in the lowest octave
	pattern
	rungs  uint8 // those of an octave that it has, a bit for each
	set    tone.Set
	bass   tone.Class // of the tone that it is named by
	weight float64
}

func newArpeggio(l *ladder, root int, p pattern) arpeggio {
	a := arpeggio{ladder: l, root: root, pattern: p, bass: tone.ClassOf(l.key(rungs + root))}
	for _, above := range p {
		a.set |= 1 << tone.ClassOf(l.key(rungs+root+above))
		a.rungs |= 1 << ((root + above) % rungs)
	}
	return a
}

// inThirds reports whether tones stand in thirds over one of them.
func inThirds(set tone.Set, bass tone.Class) bool {
	const majorThird = 4 // semitones
	below := 0
	for above := 1; above < tone.Octave; above++ {
		if !set.Has(tone.ClassOf(int(bass) + above)) {
			continue
		}
		if apart := above - below; apart <= tone.WholeStep || apart > majorThird {
			return false
		}
		below = above
	}
	return true
}

// has reports whether a rung is one of its tones.
func (a *arpeggio) has(rung int) bool { return a.rungs>>((rung%rungs+rungs)%rungs)&1 != 0 }

// next returns the next rung of the chord up or down from one of its rungs.
func (a *arpeggio) next(rung, by int) int {
	for rung += by; !a.has(rung); rung += by {
	}
	return rung
}
