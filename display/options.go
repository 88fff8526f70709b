package display

import "shedlight/analyse/tone"

// LeastWidth is the narrowest that a page is written for, in cells.
const LeastWidth = 40

// width is how many cells a line of a page has at the most.
func (o Options) width() int {
	if o.Width == 0 {
		return pageWidth
	}
	return min(max(o.Width, LeastWidth), pageWidth)
}

// Options say how everything in this package writes. The zero value writes
// concert pitch with Unicode signs.
type Options struct {
	// ASCII writes b and # for the accidentals and no other character beyond
	// ASCII. The screen turns it on by itself where the terminal's character
	// set lacks the signs or draws them two cells wide.
	ASCII bool
	// Width is how many cells a line of a page may have, at least LeastWidth; 0 means
	// 80, and no page is laid out for more. The screen knows its own.
	Width int
	// Written is the instrument whose written pitch is shown; the zero value
	// shows concert pitch.
	Written tone.Instrument
}
