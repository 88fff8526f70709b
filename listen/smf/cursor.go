package smf

import "iter"

// Status bytes of what is no channel message.
const (
	StatusSysEx  = 0xF0 // system exclusive
	StatusEscape = 0xF7 // bytes to be sent as they are, or SysEx continued
	StatusMeta   = 0xFF // meta event: Type and Data
)

// Types of meta events.
const (
	MetaText       = 0x01
	MetaTrackName  = 0x03
	MetaInstrument = 0x04
	MetaMarker     = 0x06
	MetaEndOfTrack = 0x2F
	MetaTempo      = 0x51
	MetaMeter      = 0x58
	MetaSpecific   = 0x7F // for one maker of sequencers; Data starts with the maker's number
)

const (
	// maxVarLenBytes is the most a variable-length number may take.
	maxVarLenBytes = 4
	statusBit      = 0x80 // set in a status byte, clear in a data byte
	firstSystem    = 0xF0 // status bytes from here on are no channel messages
)

// Event is one event of a track as it stands in the file.
type Event struct {
	Tick    int64   // in the file's own ticks, from the start of the file
	Offset  int64   // of its status, or of its first data byte under running status
	End     int64   // of what follows the event
	Status  uint8   // a channel message's status byte, or one of the Status constants
	Running bool    // the status byte is left out in the file
	Type    uint8   // of a meta event
	Bytes   [2]byte // the data bytes of a channel message
	Data    []byte  // of a meta event or SysEx; part of the file, not to be changed
}

// Events walks a track of the file. The end of track is no event: it is the
// track's End.
func (f *File) Events(t *Track) iter.Seq[Event] {
	return func(yield func(Event) bool) {
		c := f.cursor(t)
		for {
			e, ok := c.next()
			if !ok || !yield(e) {
				return
			}
		}
	}
}

func (f *File) cursor(t *Track) cursor {
	return cursor{data: f.data[:t.limit], pos: int(t.Offset), tick: t.base, maxTick: f.Division.maxTick()}
}

// cursor decodes a track event by event.
type cursor struct {
	data    []byte // the file up to the end of the track
	pos     int
	tick    int64
	maxTick int64
	running uint8 // the last channel status, 0 before the first
	ended   bool  // the end of track was read
	broken  bool  // the rest of the track is left out, and that is reported
	damage  *damageList
}

// stop reports damage behind which the track cannot be read.
func (c *cursor) stop(offset int, format string, args ...any) {
	c.broken = true
	c.damage.add(offset, format, args...)
}

// next returns the next event; false at the end of the track or of what can be
// read of it.
func (c *cursor) next() (Event, bool) {
	for c.pos < len(c.data) && !c.ended && !c.broken {
		at := c.pos
		delta, ok := c.varLen("a delta time")
		if !ok {
			break
		}
		if c.tick+delta > c.maxTick {
			c.stop(at, "a tick beyond %d: the rest of the track is left out", c.maxTick)
			break
		}
		c.tick += delta
		status, running, ok := c.status()
		if !ok {
			break
		}
		var e Event
		at = c.pos
		if !running {
			at--
		}
		switch {
		case status < firstSystem:
			e, ok = c.channel(status)
		case status == StatusMeta:
			e, ok = c.meta()
		case status == StatusSysEx || status == StatusEscape:
			e.Data, ok = c.block("SysEx")
		default:
			c.illegal(status)
			ok = false
		}
		if !ok {
			continue
		}
		e.Tick, e.Offset, e.End, e.Status, e.Running = c.tick, int64(at), int64(c.pos), status, running
		return e, true
	}
	return Event{}, false
}

// status reads a status byte, or finds the one that is running.
func (c *cursor) status() (status uint8, running, ok bool) {
	if c.pos == len(c.data) {
		c.stop(c.pos, "the track ends after a delta time")
		return 0, false, false
	}
	at := c.pos
	if c.data[at] < statusBit {
		if c.running != 0 {
			return c.running, true, true
		}
		for c.pos < len(c.data) && c.data[c.pos] < statusBit {
			c.pos++
		}
		c.damage.add(at, "data byte %#02x with no status before it: %d bytes left out", c.data[at], c.pos-at)
		if c.pos == len(c.data) {
			c.broken = true
			return 0, false, false
		}
	}
	status = c.data[c.pos]
	c.pos++
	return status, false, true
}

// messageLength returns the number of data bytes of a message (MIDI 1.0).
func messageLength(status uint8) int {
	switch status & 0xF0 {
	case 0xC0, 0xD0:
		return 1
	case 0xF0:
		switch status {
		case 0xF1, 0xF3: // time code quarter frame, song select
			return 1
		case 0xF2: // song position
			return 2
		}
		return 0
	}
	return 2
}

func (c *cursor) channel(status uint8) (Event, bool) {
	c.running = status
	at, n := c.pos, messageLength(status)
	if len(c.data)-at < n {
		c.stop(at, "the track ends within a message")
		return Event{}, false
	}
	c.pos += n
	var bytes [2]byte
	copy(bytes[:], c.data[at:c.pos])
	for i, b := range bytes {
		if b >= statusBit {
			c.damage.add(at+i, "data byte %#02x, expected 0 to 127: message left out", b)
			return Event{}, false
		}
	}
	return Event{Bytes: bytes}, true
}

func (c *cursor) meta() (Event, bool) {
	at := c.pos - 1
	if c.pos == len(c.data) {
		c.stop(at, "the track ends within a meta event")
		return Event{}, false
	}
	kind := c.data[c.pos]
	c.pos++
	data, ok := c.block("a meta event")
	if !ok {
		return Event{}, false
	}
	if kind == MetaEndOfTrack {
		c.ended = true
		return Event{}, false
	}
	return Event{Type: kind, Data: data}, true
}

// block reads a length and that many bytes.
func (c *cursor) block(what string) ([]byte, bool) {
	at := c.pos
	length, ok := c.varLen("a length")
	if !ok {
		return nil, false
	}
	if left := len(c.data) - c.pos; length > int64(left) {
		c.stop(at, "%s of %d bytes, %d left in the track", what, length, left)
		return nil, false
	}
	start := c.pos
	c.pos += int(length)
	return c.data[start:c.pos:c.pos], true
}

// illegal skips a message that has no place in a file.
func (c *cursor) illegal(status uint8) {
	c.damage.add(c.pos-1, "status byte %#02x has no place in a file: message left out", status)
	for n := messageLength(status); n > 0 && c.pos < len(c.data) && c.data[c.pos] < statusBit; n-- {
		c.pos++
	}
}

// varLen reads a variable-length number: seven bits a byte, the top bit set in
// all but the last, four bytes at most.
func (c *cursor) varLen(what string) (int64, bool) {
	value := int64(0)
	for i := range maxVarLenBytes {
		if c.pos+i >= len(c.data) {
			c.stop(c.pos, "the track ends within %s", what)
			return 0, false
		}
		b := c.data[c.pos+i]
		value = value<<7 | int64(b&0x7F)
		if b < statusBit {
			c.pos += i + 1
			return value, true
		}
	}
	c.stop(c.pos, "%s of more than %d bytes: the rest of the track is left out", what, maxVarLenBytes)
	return 0, false
}
