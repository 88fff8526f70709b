// Package fate finds what became of a note outside the scale. It is the table of
// rules and what they look at: the notes beside a note, the changes beside it, and
// the scales in which its chord can be heard.
package fate

import "shedlight/analyse/harmony"

// Fate is what became of a note outside the scale.
type Fate uint8

const (
	None Fate = iota // the note is on the scale, or there is none
	Pending
	Glitch
	Ornament
	Written
	Pedal
	Push
	Late
	Enclosure
	DoubleChromatic
	Passing
	Neighbour
	Approach
	Colour
	Sub
	Blue
	Unresolved
	Kinds // how many there are
)

var names = [Kinds]string{
	"", "pending", "glitch", "ornament", "written", "pedal", "push", "late", "enclosure",
	"double-chromatic", "passing", "neighbour", "approach", "colour", "sub", "blue", "unresolved",
}

// String prints the fate as the contract names it.
func (f Fate) String() string { return names[f] }

// Verdict is what became of a note, and what settled it.
type Verdict struct {
	Fate  Fate
	By    int64         // the note that settled it; -1 for none
	Scale harmony.Scale // of a Sub: the scale that holds the note
	Kind  string        // of a Sub: the kind of the chord that was heard in it

	Colour string // of a Colour: what it is over its chord, "13"
}
