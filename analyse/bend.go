package analyse

import "shedlight/analyse/tone"

// A note that is bent or slid by pitch bend into a target a semitone away, before
// the next note of the line, is an approach that resolves within itself. The
// note's key is where it was struck; which way the channel is bent then is taken
// for how the instrument is in tune.
//
// A channel bends by the range that its sender sets with registered parameter 0,
// and by two semitones where none is set (MIDI 1.0 Detailed Specification,
// Registered Parameter Numbers; General MIDI System Level 1).
//
// Known wrong answer, accepted: a pickup that sends one note-on for a whole slide
// over several frets gives one note; it is to be set to send each fret.

// The controllers of registered parameters (MIDI 1.0).
const (
	dataCoarse, dataFine       = 6, 38
	otherFine, otherCoarse     = 98, 99 // of parameters that are not registered
	parameterFine, paramCoarse = 100, 101
	noParameter                = 127
)

const (
	semitone   = 100 // cents
	bendCentre = 1 << 13
	usualRange = 2 * semitone
)

// bender is how far a channel is bent.
type bender struct {
	span         int64 // how far it can be, in cents
	value        int64 // from -bendCentre to bendCentre-1
	fine, coarse uint8 // the parameter that is chosen
}

func newBender() bender { return bender{span: usualRange, fine: noParameter, coarse: noParameter} }

// steps is how many semitones the channel is bent, rounded to whole ones.
func (b *bender) steps() int {
	cents := b.value * b.span
	const whole = bendCentre * semitone
	if cents < 0 {
		return -int((-cents + whole/2) / whole)
	}
	return int((cents + whole/2) / whole)
}

// control takes a controller: the range is set by registered parameter 0.
func (b *bender) control(number, value uint8) {
	switch number {
	case parameterFine:
		b.fine = value
	case paramCoarse:
		b.coarse = value
	case otherFine, otherCoarse:
		b.fine, b.coarse = noParameter, noParameter
	case dataCoarse:
		if b.fine == 0 && b.coarse == 0 {
			b.span = int64(value)*semitone + b.span%semitone
		}
	case dataFine:
		if b.fine == 0 && b.coarse == 0 {
			b.span += int64(min(value, semitone-1)) - b.span%semitone
		}
	case resetControllers:
		b.value = 0
	}
}

// bend takes a pitch bend, and tells the open notes of the channel that sound
// which target they reach.
func (a *Analyser) bend(ch, low, high uint8) {
	b := &a.bends[ch]
	before := b.steps()
	b.value = int64(high)<<7 + int64(low) - bendCentre
	now := b.steps()
	if now == before {
		return
	}
	p := a.song.find(a.now, a.meter)
	c := &a.song.contexts[a.song.judged(&p)]
	targets := c.set | c.chordTone
	for i := a.arrivals.head; i < len(a.arrivals.items); i++ {
		if w := &a.arrivals.items[i]; w.off == stillDown {
			w.claim.bend(ch, now, w.key, a.now, targets)
		}
	}
	for i := range a.open {
		if o := &a.open[i]; o.off == stillDown && o.claim.bend(ch, now, o.key, a.now, targets) {
			o.askAgain(a.now)
		}
	}
}

// bend notes that a note which was struck on a channel sounds so many semitones
// away now, and reports whether that is the first target a semitone away.
func (c *claim) bend(ch uint8, steps, key int, tick int64, targets tone.Set) bool {
	to := steps - c.steps
	if c.channel != ch || c.bent || apart(to, 0) != 1 || !targets.Has(tone.ClassOf(key+to)) {
		return false
	}
	c.bent, c.bentAt = true, tick
	return true
}
