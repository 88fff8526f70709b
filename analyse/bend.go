package analyse

import "math/bits"

// A note that is bent or slid by pitch bend into a target a semitone away, before
// the next note of the line, is an approach that resolves within itself. The
// note's key is where it was struck; which way the channel is bent then is taken
// for how the instrument is in tune.
//
// Known wrong answer, accepted: a pickup that sends one note-on for a whole slide
// over several frets gives one note; it is to be set to send each fret.

// bend takes a pitch bend, and tells the open notes that sound on the channels it
// bends which target they reach.
func (a *Analyser) bend(ch, low, high uint8) {
	moved := a.bends.Move(ch, low, high)
	if moved == 0 {
		return
	}
	p := a.song.Find(a.now, a.meter)
	c, _ := a.song.Judged(&p)
	targets := c.Either | c.ChordTone
	for left := moved; left != 0; left &= left - 1 {
		ch := uint8(bits.TrailingZeros16(left))
		a.arrivals.bend(ch, a.bends.Steps(ch), a.now, targets)
		a.docket.Bend(ch, a.bends.Steps(ch), a.now, targets)
	}
}
