package song

import (
	"shedlight/analyse/timebase"
	"shedlight/analyse/tone"
)

// The parts of a beat, in tenths, in which an early note is a push: more than a
// tenth, which is simply early, and up to six, as an off-beat swung late comes
// (this project's own).
const pushLeast, pushMost = 1, 6

// CanPush reports whether the change of chord after p is so near that a note there
// is played ahead of it.
func (p *Position) CanPush() bool { return p.Left*timebase.Tenths <= pushMost*p.BeatTicks }

// Pushes returns the tick of the change that a note of a class at p may push: it
// is a home tone of the scale to come, of either view, or a tone of the chord to
// come, more than a tenth and up to six tenths of a beat ahead. 0: none. next is what
// follows at p.
func (p *Position) Pushes(next *Context, class tone.Class, now int64) int64 {
	if next == nil || p.Left*timebase.Tenths <= pushLeast*p.BeatTicks || !p.CanPush() || !next.Rests(class) {
		return 0
	}
	return now + p.Left
}

// Rests reports whether a class is at rest here: a home tone of the scale of either
// view or a tone of the chord.
func (c *Context) Rests(class tone.Class) bool { return c.Settled.Has(class) }

// PushHeld returns the tick until which a note that pushes a change must be held.
func PushHeld(change, beatTicks int64) int64 { return change + beatTicks/timebase.Tenths }

// GraceMicros is how long before its main note a grace note comes at most, in
// microseconds.
const GraceMicros = 90_000
