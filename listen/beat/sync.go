package beat

import (
	"math"
	"time"

	"shedlight/analyse"
	"shedlight/analyse/timebase"
)

// sixteenth is what a song position counts, in ticks (MIDI 1.0, song position
// pointer: six clocks).
const sixteenth = 6 * ticksPerPulse

const (
	// adrift is how far off the beat may come to be in a quarter note before a tempo
	// is told, in microseconds, or a deviation of the pulses where they scatter more.
	adrift = 1500
	// apart is how many pulses lie between two tempi that are told, at least.
	apart = 3
	// caughtUp is within how many ticks the beat has caught up with the pulses: when the
	// next tempo may be told.
	caughtUp = apart * ticksPerPulse
)

// sync is what a clock knows of the one that it follows. While the song runs, pulse
// number n lies on song tick origin + (n - zero) * ticksPerPulse.
type sync struct {
	follower
	armed   bool    // a pulse starts the song
	since   float64 // that many have come since
	anew    bool    // it starts in a chorus that has not been begun
	from    int64   // on this song tick; as the other clock counts, where anew
	running bool    // the song goes with the pulses
	origin  int64   // a song tick
	zero    float64 // the pulse that lies on it
	told    float64 // the pulse at which a tempo was told last
}

// Pulse takes a pulse of the outside clock and returns the events before it. Like
// Start, Continue, Halt and Position it is for a clock that was made to follow one.
func (c *Clock) Pulse(at time.Duration) []analyse.Event {
	c.reach(at)
	s := c.sync
	if !s.running && s.silent(c.sent()) {
		s.forget() // nothing was counted that may be lost
	}
	sure := s.pulse(c.sent())
	if s.armed {
		s.since++
	}
	if s.armed && len(s.held) == 0 {
		c.depart(s.next - s.since)
	}
	if sure {
		c.keepUp()
	}
	return c.due()
}

// sent returns when what comes now was sent, in microseconds.
func (c *Clock) sent() float64 { return float64(c.seen - c.setup.Lag.Microseconds()) }

// Start makes the next pulse the top of a chorus (MIDI 1.0, start).
func (c *Clock) Start(at time.Duration) []analyse.Event {
	c.reach(at)
	c.sync.from, c.sync.anew = 0, true
	c.sync.arm()
	return c.due()
}

// arm lets the next pulse start the song.
func (s *sync) arm() { s.armed, s.since = true, 0 }

// Continue makes the song go on with the next pulse, from where it was stopped or
// positioned (MIDI 1.0, continue). A song that runs goes on as it is.
func (c *Clock) Continue(at time.Duration) []analyse.Event {
	c.reach(at)
	if !c.sync.running {
		c.sync.arm()
	}
	return c.due()
}

// Halt stops the song (MIDI 1.0, stop).
func (c *Clock) Halt(at time.Duration) []analyse.Event {
	c.reach(at)
	c.halt(c.open())
	return c.due()
}

// halt stops the song from a tick on.
func (c *Clock) halt(tick int64) {
	s := c.sync
	s.armed = false
	if !s.running {
		return
	}
	s.running, s.anew = false, false
	s.from = s.origin + int64(s.reached(c.sent())-s.zero)*ticksPerPulse
	c.jump(tick, func(p *piece) { p.state, p.song = Halted, s.from })
}

// Position sets where the song goes on, in sixteenths from its top (MIDI 1.0, song
// position pointer). A song that runs goes on from there with the next pulse.
func (c *Clock) Position(sixteenths int, at time.Duration) []analyse.Event {
	c.reach(at)
	s := c.sync
	s.from, s.anew = int64(sixteenths)*sixteenth, true
	if s.running {
		s.arm()
	}
	return c.due()
}

// Lost reports whether the clock that is followed has been silent for too long up to
// the latest time told: the beat goes on at its last tempo.
func (c *Clock) Lost() bool { return c.sync != nil && c.sync.running && c.sync.silent(c.sent()) }

// Ticking reports whether pulses of the clock that is followed come, up to the latest
// time told.
func (c *Clock) Ticking() bool { return c.sync != nil && c.sync.fits() && !c.sync.silent(c.sent()) }

// depart starts the song on a pulse: one that has come, or is due.
func (c *Clock) depart(pulse float64) {
	s := c.sync
	tick := c.open()
	if s.anew {
		c.begun = c.Begun(tick - 1)
		choruses := max(0, c.begun-s.from/c.form.Length)
		s.from += choruses * c.form.Length
	}
	s.armed, s.anew, s.running = false, false, true
	s.origin, s.zero = s.from, pulse
	begins := s.from - s.from%c.form.Length
	if c.quarter == 0 {
		c.quarter = timebase.Nominal
		if s.fits() {
			c.quarter = s.quarter()
		}
	}
	c.jump(tick, func(p *piece) {
		passed := p.tick - tickIn(c.pieces, int64(c.sent())) + int64(s.next-1-pulse)*ticksPerPulse
		p.state, p.song = Running, s.from+passed
		if begins >= c.begun*c.form.Length { // else it goes on in a chorus that was begun
			p.base = begins
		}
	})
}

// quarter returns the tempo of the pulses.
func (s *sync) quarter() int64 { return bounded(int64(math.Round(s.interval * pulsesPerQuarter))) }

// keepUp lets the beat go by the pulses: the tempo is told where the beat would be
// adrift within a quarter note, and where it is a whole pulse off the song moves.
func (c *Clock) keepUp() {
	s := c.sync
	tick := c.open()
	p := pieceAt(c.pieces, tick).advanced(tick)
	quarter := s.quarter()
	now := float64(p.at960) / timebase.Quarter
	if !s.running {
		off := quarter - c.quarter
		if max(off, -off) > adrift && s.next-s.told >= apart || p.state == Free {
			s.told, c.quarter = s.next, quarter
			c.change(tick, func(p *piece) {
				if p.state == Free {
					p.state, p.song = Running, 0
				}
			})
		}
		return
	}
	perTick := s.interval / ticksPerPulse
	due := func(song int64) float64 { return s.due(s.zero) + float64(song-s.origin)*perTick }
	if behind := int64(math.Round((now - due(p.song)) / perTick)); behind > ticksPerPulse || behind < -ticksPerPulse {
		s.told = s.next
		c.quarter, c.bleed = quarter, bleed{}
		c.jump(tick, func(p *piece) { p.song += behind })
		return
	}
	later := p.song + timebase.Quarter
	tickLater := p.tick + timebase.Quarter
	miss := due(later) - float64(pieceAt(c.pieces, tickLater).microsAt(tickLater))
	if math.Abs(miss) < max(adrift, s.spread) || s.next-s.told < apart {
		return
	}
	s.told = s.next
	passing := int64(math.Round((due(p.song+caughtUp) - now) * timebase.Quarter / caughtUp))
	c.quarter, c.bleed = quarter, bleed{until: tick + caughtUp, quarter: bounded(passing)}
	c.change(tick, nil)
}

// ask carries out what a player asks of a clock that follows another: the tempo is not
// theirs, and there is no count-in.
func (c *Clock) ask(a Action, tick int64) {
	s := c.sync
	switch {
	case a == Again:
		s.from, s.anew = 0, true
		s.arm()
	case a == Tap && !s.running && s.fits() && !s.silent(c.sent()):
		s.from, s.anew = 0, true
		c.depart(math.Round((c.sent() - s.offset) / s.interval))
	case !s.running:
	case a == Stop:
		c.halt(tick)
	case a == BarOn:
		c.move(tick, c.barOn)
	case a == BarBack:
		c.move(tick, c.barBack)
	case a == Tap: // here is a one: the nearest
		c.move(tick, func(p *piece) {
			at := c.form.Place(p.song)
			pulses := (at.Offset + ticksPerPulse/2) / ticksPerPulse * ticksPerPulse
			if 2*at.Offset >= at.Meter.Bar() {
				pulses -= at.Meter.Bar()
			}
			p.song -= pulses
		})
	}
}

// move moves the song, and the pulses with it.
func (c *Clock) move(tick int64, by func(*piece)) {
	c.jump(tick, func(p *piece) {
		before := p.song
		by(p)
		c.sync.origin += p.song - before
	})
}
