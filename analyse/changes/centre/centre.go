// Package centre finds the key centres of a tune: the few stretches that an
// improviser names before playing.
package centre

import (
	"shedlight/analyse/harmony"
	"shedlight/analyse/tone"
)

// Mode is the kind of a key centre.
type Mode uint8

const (
	Major Mode = iota
	Minor
	Blues
)

// String prints the mode as in "Bb major".
func (m Mode) String() string { return [...]string{"major", "minor", "blues"}[m] }

// Centre is a key centre: a tonic and a mode.
type Centre struct {
	Tonic tone.Name
	Mode  Mode
}

// String prints the centre: "Bb major", "C minor", "F blues".
func (c Centre) String() string { return c.Tonic.String() + " " + c.Mode.String() }

// Scale returns the scale of the key view: major sixth-diminished on a major
// or blues tonic, minor sixth-diminished on a minor one.
func (c Centre) Scale() harmony.Scale {
	if c.Mode == Minor {
		return harmony.NewScale(harmony.MinorSixth, c.Tonic)
	}
	return harmony.NewScale(harmony.MajorSixth, c.Tonic)
}
