package linegen

import (
	"shedlight/analyse/changes"
	"shedlight/analyse/song"
	"shedlight/analyse/tone"
)

// Fault is something that a player does all the time and a teacher would speak of;
// all else stays proper. What is played over other changes than the chart's is no
// Fault: it is a Line over those.
type Fault uint8

const (
	NoFault Fault = iota
	// Hanging: phrases end a half step above a tone of the chord, where the scale has
	// such a tone: on the fourth or the flat sixth over a major chord.
	Hanging
	// NoRests: one phrase goes over into the next.
	NoRests
	// Leaps: the line leaps where the chord changes, a fourth at least.
	Leaps
	// DimOnBeat: runs, arpeggios and goals stand on tones of the dim half that are none
	// of the chord's.
	DimOnBeat
)

// Faulty is Line by a player with a fault.
func Faulty(t *changes.Timeline, view song.View, seed uint64, choruses int, fault Fault) []Note {
	return newPlayer(t, view, seed, choruses, fault).line()
}

// turned returns the place as somebody hears it who takes the dim half for home.
func (c cell) turned() cell {
	dim := c.scale &^ c.home &^ c.goals
	if dim == 0 {
		return c
	}
	c.home, c.goals = dim, dim
	return c
}

// landing returns the tones on which a phrase may end.
func (p *player) landing(c *cell) tone.Set {
	if p.fault != Hanging {
		return c.goals
	}
	if open := c.goals.Transpose(1) & c.scale &^ c.goals; open != 0 {
		return open
	}
	return c.goals
}

// leap moves a key away from the one before where the chord has changed.
func (p *player) leap(key int) int {
	const least, most = 5, 9 // semitones: a fourth, a sixth
	c := &p.grid[p.at]
	if p.fault != Leaps || p.at == 0 || p.grid[p.at-1].slot == c.slot || p.grid[p.at-1].scale == c.scale {
		return key
	}
	for _, up := range [...]bool{p.up, !p.up} {
		for to := next(c.goals, p.key, up); max(to-p.key, p.key-to) <= most; to = next(c.goals, to, up) {
			if max(to-p.key, p.key-to) >= least && lowest <= to && to <= highest {
				return to
			}
		}
	}
	return key
}
