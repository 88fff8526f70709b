package instrument

import "math/bits"

// A channel bends by the range that its sender sets with registered parameter 0,
// and by two semitones where none is set (MIDI 1.0 Detailed Specification,
// Registered Parameter Numbers; General MIDI System Level 1).
//
// Many channels can play one instrument, a note each, so that each note is bent by
// itself: a zone, which registered parameter 6 makes on channel 1, of the channels
// above it, or on channel 16, of those below. A note is bent by its own channel, up
// to 48 semitones where no range is set, and by the zone's manager, the channel the
// zone was made on. A range set on one of its channels holds for all but the manager
// (MIDI Polyphonic Expression, version 1.0, MPE Configuration Message and Pitch
// Bend; from memory).

// The controllers of registered parameters (MIDI 1.0).
const (
	dataCoarse, dataFine       = 6, 38
	otherFine, otherCoarse     = 98, 99 // of parameters that are not registered
	parameterFine, paramCoarse = 100, 101
	noParameter                = 127

	bendRange = 0 // parameters by their lower half; the upper one is 0
	zoneSize  = 6
)

const (
	semitone   = 100 // cents
	bendCentre = 1 << 13
	usualRange = 2 * semitone
	zoneRange  = 48 * semitone

	lowManager, highManager = 0, Channels - 1
)

// Bends is how far each channel is bent, and which of them play one instrument.
type Bends struct {
	channels [Channels]bend
	manager  [Channels]uint8 // of the channel's zone; itself in none
}

// bend is a channel as it is bent by itself.
type bend struct {
	span         int64 // how far it can be, in cents
	value        int64 // from -bendCentre to bendCentre-1
	fine, coarse uint8 // the parameter that is chosen
}

// NewBends returns channels that are not bent, each an instrument.
func NewBends() (b Bends) {
	for ch := range uint8(Channels) {
		b.channels[ch] = bend{span: usualRange, fine: noParameter, coarse: noParameter}
		b.manager[ch] = ch
	}
	return b
}

// Steps is how many semitones the notes of a channel are bent, rounded to whole ones.
func (b *Bends) Steps(ch uint8) int {
	scaled := b.channels[ch].scaled()
	if m := b.manager[ch]; m != ch {
		scaled += b.channels[m].scaled()
	}
	const whole = bendCentre * semitone
	if scaled < 0 {
		return -int((-scaled + whole/2) / whole)
	}
	return int((scaled + whole/2) / whole)
}

// scaled is the bend in cents, times bendCentre.
func (b *bend) scaled() int64 { return b.value * b.span }

// Control takes a controller. Registered parameter 0 sets the range, 6 makes or ends
// a zone.
func (b *Bends) Control(ch, number, value uint8) {
	c := &b.channels[ch]
	switch number {
	case parameterFine:
		c.fine = value
	case paramCoarse:
		c.coarse = value
	case otherFine, otherCoarse:
		c.fine, c.coarse = noParameter, noParameter
	case dataCoarse, dataFine:
		switch {
		case c.coarse != 0:
		case c.fine == bendRange:
			b.setRange(ch, number, value)
		case c.fine == zoneSize && number == dataCoarse && (ch == lowManager || ch == highManager):
			b.setZone(ch, value)
		}
	case resetControllers:
		c.value = 0
	}
}

// setRange sets half of the range of a channel, or of all that play one instrument
// with it.
func (b *Bends) setRange(ch, number, value uint8) {
	span := b.channels[ch].span
	if number == dataCoarse {
		span = int64(value)*semitone + span%semitone
	} else {
		span += int64(min(value, semitone-1)) - span%semitone
	}
	b.channels[ch].span = span
	if manager := b.manager[ch]; manager != ch {
		for other := range b.channels {
			if b.manager[other] == manager && other != int(manager) {
				b.channels[other].span = span
			}
		}
	}
}

// setZone makes a zone of a manager and a number of channels beside it, or ends it
// where that is 0. Channels are taken from the other zone where the two meet.
func (b *Bends) setZone(manager, size uint8) {
	b.endZone(manager)
	if size == 0 {
		return
	}
	b.channels[manager].span, b.channels[manager].value = usualRange, 0
	b.manager[manager] = manager
	for i := uint8(1); i <= min(size, Channels-1); i++ {
		ch := manager + i
		if manager == highManager {
			ch = manager - i
		}
		if ch == lowManager || ch == highManager {
			b.endZone(ch) // the manager itself is taken
		}
		b.manager[ch] = manager
		b.channels[ch].span, b.channels[ch].value = zoneRange, 0
	}
}

// endZone makes the channels of a zone instruments of their own again.
func (b *Bends) endZone(manager uint8) {
	for ch := range uint8(Channels) {
		if b.manager[ch] == manager && ch != manager {
			b.manager[ch] = ch
			b.channels[ch].span, b.channels[ch].value = usualRange, 0
		}
	}
}

// Led returns the channels that a controller of a channel is for: the channel itself,
// and all of a zone where it is the manager. A bit each.
func (b *Bends) Led(ch uint8) (set uint16) {
	for other, m := range b.manager {
		if m == ch {
			set |= 1 << other
		}
	}
	return set | 1<<ch
}

// Zoned returns the channels that play an instrument together with others, a bit
// each.
func (b *Bends) Zoned() (set uint16) {
	for ch, m := range b.manager {
		if int(m) != ch {
			set |= 1<<ch | 1<<m
		}
	}
	return set
}

// Move takes a pitch bend message by its two data bytes, the low one first, and
// returns the channels whose notes are bent by another number of semitones now, a
// bit each.
func (b *Bends) Move(ch, low, high uint8) (moved uint16) {
	before := *b
	b.channels[ch].value = int64(high)<<7 + int64(low) - bendCentre
	for left := b.Led(ch); left != 0; left &= left - 1 {
		if other := uint8(bits.TrailingZeros16(left)); b.Steps(other) != before.Steps(other) {
			moved |= 1 << other
		}
	}
	return moved
}
