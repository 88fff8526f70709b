package display

import "shedlight/analyse/tone"

// Options say how everything in this package writes. The zero value writes
// concert pitch with Unicode signs.
type Options struct {
	// ASCII writes b and # for the accidentals and no other character beyond
	// ASCII. The screen turns it on by itself where the terminal's character
	// set lacks the signs or draws them two cells wide.
	ASCII bool
	// Written is the instrument whose written pitch is shown; the zero value
	// shows concert pitch.
	Written tone.Instrument
}
