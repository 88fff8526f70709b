package analyse

// A note has two ends. Its key goes up, which ends it for the phrase: a pianist
// breathes with the hands, not with the foot. And it stops sounding, then or when
// the sustain pedal goes up after that, which is what counts where a tone is held:
// over a change, as a pedal point, as the note that a grace note leads to.

// keyUp releases a key.
func (a *Analyser) keyUp(ch, key uint8) {
	if a.sounds.down[ch].has(key) {
		a.keyEnds(ch, key)
		if !a.sounds.pedal[ch] {
			a.soundEnds(ch, key)
		}
	}
	a.sounds.noteOff(ch, key)
}

// struckAgain ends the note of a key that is struck.
func (a *Analyser) struckAgain(ch, key uint8) {
	if a.sounds.down[ch].has(key) {
		a.keyEnds(ch, key)
	}
	if a.sounds.has(ch, key) {
		a.soundEnds(ch, key)
	}
}

// control takes a controller: the sustain pedal, and those that end notes.
func (a *Analyser) control(ch, number, value uint8) {
	if number == allSoundOff || number >= allNotesOff {
		a.keysUp(ch)
	}
	before := a.sounds.down[ch]
	before.join(&a.sounds.kept[ch])
	a.sounds.control(ch, number, value)
	before.each(func(key uint8) {
		if !a.sounds.has(ch, key) {
			a.soundEnds(ch, key)
		}
	})
}

// keysUp releases every key of a channel.
func (a *Analyser) keysUp(ch uint8) {
	a.sounds.down[ch].each(func(key uint8) { a.keyEnds(ch, key) })
}

// silence ends every note of a channel.
func (a *Analyser) silence(ch uint8) {
	a.sounds.down[ch].each(func(key uint8) { a.soundEnds(ch, key) })
	a.sounds.kept[ch].each(func(key uint8) { a.soundEnds(ch, key) })
}

// keyEnds notes that a key that is down goes up.
func (a *Analyser) keyEnds(ch, key uint8) {
	n := a.lastOn[ch][key]
	if w := a.arrivals.byNumber(n); w != nil {
		w.up = min(w.up, a.now)
		return
	}
	a.phrases.released(n, a.now)
}

// soundEnds notes that a key's note stops sounding.
func (a *Analyser) soundEnds(ch, key uint8) {
	n, tick := a.lastOn[ch][key], a.now
	if w := a.arrivals.byNumber(n); w != nil {
		w.off = min(w.off, tick)
		return
	}
	a.pedal.ended(n, tick)
	a.line.ended(n, tick)
	for i := range a.open {
		o := &a.open[i]
		if o.n == n && o.off == stillDown {
			o.off = tick
			o.askAgain(tick)
		}
		for j := range o.after[:o.nAfter] {
			if o.after[j].n == n && o.after[j].off == stillDown {
				o.after[j].off = tick
				o.askAgain(tick)
			}
		}
	}
}
