package linegen

import "shedlight/analyse/tone"

// approach aims at a tone of the chord on a coming beat and leads into it with
// as many notes as there are places before it.
func (p *player) approach() {
	before := 1 + p.random.IntN(3)
	for {
		c, ok := p.here(before)
		if !ok {
			return
		}
		if c.sub == 0 {
			break
		}
		before++
	}
	c, _ := p.here(before)
	goal := p.aim(c)
	for before > 3 {
		p.play(next(p.grid[p.at].scale, p.key, goal > p.key), Run, 1)
		before--
	}
	switch before {
	case 1:
		p.lead(goal)
	case 2:
		if p.one(2) {
			p.enclose(goal, c)
		} else {
			p.chromatic(goal)
		}
	case 3:
		p.encloseWide(goal)
	}
	p.play(goal, ChordTone, 1)
}

// aim picks a goal a third or so away at most.
func (p *player) aim(c *cell) int {
	const reach = 4 // semitones
	goal := near(c.goals, p.key-reach+p.random.IntN(2*reach+1))
	return min(max(goal, near(c.goals, lowest)), near(c.goals, highest))
}

// enclose plays the tone of the scale above a goal and the semitone below it,
// in either order.
func (p *player) enclose(goal int, c *cell) {
	above, below := next(c.scale, goal, true), goal-1
	if p.one(2) {
		above, below = below, above
	}
	p.play(above, Enclosure, 1)
	p.play(below, Enclosure, 1)
}

// encloseWide plays two semitones in a row from one side and one from the
// other.
func (p *player) encloseWide(goal int) {
	side := 1
	if p.one(2) {
		side = -1
	}
	for _, off := range [...]int{2, 1, -1} {
		p.play(goal+side*off, Enclosure, 1)
	}
}

// chromatic plays two semitones in a row into a goal.
func (p *player) chromatic(goal int) {
	side := 1
	if p.one(2) {
		side = -1
	}
	p.play(goal+2*side, DoubleChromatic, 1)
	p.play(goal+side, DoubleChromatic, 1)
}

// neighbour plays a tone of the chord, the semitone below it and the tone
// again.
func (p *player) neighbour() {
	key, ok := p.toBeat(func(c *cell) tone.Set { return c.goals })
	if !ok {
		return
	}
	for _, c := range p.grid[p.at:min(p.at+3, len(p.grid))] {
		if !has(c.goals, key) {
			p.play(key, ChordTone, 1)
			return
		}
	}
	p.play(key, ChordTone, 1)
	p.play(key-1, Neighbour, 1)
	p.play(key, ChordTone, 1)
}

// grace puts a short note a semitone below before what comes next.
func (p *player) grace(goal int) {
	const short = 60 // ticks: 30 ms at 120 beats a minute
	if p.at >= len(p.grid) {
		return
	}
	p.score = append(p.score, scored{
		tick: p.grid[p.at].tick - short, length: short, key: goal - 1, role: Grace, figure: p.figure,
	})
}

// changeAhead reports whether the next place is a beat and brings another
// chord with another scale.
func (p *player) changeAhead() bool {
	here, ok := p.here(0)
	if !ok {
		return false
	}
	c, ok := p.here(1)
	return ok && c.sub == 0 && c.slot != here.slot && c.scale != here.scale
}

// push anticipates the chord at the next place and holds its tone over.
func (p *player) push() {
	c, _ := p.here(1)
	goal := near(c.home, p.key)
	p.play(goal, Push, 1+c.subs)
}
