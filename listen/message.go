package listen

import "shedlight/analyse"

const (
	statusBit     = 0x80 // set in a status byte, clear in a data byte
	systemStatus  = 0xF0 // from here on a message has no channel
	activeSensing = 0xFE
	channelBits   = 0x0F
	longest       = 3 // bytes of a channel message

	// noteOffVelocity is what an instrument sends that measures none (MIDI 1.0
	// Detailed Specification, Note-Off).
	noteOffVelocity = 64
	sustainPedal    = 64 // its controller
)

// channelMessage reads a whole channel message, with its status byte, both data
// bytes unaltered. ok is false where it is none: data without a status, data
// bytes too few, too many or out of range.
func channelMessage(b []byte) (e analyse.Event, ok bool) {
	if len(b) == 0 || b[0] < statusBit || b[0] >= systemStatus {
		return e, false
	}
	kind, size := analyse.Kind(0), longest
	switch b[0] &^ channelBits {
	case 0x80:
		kind = analyse.NoteOff
	case 0x90:
		kind = analyse.NoteOn
	case 0xA0:
		kind = analyse.PolyPressure
	case 0xB0:
		kind = analyse.Control
	case 0xC0:
		kind, size = analyse.Program, 2
	case 0xD0:
		kind, size = analyse.ChannelPressure, 2
	case 0xE0:
		kind = analyse.PitchBend
	}
	if len(b) != size || b[1] >= statusBit || b[size-1] >= statusBit {
		return e, false
	}
	e = analyse.Event{Kind: kind, Channel: b[0] & channelBits, Key: b[1]}
	if size == longest {
		e.Velocity = b[2]
	}
	return e, true
}
