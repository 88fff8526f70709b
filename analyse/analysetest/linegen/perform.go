package linegen

import (
	"math/rand/v2"
	"slices"

	"shedlight/analyse"
	"shedlight/analyse/tone"
)

// How a performance departs from the page, in ticks of a quarter-note beat but
// for the swing (common practice; measured soloists are some 30 ms late on the
// beat and swing by 1:1 to 2:1 at medium tempo).
const (
	mostSwing   = 6  // the off-beat comes up to a sixth of a beat late: 2:1
	lateness    = 15 // ticks that every note comes late
	waver       = 15 // ticks that a note wavers either way
	restToBreak = 12 // a note keeps a twelfth of its length away from the next
)

// How loud notes are: velocities of MIDI 1.0, off-beats a little louder.
const (
	softest  = 58
	dynamics = 40
	accent   = 12
)

// perform turns the page into notes: swung, a little late, wavering, one note
// at a time.
func (p *player) perform() []Note {
	slices.SortStableFunc(p.score, func(a, b scored) int { return int(a.tick - b.tick) })
	swing := int64(p.random.IntN(100)) // per cent of the most there is
	notes := make([]Note, 0, len(p.score))
	for _, s := range p.score {
		n := Note{
			Tick:   s.tick + lateness - waver + p.random.Int64N(2*waver+1),
			Length: s.length - s.length/restToBreak,
			Key:    uint8(s.key), Velocity: uint8(softest + p.random.IntN(dynamics)),
			Role: s.role, Figure: s.figure, Outlines: s.outlines,
		}
		if s.swings {
			n.Tick += p.beatAt(s.tick) * swing / 100 / mostSwing
			n.Velocity += accent
		}
		notes = append(notes, n)
	}
	// What wavers must not overtake, and nothing sounds into the next note.
	for i := 1; i < len(notes); i++ {
		notes[i].Tick = max(notes[i].Tick, notes[i-1].Tick+1)
		notes[i-1].Length = max(1, min(notes[i-1].Length, notes[i].Tick-notes[i-1].Tick))
	}
	return notes
}

// beatAt returns the length of the beat that holds a tick of the grid.
func (p *player) beatAt(tick int64) int64 {
	i, found := slices.BinarySearchFunc(p.grid, tick, func(c cell, t int64) int { return int(c.tick - t) })
	if !found {
		i--
	}
	return p.grid[i].beat
}

// Events returns the note-ons and note-offs of a line on channel 0, releases
// before onsets on the same tick. Tempo and origin are the caller's.
func Events(notes []Note) []analyse.Event {
	out := make([]analyse.Event, 0, 2*len(notes))
	for _, n := range notes {
		out = append(out,
			analyse.Event{Tick: n.Tick, Kind: analyse.NoteOn, Key: n.Key, Velocity: n.Velocity},
			analyse.Event{Tick: n.Tick + n.Length, Kind: analyse.NoteOff, Key: n.Key})
	}
	slices.SortStableFunc(out, func(a, b analyse.Event) int {
		if a.Tick != b.Tick {
			return int(a.Tick - b.Tick)
		}
		return int(a.Kind) - int(b.Kind)
	})
	return out
}

// Shift returns the line moved up by semitones (down if negative), against a
// chart that stays where it is. What the notes outline moves with them.
func Shift(notes []Note, semitones int) []Note {
	out := slices.Clone(notes)
	for i := range out {
		out[i].Key = uint8(int(out[i].Key) + semitones)
		out[i].Outlines = out[i].Outlines.Transpose(semitones)
	}
	return out
}

// Spoil returns the line with a share of its notes, 0 to 1, on another key, up
// to a fifth away: wrong notes, as fingers make them.
func Spoil(notes []Note, share float64, seed uint64) []Note {
	const reach = 7 // semitones
	random := rand.New(rand.NewPCG(seed, 0))
	out := slices.Clone(notes)
	for i := range out {
		if random.Float64() >= share {
			continue
		}
		off := 1 + random.IntN(reach)
		if random.IntN(2) == 0 {
			off = -off
		}
		out[i].Key = uint8(min(max(int(out[i].Key)+off, 0), tone.MaxKey))
		out[i].Role, out[i].Outlines = Noise, 0
	}
	return out
}
