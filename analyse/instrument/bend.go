package instrument

// A channel bends by the range that its sender sets with registered parameter 0,
// and by two semitones where none is set (MIDI 1.0 Detailed Specification,
// Registered Parameter Numbers; General MIDI System Level 1).

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

// Bend is how far a channel is bent.
type Bend struct {
	span         int64 // how far it can be, in cents
	value        int64 // from -bendCentre to bendCentre-1
	fine, coarse uint8 // the parameter that is chosen
}

// NewBend returns a channel that is not bent.
func NewBend() Bend { return Bend{span: usualRange, fine: noParameter, coarse: noParameter} }

// Steps is how many semitones the channel is bent, rounded to whole ones.
func (b *Bend) Steps() int {
	cents := b.value * b.span
	const whole = bendCentre * semitone
	if cents < 0 {
		return -int((-cents + whole/2) / whole)
	}
	return int((cents + whole/2) / whole)
}

// Control takes a controller: the range is set by registered parameter 0.
func (b *Bend) Control(number, value uint8) {
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

// Move takes a pitch bend message by its two data bytes, the low one first, and
// reports whether the channel is bent by another number of semitones now.
func (b *Bend) Move(low, high uint8) (moved bool) {
	before := b.Steps()
	b.value = int64(high)<<7 + int64(low) - bendCentre
	return b.Steps() != before
}
