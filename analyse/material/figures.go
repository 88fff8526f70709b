package material

import (
	"shedlight/analyse/tone"
)

// What may come next, figure by figure: each has a weight, by how well it joins what
// was before, how near it comes to the height that is wanted, and how much it is liked.

// nextBeat returns the beat behind an eighth.
func (g *ground) nextBeat(at int) int {
	for at++; !g.places[at].beat; at++ {
	}
	return at
}

// runs adds pieces of the scales that begin with a key: up or down, with one turn at
// most.
func (f *filler) runs(s *stay, at, left, key int, w float64, add func(option)) {
	onBeat, whole := f.g.places[at].beat, f.h.figures.only != 0
	first, last := 2, min(left, rungs)
	if whole {
		first, last = left, min(left, len(option{}.keys)-1)
	}
	for i := range s.ladders {
		l := &s.ladders[i]
		rung, ok := l.rung(key)
		if !ok {
			continue
		}
		home, dim := s.ruling(l)
		right := isHome(rung) && home || !isHome(rung) && dim
		if onBeat && !right || !onBeat && right && home != dim {
			continue
		}
		for n := first; n <= last; n++ {
			if n < left && !f.g.places[at+n].beat {
				continue
			}
			for turn := 1; turn <= n; turn++ { // n: none
				if !whole && turn < min(3, n) {
					continue
				}
				for _, by := range []int{1, -1} {
					liked := w * f.wished(at+n, l.key(rung+by*(2*turn-1-n)))
					if liked < least {
						continue
					}
					o := run(l, rung, by, n, turn)
					o.weight *= liked
					if i > 0 {
						o.weight *= 0.8
					}
					add(o)
				}
			}
		}
	}
}

// run is a piece of a scale: n tones from a rung on, which turns round at one of them.
func run(l *ladder, rung, by, n, turn int) option {
	const usual, turned = 2.6, 0.5 // weights
	const full = 6                 // tones from which on it weighs what is usual
	o := option{kind: Run, ladder: l, weight: usual * float64(min(n, full)) / full}
	if turn < n {
		o.weight *= turned
	}
	for i := range n {
		if i == turn {
			by = -by
		}
		if i > 0 {
			rung += by
		}
		o.add(l.key(rung))
	}
	return o
}

// homes adds the chord of the half that rules, broken from a key on: of four, five or
// seven tones.
func (f *filler) homes(s *stay, left, key int, w float64, add func(option)) {
	l := &s.ladders[0]
	root := 0
	if home, _ := s.ruling(l); !home {
		root = 1
	}
	a := newArpeggio(l, root, homePattern)
	rung, ok := l.rung(key)
	if !ok || !a.has(rung) {
		return
	}
	for _, n := range []int{4, 5, 7} {
		if n >= left {
			break
		}
		for _, by := range []int{1, -1} {
			add(broken(&a, rung, by, n, w))
		}
	}
}

// broken is a chord that is broken from a rung on.
func broken(a *arpeggio, rung, by, n int, w float64) option {
	o := option{kind: Arpeggio, arp: a, weight: w}
	for i := range n {
		if i > 0 {
			rung = a.next(rung, by)
		}
		o.add(a.ladder.key(rung))
	}
	return o
}

// arpeggios adds the chords of the families that can be broken from a key on, four
// tones over two beats; in a beat of three eighths three.
func (f *filler) arpeggios(s *stay, at, left, key int, w float64, add func(option)) {
	if !f.h.figures.arps {
		return
	}
	n := 4
	if f.g.line.Bars[f.g.places[s.from].bar].Meter.Compound() {
		n = 3
	}
	for i := range s.arps {
		a := &s.arps[i]
		if f.h.figures.homeOnly && a.pattern != homePattern {
			continue
		}
		rung, ok := a.ladder.rung(key)
		if !ok || !a.has(rung) {
			continue
		}
		for _, by := range []int{1, -1} {
			const usual = 1.3
			if left >= n {
				o := broken(a, rung, by, n, w*a.weight*usual)
				o.weight *= f.wished(at+n, int(o.keys[n-1]))
				add(o)
			}
			if f.h.figures.triplets && left >= 2 && n == 4 && a.set&^s.tones == 0 && f.count[Triplet] == 0 {
				o := broken(a, rung, by, 3, w*0.6)
				o.kind = Triplet
				add(o)
			}
		}
	}
}

// plain adds longer tones and pairs of chord tones.
func (f *filler) plain(s *stay, at, left, key int, w float64, add func(option)) {
	class := tone.ClassOf(key)
	beat := f.g.nextBeat(at) - at
	if !(s.tones | s.lands).Has(class) {
		return
	}
	if s.guides.Has(class) {
		w *= 1.6
	}
	if long := f.h.figures.long; long > 0 {
		if left >= beat {
			o := option{kind: Held, weight: w * long * 1.2, length: [4]int8{int8(beat)}}
			o.add(key)
			add(o)
		}
		if left >= 2*beat && beat == 2 {
			for step := -2; step <= 2; step++ { // a dotted quarter and an eighth
				if step != 0 && s.allowed.Has(tone.ClassOf(key+step)) {
					o := option{kind: Held, weight: w * long * 0.35, length: [4]int8{3, 1}}
					o.add(key)
					o.add(key + step)
					add(o)
				}
			}
			o := option{kind: Held, weight: w * long * 0.25, length: [4]int8{4}}
			o.add(key)
			add(o)
		}
	}
	if left < 2 || beat != 2 || !f.h.figures.pairs {
		return
	}
	for step := -7; step <= 7; step++ {
		if apart := max(step, -step); apart > tone.WholeStep && s.tones.Has(class) && s.tones.Has(tone.ClassOf(key+step)) {
			o := option{kind: Pair, weight: w * 0.2}
			o.add(key)
			o.add(key + step)
			add(o)
		}
	}
}

// leading adds what leads into the first note of the next beat: a tone and a half
// step, or the tones around it.
func (f *filler) leading(s *stay, at, left, key int, w float64, add func(option)) {
	behind := at + 2
	if f.g.nextBeat(at) != behind || left < 2 || behind > f.h.to {
		return
	}
	if !f.h.figures.chromatic {
		return
	}
	goal := f.g.stayAt(behind)
	goals := goal.tones
	switch {
	case behind == f.h.to:
		goals = goal.lands
	case behind == goal.from:
		goals = goal.guides
	}
	for to := key - 4; to <= key+4; to++ {
		if to == key || !goals.Has(tone.ClassOf(to)) || behind == f.h.peakAt && to != f.h.peak {
			continue
		}
		bonus := 1.0
		if behind == goal.from || behind == f.h.to {
			bonus = 3
		}
		above := key - to
		for _, side := range []int{-1, 1} {
			second := to + side
			around := above*side < 0 && tone.Apart(key, to) <= tone.WholeStep
			o := option{forced: to, weight: w * bonus}
			o.add(key)
			o.add(second)
			switch {
			case around && f.count[Enclosure] < f.h.figures.mostEnclose:
				o.kind = Enclosure
				o.weight *= 1.5
			case !around && key != second && tone.Apart(key, second) <= 3 && !s.allowed.Has(tone.ClassOf(second)) &&
				s.tones.Has(tone.ClassOf(key)) && f.count[Approach] < f.h.figures.mostApproach:
				o.kind = Approach
				o.weight *= 1.2
			default:
				continue
			}
			add(o)
		}
	}
}

// cross adds the way into another centre: the last beat before it lies in the dim half
// of the scale that comes, on both sides of a guide tone (common practice).
func (f *filler) cross(goal *stay, at int, add func(option)) {
	l := &goal.ladders[0]
	goals := goal.guides & l.scale.Home()
	if goals == 0 {
		goals = goal.tones & l.scale.Home()
	}
	for to := f.h.lowest; to <= f.h.highest; to++ {
		rung, ok := l.rung(to)
		if !ok || !goals.Has(tone.ClassOf(to)) || goal.from == f.h.peakAt && to != f.h.peak {
			continue
		}
		for _, side := range []int{-1, 1} {
			first, second := l.key(rung+side), l.key(rung-side)
			if f.forced != 0 && first != f.forced {
				continue
			}
			o := option{kind: Enclosure, forced: to, weight: f.join(first, false) * f.wished(at, first), ladder: l}
			o.add(first)
			o.add(second)
			add(o)
		}
	}
}

// pickUps adds the eighths before a beat.
func (f *filler) pickUps(s *stay, at int, add func(option)) {
	beat := f.g.nextBeat(at)
	goal := f.g.stayAt(min(beat, f.h.to))
	for key := f.h.lowest; key <= f.h.highest; key++ {
		w := f.join(key, false) * f.wished(at, key)
		o := option{kind: PickUp, weight: w}
		o.add(key)
		if s.allowed.Has(tone.ClassOf(key)) {
			add(o)
		}
		if !f.h.figures.chromatic || f.count[Approach] >= f.h.figures.mostApproach || at+1 != beat {
			continue
		}
		for _, to := range []int{key + 1, key - 1} {
			if goal.tones.Has(tone.ClassOf(to)) && !s.allowed.Has(tone.ClassOf(key)) {
				o.kind, o.forced, o.weight = Approach, to, w*2
				add(o)
			}
		}
	}
}
