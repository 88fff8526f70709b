package linegen

import "shedlight/analyse/tone"

// step returns the next tone in the direction of the line, a half or a whole
// step away. On a beat over a new chord it prefers the home half.
func (p *player) step(c *cell) int {
	first := next(c.scale, p.key, p.up)
	if c.sub != 0 || p.at == 0 || p.grid[p.at-1].slot == c.slot || has(c.home, first) {
		return first
	}
	second := next(c.scale, first, p.up)
	if d := second - p.key; has(c.home, second) && d >= -2 && d <= 2 {
		return second
	}
	return first
}

// toBeat fills the places up to the next beat so that the line arrives there on
// a tone of a set near by, and returns that tone.
func (p *player) toBeat(among func(*cell) tone.Set) (goal int, ok bool) {
	left := 0
	for {
		c, ok := p.here(left)
		if !ok {
			return 0, false
		}
		if c.sub == 0 {
			break
		}
		left++
	}
	c, _ := p.here(left)
	goal = p.other(among(c))
	switch left {
	case 1:
		p.lead(goal)
	case 2:
		p.enclose(goal, c)
	}
	return goal, true
}

// lead plays one note into a goal: the semitone below, the semitone above, or
// the step of the scale.
func (p *player) lead(goal int) {
	c, _ := p.here(0)
	switch p.random.IntN(4) {
	case 0, 1:
		p.play(goal-1, Chromatic, 1)
	case 2:
		p.play(goal+1, Chromatic, 1)
	case 3:
		p.play(next(c.scale, goal, goal < p.key), Run, 1)
	}
}

// run goes along the scale from a home tone on the beat. Where two tones lie a
// whole step apart it passes chromatically now and then.
func (p *player) run(notes int) {
	key, ok := p.toBeat(func(c *cell) tone.Set { return c.home })
	if !ok {
		return
	}
	p.play(key, Run, 1)
	for range notes - 1 {
		c, ok := p.here(0)
		if !ok {
			return
		}
		p.turn(edge)
		to := p.step(c)
		after, more := p.here(1)
		if whole := to-p.key == 2 || p.key-to == 2; whole && more && has(after.scale, to) && p.one(8) {
			p.play((p.key+to)/2, Passing, 1)
		}
		p.play(to, Run, 1)
	}
}

// arpeggio walks through a chord of the family, from a home tone on the beat,
// for as long as the scale stays.
func (p *player) arpeggio() {
	key, ok := p.toBeat(func(c *cell) tone.Set { return c.home })
	if !ok {
		return
	}
	c, ok := p.here(0)
	if !ok {
		return
	}
	chord := p.familyChord(c, key)
	room := 0
	for room < 3+p.random.IntN(3) {
		if n, ok := p.here(room); !ok || n.scale != c.scale {
			break
		}
		room++
	}
	const fewest = 3 // tones that make an arpeggio
	if room < fewest {
		p.play(key, ChordTone, 1)
		return
	}
	p.figure++
	const span = 9 // semitones that an arpeggio of three covers at most
	p.turn(span)
	if p.one(5) && c.subs == 2 {
		p.triplet(key, chord)
		return
	}
	for range room {
		p.outline(key, chord)
		key = next(chord, key, p.up)
		if key < lowest || key > highest {
			return
		}
	}
}

// familyChord picks a chord of the family that holds the key.
func (p *player) familyChord(c *cell, key int) tone.Set {
	for {
		if chord := c.family[p.random.IntN(len(c.family))]; has(chord, key) {
			return chord
		}
	}
}

func (p *player) outline(key int, chord tone.Set) {
	p.play(key, Arpeggio, 1)
	p.score[len(p.score)-1].outlines = chord
}

// triplet plays three tones of a chord in one beat.
func (p *player) triplet(key int, chord tone.Set) {
	const notes = 3
	c := p.grid[p.at]
	for i := range int64(notes) {
		p.score = append(p.score, scored{
			tick: c.tick + i*c.beat/notes, length: c.beat / notes, key: key, role: Arpeggio,
			figure: p.figure, outlines: chord,
		})
		p.key = key
		key = next(chord, key, p.up)
	}
	p.at += c.subs
}

// quarters plays one or two tones of the chord on the beat, the second with a
// grace note now and then.
func (p *player) quarters() {
	key, ok := p.toBeat(func(c *cell) tone.Set { return c.goals })
	for i := range 1 + p.random.IntN(2) {
		c, here := p.here(0)
		if !ok || !here {
			return
		}
		if !has(c.goals, key) {
			key = near(c.goals, key)
		}
		if i > 0 && p.one(4) {
			p.grace(key)
		}
		p.play(key, ChordTone, c.subs)
		key = next(c.goals, key, p.up)
	}
}
