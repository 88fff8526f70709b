package linegen

import (
	"shedlight/analyse/changes"
	"shedlight/analyse/song"
	"shedlight/analyse/timebase"
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
	// DimOnBeat: the line is runs and arpeggios, and they stand on tones of the dim half
	// that are none of the chord's.
	DimOnBeat
)

// Faulty is Line by a player with a fault.
func Faulty(t *changes.Timeline, view song.View, seed uint64, choruses int, fault Fault) []Note {
	return newPlayer(t, view, seed, choruses, fault).line()
}

// Outlined returns the line with the notes in one bar of the form replaced, in every
// chorus, by eighths up through the tones of a chord, whatever the chart says there. bar
// counts from 1.
func Outlined(t *changes.Timeline, notes []Note, bar int, chord tone.Set) (out []Note) {
	from, to := t.Bars[bar-1].Start, t.Length
	if bar < len(t.Bars) {
		to = t.Bars[bar].Start
	}
	const eighth = timebase.Quarter / 2
	chorus := int64(-1)
	for _, n := range notes {
		within := n.Tick % t.Length
		if within < from || within >= to {
			out = append(out, n)
			continue
		}
		if n.Tick/t.Length == chorus {
			continue
		}
		chorus = n.Tick / t.Length
		key := near(chord, (lowest+highest)/2) - tone.Octave/2
		for at := from; at < to; at += eighth {
			key = next(chord, key, true)
			out = append(out, Note{
				Tick: chorus*t.Length + at, Length: eighth - eighth/restToBreak, Key: uint8(key), Velocity: softest + dynamics/2,
				Role: Noise, Figure: n.Figure,
			})
		}
	}
	for i := 1; i < len(out); i++ {
		out[i-1].Length = max(1, min(out[i-1].Length, out[i].Tick-out[i-1].Tick))
	}
	return out
}

// turned returns the place as somebody hears it who takes the dim half for home.
func (c cell) turned() cell {
	dim := c.scale &^ c.home &^ c.goals
	if dim == 0 {
		return c
	}
	c.home = dim
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
