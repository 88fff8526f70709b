package analyse

// A note that is bent or slid by pitch bend into a target a semitone away, before
// the next note of the line, is an approach that resolves within itself. The
// note's key is where it was struck; which way the channel is bent then is taken
// for how the instrument is in tune.
//
// Known wrong answer, accepted: a pickup that sends one note-on for a whole slide
// over several frets gives one note; it is to be set to send each fret.

// bend takes a pitch bend, and tells the open notes of the channel that sound
// which target they reach.
func (a *Analyser) bend(ch, low, high uint8) {
	b := &a.bends[ch]
	if !b.Move(low, high) {
		return
	}
	p := a.song.Find(a.now, a.meter)
	c := &a.song.Contexts[a.song.Judged(&p)]
	targets := c.Either | c.ChordTone
	a.arrivals.bend(ch, b.Steps(), a.now, targets)
	a.docket.Bend(ch, b.Steps(), a.now, targets)
}
