package sound

import (
	"bufio"
	"encoding/binary"
	"io"
	"time"
)

// Kind says what a command asks for.
type Kind uint8

const (
	// Epoch: the session's time 0 is At after 1 January 1970 UTC on the wall
	// clock. It comes first: both processes read that clock at the start, once,
	// and from then on each counts by itself, so that a clock that is set moves
	// nothing.
	Epoch Kind = iota + 1
	// Strike: Voice sounds Key with Velocity from At on, for For at most.
	Strike
	// Forget: what has not begun by At does not begin, and what is held then is
	// let go.
	Forget
	// Quiet: everything is let go at once, and nothing that was asked for begins.
	Quiet
	// Volume: Velocity is the level from now on, 0 to MaxLevel.
	Volume
	// Hold: what Voice has begun of Key before At is held for For after it. It comes
	// behind a Forget of the same time, for what goes on all the same.
	Hold
)

// Voice is what sounds.
type Voice uint8

const (
	Click Voice = iota + 1
	Blip        // the answer to something the player asked for
	Bass
	Piano
)

const (
	// MaxLevel is the loudest of the volume's steps; 0 is silence.
	MaxLevel = 10
	// DefaultLevel is low: nobody's first sound is loud.
	DefaultLevel = 4
	// LongestStrike bounds For.
	LongestStrike = 65 * time.Second
)

// Command is one thing that the session asks of the sound process. Times are to
// the microsecond, since the session's time 0.
type Command struct {
	Kind     Kind
	Voice    Voice
	Key      uint8 // 0 to 127, as in MIDI, for clicks and blips too
	Velocity uint8 // 1 to 127, or the level
	For      time.Duration
	At       time.Duration
}

// A command on the pipe has a fixed size, under that of any system's atomic
// write. Both ends are the same program, so there is no version; the mark and the
// check tell what is no command.
const (
	commandSize = 16
	commandMark = 0xB5
)

// encode appends the command's bytes: mark, kind, voice, key, velocity, check,
// two bytes of milliseconds, eight of microseconds, low ones first.
func (c Command) encode(b []byte) []byte {
	start := len(b)
	b = append(b, commandMark, byte(c.Kind), byte(c.Voice), c.Key, c.Velocity, 0)
	b = binary.LittleEndian.AppendUint16(b, uint16(c.For.Milliseconds()))
	b = binary.LittleEndian.AppendUint64(b, uint64(c.At.Microseconds()))
	b[start+checkAt] = check(b[start:])
	return b
}

const checkAt = 5

// check is what makes all bytes of a command together 0.
func check(b []byte) byte {
	sum := byte(0)
	for i, v := range b[:commandSize] {
		if i != checkAt {
			sum += v
		}
	}
	return -sum
}

// decode reads one command. ok is false where the bytes are none.
func decode(b []byte) (c Command, ok bool) {
	if b[0] != commandMark || b[checkAt] != check(b) {
		return c, false
	}
	at := int64(binary.LittleEndian.Uint64(b[8:])) // in microseconds: as a Duration it may overflow
	if at > latest.Microseconds() || at < -latest.Microseconds() {
		return c, false
	}
	c = Command{
		Kind: Kind(b[1]), Voice: Voice(b[2]), Key: b[3], Velocity: b[4],
		For: time.Duration(binary.LittleEndian.Uint16(b[6:])) * time.Millisecond,
		At:  time.Duration(at) * time.Microsecond,
	}
	return c, c.valid()
}

// latest bounds At on both sides of 1970; 290 years would overflow.
const latest time.Duration = 100 * 365 * 24 * time.Hour

func (c Command) valid() bool {
	if c.At > latest || c.At < -latest {
		return false
	}
	switch c.Kind {
	case Epoch, Forget, Quiet:
		return true
	case Volume:
		return c.Velocity <= MaxLevel
	case Strike, Hold:
		return c.Voice >= Click && c.Voice <= Piano && c.Key < 128 && (c.Velocity > 0 || c.Kind == Hold) && c.Velocity < 128
	}
	return false
}

// reader reads commands from a pipe. What is none is skipped byte by byte until
// there is one again, and counted.
type reader struct {
	pipe    *bufio.Reader
	garbled int // bytes
}

func newReader(pipe io.Reader) *reader { return &reader{pipe: bufio.NewReader(pipe)} }

// next returns the next command; the error is the pipe's, of which the end is one.
func (r *reader) next() (Command, error) {
	for {
		b, err := r.pipe.Peek(commandSize)
		if err != nil {
			return Command{}, err
		}
		c, ok := decode(b)
		skip := commandSize
		if !ok {
			skip = 1
			r.garbled++
		}
		if _, err := r.pipe.Discard(skip); err != nil || ok {
			return c, err
		}
	}
}
