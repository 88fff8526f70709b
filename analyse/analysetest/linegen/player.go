package linegen

import (
	"math/rand/v2"

	"shedlight/analyse/tone"
)

// player is somebody in the middle of a line.
type player struct {
	random *rand.Rand
	grid   []cell
	at     int // the next place on the grid
	key    int // the last key played
	up     bool
	figure int
	score  []scored
	fault  Fault
}

// scored is a note as it would be written down.
type scored struct {
	tick, length int64
	key          int
	role         Role
	figure       int
	outlines     tone.Set
	swings       bool // the second of two eighths
}

// How long phrases and rests are, in places of the grid.
const (
	shortestPhrase, longestPhrase = 7, 24
	shortestRest, longestRest     = 2, 7
	lastNotes                     = 4 // places that a phrase needs to begin at all
)

// one reports true once in n times.
func (p *player) one(n int) bool { return p.random.IntN(n) == 0 }

// here returns the place n places ahead; ok is false where the music is over
// or no scale is active.
func (p *player) here(n int) (c *cell, ok bool) {
	if p.at+n >= len(p.grid) {
		return nil, false
	}
	c = &p.grid[p.at+n]
	return c, c.scale != 0
}

// play writes a note of some places' length and goes on behind it.
func (p *player) play(key int, role Role, places int) {
	c := &p.grid[p.at]
	key = p.leap(key)
	end := min(p.at+places, len(p.grid)-1)
	length := p.grid[end].tick - c.tick
	if end == p.at { // the last place of all
		length = c.beat / int64(c.subs)
	}
	p.score = append(p.score, scored{
		tick: c.tick, length: length, key: key, role: role, figure: p.figure, swings: c.subs == 2 && c.sub == 1,
	})
	p.at += places
	p.key = key
}

// phrase plays one phrase and the rest behind it.
func (p *player) phrase() {
	if p.fault != NoRests {
		p.at += p.random.IntN(3)
	}
	p.up = p.one(2)
	start := p.at
	end := p.at + shortestPhrase + p.random.IntN(longestPhrase-shortestPhrase)
	if _, ok := p.here(lastNotes); !ok {
		p.at++
		return
	}
	p.figure++
	p.begin()
	for p.at < end && p.figureAhead() {
	}
	p.figure++
	if p.fault == NoRests {
		p.at = max(p.at, start+1) // where no scale is active nothing was played
		return
	}
	p.land()
	p.at += shortestRest + p.random.IntN(longestRest-shortestRest)
}

// begin moves to a goal near by without playing.
func (p *player) begin() {
	c, ok := p.here(0)
	if !ok {
		return
	}
	p.key = near(c.goals, p.key-4+p.random.IntN(9))
	p.turn(edge)
}

// edge is how near the ends of the range a line turns, in semitones.
const edge = 3

// turn changes direction where an end of the range is near.
func (p *player) turn(margin int) {
	switch {
	case p.key <= lowest+margin:
		p.up = true
	case p.key >= highest-margin:
		p.up = false
	}
}

// other returns the tone of a set nearest to the last key, but not that key.
func (p *player) other(among tone.Set) int {
	if goal := near(among, p.key); goal != p.key {
		return goal
	}
	return next(among, p.key, p.up)
}

// figureAhead plays one figure. It reports false where there is no room or no
// scale for it.
func (p *player) figureAhead() bool {
	if _, ok := p.here(lastNotes); !ok {
		return false
	}
	if _, ok := p.here(0); !ok {
		return false
	}
	start := p.at
	p.figure++
	if p.one(3) {
		p.up = !p.up
	}
	p.turn(edge)
	if p.changeAhead() && p.one(3) {
		p.push()
		return true
	}
	kinds := 10
	if p.fault == DimOnBeat {
		kinds = 6 // runs and arpeggios
	}
	switch p.random.IntN(kinds) {
	case 0, 1, 2:
		p.run(4 + p.random.IntN(6))
	case 3, 4, 5:
		p.arpeggio()
	case 6, 7:
		p.approach()
	case 8:
		p.neighbour()
	case 9:
		p.quarters()
	}
	return p.at > start
}

// land ends a phrase on a tone of the chord, a step away where there is one.
func (p *player) land() {
	c, ok := p.here(0)
	if !ok {
		return
	}
	p.turn(edge)
	goal := p.other(p.landing(c))
	if goal-p.key > 2 || p.key-goal > 2 {
		p.play(next(c.scale, p.key, goal > p.key), Run, 1)
		if c, ok = p.here(0); !ok {
			return
		}
		goal = near(p.landing(c), p.key)
	}
	p.play(goal, ChordTone, 1+p.random.IntN(3))
}
