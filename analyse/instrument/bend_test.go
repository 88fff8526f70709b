package instrument_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"shedlight/analyse/instrument"
)

// set chooses registered parameter n of a channel and sets the upper half of its
// value (MIDI 1.0 Detailed Specification, Registered Parameter Numbers).
func set(b *instrument.Bends, ch, n, value uint8) {
	b.Control(ch, 101, 0)
	b.Control(ch, 100, n)
	b.Control(ch, 6, value)
}

const (
	bendRange     = 0 // registered parameters
	tuning        = 1
	configuration = 6 // MIDI Polyphonic Expression 1.0, MPE Configuration Message
)

// steps bends a channel all the way up and says what its notes do.
func steps(b *instrument.Bends, ch uint8) int {
	b.Move(ch, 127, 127)
	n := b.Steps(ch)
	b.Move(ch, 0, 64)
	return n
}

func all(b *instrument.Bends) (n [instrument.Channels]int) {
	for ch := range n {
		n[ch] = steps(b, uint8(ch))
	}
	return n
}

func channels(list ...int) (set uint16) {
	for _, ch := range list {
		set |= 1 << (ch - 1)
	}
	return set
}

// The ranges of a zone's channels where none is set: 48 semitones, and two for its
// manager (MIDI Polyphonic Expression 1.0, Pitch Bend; from memory).
func TestZones(t *testing.T) {
	for name, test := range map[string]struct {
		make  func(b *instrument.Bends)
		want  [instrument.Channels]int
		zoned uint16
	}{
		"none": {func(*instrument.Bends) {},
			[...]int{2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2}, 0},
		"lower, with channel 10": {func(b *instrument.Bends) { set(b, 0, configuration, 15) },
			[...]int{2, 48, 48, 48, 48, 48, 48, 48, 48, 48, 48, 48, 48, 48, 48, 48}, 0xFFFF},
		"lower, of five": {func(b *instrument.Bends) { set(b, 0, configuration, 5) },
			[...]int{2, 48, 48, 48, 48, 48, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2}, channels(1, 2, 3, 4, 5, 6)},
		"upper, of three": {func(b *instrument.Bends) { set(b, 15, configuration, 3) },
			[...]int{2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 48, 48, 48, 2}, channels(13, 14, 15, 16)},
		"both": {func(b *instrument.Bends) { set(b, 0, configuration, 2); set(b, 15, configuration, 1) },
			[...]int{2, 48, 48, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 48, 2}, channels(1, 2, 3, 15, 16)},
		"the later one takes what it needs": {func(b *instrument.Bends) { set(b, 15, configuration, 15); set(b, 0, configuration, 3) },
			[...]int{2, 48, 48, 48, 48, 48, 48, 48, 48, 48, 48, 48, 48, 48, 48, 2}, 0xFFFF},
		"ended": {func(b *instrument.Bends) { set(b, 0, configuration, 7); set(b, 0, configuration, 0) },
			[...]int{2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2}, 0},
		"made smaller": {func(b *instrument.Bends) { set(b, 0, configuration, 15); set(b, 0, configuration, 1) },
			[...]int{2, 48, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2}, channels(1, 2)},
		"on no manager's channel": {func(b *instrument.Bends) { set(b, 3, configuration, 7) },
			[...]int{2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2}, 0},
		"another parameter": {func(b *instrument.Bends) { set(b, 0, tuning, 7) },
			[...]int{2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2}, 0},
		"the range of one is that of all but the manager": {func(b *instrument.Bends) {
			set(b, 0, configuration, 3)
			set(b, 2, bendRange, 12)
		}, [...]int{2, 12, 12, 12, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2}, channels(1, 2, 3, 4)},
		"the manager's range is its own": {func(b *instrument.Bends) {
			set(b, 0, configuration, 3)
			set(b, 0, bendRange, 7)
		}, [...]int{7, 48, 48, 48, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2, 2}, channels(1, 2, 3, 4)},
	} {
		t.Run(name, func(t *testing.T) {
			b := instrument.NewBends()
			test.make(&b)
			assert.Equal(t, test.want, all(&b))
			assert.Equal(t, test.zoned, b.Zoned())
		})
	}
}

// A manager bends every note of its zone, on top of the note's own bend.
func TestAManagerBendsItsZone(t *testing.T) {
	b := instrument.NewBends()
	set(&b, 0, configuration, 2)
	assert.Equal(t, channels(1, 2, 3), b.Led(0))
	assert.Equal(t, channels(2), b.Led(1))
	assert.Equal(t, channels(1, 2, 3), b.Move(0, 127, 127))
	assert.Equal(t, channels(2), b.Move(1, 0, 96)) // half of 48 up
	assert.Equal(t, []int{2, 26, 2, 0}, []int{b.Steps(0), b.Steps(1), b.Steps(2), b.Steps(3)})
	assert.Equal(t, channels(1, 2, 3), b.Move(0, 0, 0))
	assert.Equal(t, []int{-2, 22, -2, 0}, []int{b.Steps(0), b.Steps(1), b.Steps(2), b.Steps(3)})
	assert.Zero(t, b.Move(1, 1, 96), "less than a semitone")
}
