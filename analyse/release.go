package analyse

import "shedlight/analyse/instrument"

// A note has two ends. Its key goes up, which ends it for the phrase: a pianist
// breathes with the hands, not with the foot. And it stops sounding, then or when
// the sustain pedal goes up after that, which is what counts where a tone is held:
// over a change, as a pedal point, as the note that a grace note leads to.

// keyUp releases a key.
func (a *Analyser) keyUp(ch, key uint8) {
	if a.keys.Down(ch, key) {
		a.keyEnds(ch, key)
		if !a.keys.Pedal(ch) {
			a.soundEnds(ch, key)
		}
	}
	a.keys.NoteOff(ch, key)
}

// struckAgain ends the note of a key that is struck.
func (a *Analyser) struckAgain(ch, key uint8) {
	if a.keys.Down(ch, key) {
		a.keyEnds(ch, key)
	}
	if a.keys.Sound(ch, key) {
		a.soundEnds(ch, key)
	}
}

// control takes a controller: the sustain pedal, and those that end notes.
func (a *Analyser) control(ch, number, value uint8) {
	if instrument.EndsNotes(number) {
		a.keysUp(ch)
	}
	before := a.keys.Sounding(ch)
	a.keys.Control(ch, number, value)
	before.Each(func(key uint8) {
		if !a.keys.Sound(ch, key) {
			a.soundEnds(ch, key)
		}
	})
}

// releaseAll ends everything.
func (a *Analyser) releaseAll() {
	for ch := range uint8(instrument.Channels) {
		a.keysUp(ch)
		a.keys.Sounding(ch).Each(func(key uint8) { a.soundEnds(ch, key) })
	}
	a.keys = instrument.Keys{}
}

// keysUp releases every key of a channel.
func (a *Analyser) keysUp(ch uint8) {
	a.keys.Held(ch).Each(func(key uint8) { a.keyEnds(ch, key) })
}

// keyEnds notes that a key that is down goes up.
func (a *Analyser) keyEnds(ch, key uint8) {
	n := a.lastOn[ch][key]
	if w := a.arrivals.byNumber(n); w != nil {
		w.Up = min(w.Up, a.now)
		return
	}
	a.lines.melody.Released(n, a.now)
	a.melody.phrases.Released(n, a.now)
}

// soundEnds notes that a key's note stops sounding.
func (a *Analyser) soundEnds(ch, key uint8) {
	n, tick := a.lastOn[ch][key], a.now
	if w := a.arrivals.byNumber(n); w != nil {
		w.off = min(w.off, tick)
		return
	}
	a.pedal.ended(n, tick)
	a.lines.melody.Ended(n, tick)
	a.docket.Ended(n, tick)
}
