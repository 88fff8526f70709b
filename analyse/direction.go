package analyse

import (
	"shedlight/analyse/harmony"
	"shedlight/analyse/instrument"
	"shedlight/analyse/song"
)

// direction says of every note whether the line rises to it, which decides how a
// tone outside the scale is written. The line is what the right hand strikes,
// in order: which of these keys are chords is not known yet when a note is named.
type direction struct {
	struck bool  // there is a note before
	before uint8 // its key
	rising bool  // to it
	rose   [instrument.KeyCount]bool
}

// to goes on to the next note. A repeated note is written as it was, and the first,
// like every note of the left hand, as if the line fell.
func (d *direction) to(key uint8, left bool) {
	if left {
		d.rose[key] = false
		return
	}
	if d.struck && key != d.before {
		d.rising = key > d.before
	}
	d.struck, d.before = true, key
	d.rose[key] = d.rising
}

// names returns how a key is written over a chord, as it was last struck.
func (d *direction) names(c *song.Context, key uint8) *harmony.Spelling {
	if d.rose[key] {
		return &c.Rising
	}
	return &c.Name
}
