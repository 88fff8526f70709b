// Package linegen improvises lines over changes: seeded, stylistically proper
// eighth-note lines that a judge of lines can be held against. It knows what
// players practise and nothing of how lines are judged.
//
// # How a line is made
//
// What follows is common practice, as it is taught for sixth-diminished scales
// and for single-note lines in general.
//
//   - Time is a grid: two notes to a beat, three in a compound meter. Phrases
//     of one to three bars stand between rests; now and then there is a triplet,
//     a quarter note, a grace note.
//   - A phrase is a string of figures. A run goes up or down the active scale,
//     starting on a tone of its home half on the beat. An arpeggio walks
//     through a chord of the scale's family: the home sixth chord or the chord
//     with the seventh, moved up to any of the eight tones. What comes next
//     begins a step away from where the last figure stopped.
//   - Tones of the chord are approached: by a semitone from below or above, by
//     two semitones in a row from one side, by an enclosure of two or three
//     tones. The goal stands on the beat. Between tones a whole step apart the
//     line may pass chromatically, and a tone may be left for its lower
//     neighbour and come back.
//   - Changes are crossed by a step or a half step, to the home half where both
//     are possible; or the new chord is anticipated by half a beat and held
//     over; or its tone is approached.
//   - A phrase ends on a tone of the chord.
//   - A performance swings a little, comes a little late, and wavers.
//
// The scale is the one of the view at the place where the note stands; where
// there is none (N.C.) nothing is played.
package linegen

import (
	"math/rand/v2"

	"shedlight/analyse/changes"
	"shedlight/analyse/song"
	"shedlight/analyse/tone"
)

// Role is what a note is there for.
type Role string

const (
	Run             Role = "run"
	Arpeggio        Role = "arpeggio"
	ChordTone       Role = "chord tone" // a goal, a quarter note, the end of a phrase
	Chromatic       Role = "chromatic"  // a semitone before its goal
	DoubleChromatic Role = "double chromatic"
	Enclosure       Role = "enclosure"
	Passing         Role = "passing"
	Neighbour       Role = "neighbour"
	Push            Role = "push"
	Grace           Role = "grace"
	Noise           Role = "noise" // a wrong key put in by Spoil
)

// Note is one note of a line, with what it was meant to be.
type Note struct {
	Tick     int64 // onset: 960 to the quarter note, song tick 0 is tick 0
	Length   int64 // ticks, at least 1
	Key      uint8
	Velocity uint8 // 1 to 127
	Role     Role
	Figure   int      // counts the figures from 0; the notes of one share it
	Outlines tone.Set // the family chord that an arpeggio walks through; else empty
}

// The keys between which a line keeps turning back: G3 to C6, where most
// instruments can play. A figure under way may reach a fifth beyond.
const (
	lowest  = 55
	highest = 84
)

// Line improvises over whole choruses of a chart and returns the notes in order
// of onset, one at a time, never two at once. The same arguments always give
// the same line.
func Line(t *changes.Timeline, view song.View, seed uint64, choruses int) []Note {
	return Faulty(t, view, seed, choruses, NoFault)
}

func newPlayer(t *changes.Timeline, view song.View, seed uint64, choruses int, fault Fault) *player {
	p := &player{
		random: rand.New(rand.NewPCG(seed, uint64(view))),
		grid:   newGrid(t, view, choruses),
		figure: -1,
		fault:  fault,
	}
	if fault == DimOnBeat {
		for i := range p.grid {
			p.grid[i] = p.grid[i].turned()
		}
	}
	p.key = lowest + p.random.IntN(highest-lowest)
	return p
}

func (p *player) line() []Note {
	for p.at < len(p.grid) {
		p.phrase()
	}
	return p.perform()
}
