package sound

import (
	"slices"
	"time"

	"shedlight/listen/beat"
)

const (
	// Every is how often a conductor is asked.
	Every = 50 * time.Millisecond
	// ahead is how far it looks: eight times as far, so that a session that is
	// held up for a third of a second is still heard.
	ahead = 400 * time.Millisecond
	// Soonest is how long before it sounds a part must know of a note: a conductor
	// has sent what comes before, and asks once more while the part makes up its mind.
	Soonest = ahead + Every
	// late is by how much a command may come too late and still sound: a beat
	// that is not heard hurts more than one that is late.
	late = 60 * time.Millisecond
	// transit is what a command takes to the sound process, at most: what is due
	// sooner than that, and than the device's buffer, cannot be taken back.
	transit = 30 * time.Millisecond
	// usualBuffer is what a device's buffer holds until it is known.
	usualBuffer = 22 * time.Millisecond
)

// Note is what a part plays.
type Note struct {
	Voice         Voice
	Key, Velocity uint8
	Ticks         int64 // it is held for; 0: it ends by itself
}

// Part is what one player of the band does: it strikes the notes that begin
// within a stretch, each at its tick, in any order. It keeps nothing from call to
// call: the same stretch has the same notes (but see Backing).
type Part func(form *beat.Form, s beat.Stretch, strike func(tick int64, n Note))

// Conductor turns what is beat into what is sounded: each tick once, before it is
// due, again where the line has changed. It is pure, and belongs to one goroutine.
//
// What it has sent is what lies before next on line, the line it was sent by.
// Where another line differs from some moment on, what is due from then on, but
// nothing that is on its way out by now, is taken back and sent by the new line:
// the ticks before sound, whatever the new line says of them, so none is lost and
// none doubled. Where the song is elsewhere by the new line, a tick is another: what is
// due from then on is sent, though a faster line before had come to later ticks by then.
// A note that sounds then is let go where the song goes elsewhere; where only the tempo is
// another, it ends at its tick all the same.
type Conductor struct {
	parts  []Part
	line   *beat.Line
	next   int64 // the first tick that has not been sent
	held   []held
	buffer time.Duration
	out    []Command
}

// held is a note that was sent, from its first tick to its last.
type held struct {
	voice       Voice
	key         uint8
	from, until int64
}

// NewConductor returns a conductor of some parts.
func NewConductor(parts ...Part) *Conductor {
	return &Conductor{parts: parts, buffer: usualBuffer}
}

// SetBuffer says how long the device's buffer lasts, as the sound process reports
// it: so long before it is heard a note is on its way.
func (c *Conductor) SetBuffer(d time.Duration) { c.buffer = d }

// Tend returns the commands that a moment calls for; they are valid until the
// next call. now does not decrease.
func (c *Conductor) Tend(now time.Duration, line *beat.Line) []Command {
	c.out = c.out[:0]
	now = now.Truncate(time.Microsecond) // as on the pipe
	switch {
	case c.line == nil:
		c.next = line.Tick(now - late)
	case c.line != line:
		c.turn(now, line)
	}
	c.line = line
	past := line.Tick(now - late)
	c.held = slices.DeleteFunc(c.held, func(h held) bool { return h.until <= past })
	until := line.Tick(now+ahead) + 1
	if c.next < until {
		line.Stretches(c.next, until, func(s beat.Stretch) { c.play(now, s) })
		c.next = until
	}
	return c.out
}

// turn takes back what another line says otherwise.
func (c *Conductor) turn(now time.Duration, line *beat.Line) {
	from, differs := line.Differs(c.line)
	if !differs {
		return
	}
	from = max(from, now+(c.buffer+transit).Truncate(time.Microsecond))
	back := c.line.Tick(from)
	if c.line.Time(back) < from {
		back++
	}
	if back >= c.next {
		return // nothing of it was sent
	}
	c.next = back
	if first := line.Tick(from) + 1; first < back && !goesOn(c.line, line, first) {
		c.next = first
	}
	c.out = append(c.out, Command{Kind: Forget, At: from})
	c.held = slices.DeleteFunc(c.held, func(h held) bool { return h.from >= back })
	if !goesOn(c.line, line, back) {
		c.held = c.held[:0]
	}
	for _, h := range c.held {
		if left := line.Time(h.until) - from; left > 0 {
			c.out = append(c.out, Command{Kind: Hold, Voice: h.voice, Key: h.key, At: from, For: min(left, LongestStrike)})
		}
	}
}

// goesOn reports whether the song is at a tick where it was by the line before.
func goesOn(before, now *beat.Line, tick int64) bool {
	song, state := before.Song(tick)
	same, still := now.Song(tick)
	return song == same && state == still && before.Top(tick) == now.Top(tick)
}

func (c *Conductor) play(now time.Duration, s beat.Stretch) {
	for _, part := range c.parts {
		part(c.line.Form(), s, func(tick int64, n Note) {
			at := c.line.Time(tick)
			if at < now-late {
				return
			}
			length := clickFor
			if n.Ticks > 0 {
				length = min(c.line.Time(tick+n.Ticks)-at, LongestStrike)
				c.held = append(c.held, held{voice: n.Voice, key: n.Key, from: tick, until: tick + n.Ticks})
			}
			c.out = append(c.out, Command{Kind: Strike, Voice: n.Voice, Key: n.Key, Velocity: n.Velocity, At: at, For: length})
		})
	}
}
