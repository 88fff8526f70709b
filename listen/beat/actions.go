package beat

import (
	"time"

	"shedlight/analyse"
	"shedlight/analyse/timebase"
)

// Action is what a player asks for, by pedal or key. A take holds its number.
type Action uint8

const (
	Again   Action = iota + 1 // start, or again from the top, counted in; a number of a chorus never comes twice
	BarOn                     // the band is a bar ahead
	BarBack                   // the band is a bar behind
	Stop                      // the song stands still; ticks run on at its tempo
	Tap                       // here is a beat
	Forget                    // leave a chorus out of every count; the clock goes on, as with Mark, Louder, Softer, NextView and PhraseBack
	Mark                      // keep this place to find again
	Louder                    // what sounds
	Softer
	Faster // the tempo by tempoStep
	Slower
	NextView   // hear what is played in the other view of the changes
	PhraseBack // sound the last phrase again, in the rest
)

// tempoStep is by how many beats a minute the tempo is made faster or slower: half
// of what is plainly felt at 120 (common practice: metronome marks lie 4 apart
// there).
const tempoStep = 2

// Do carries out an action and returns the events that come before its time.
// Those that it causes itself come as soon as ticks reach them, mostly with the
// next call. Without a beat there is nothing to start; while the song stands
// there is no bar to leave.
func (c *Clock) Do(a Action, at time.Duration) []analyse.Event {
	c.reach(at)
	tick := c.open()
	switch state := pieceAt(c.pieces, tick).state; {
	case c.sync != nil:
		c.ask(a, tick)
	case a == Tap:
		c.tap(tick)
	case a == Again && state != Free:
		c.again(tick)
	case a == Faster && state != Free:
		c.hurry(tick, tempoStep)
	case a == Slower && state != Free:
		c.hurry(tick, -tempoStep)
	case state != Running:
	case a == BarOn:
		c.jump(tick, c.barOn)
	case a == BarBack:
		c.jump(tick, c.barBack)
	case a == Stop:
		c.jump(tick, func(p *piece) { p.state = Halted })
	}
	return c.due()
}

// Note is told when a note is struck, and returns the events that come before
// it: where the start waits for it, it is the start.
func (c *Clock) Note(at time.Duration) []analyse.Event {
	c.reach(at)
	heard := c.heard()
	tick := max(c.free(), heard)
	if c.sync == nil && pieceAt(c.pieces, tick).state == Waiting {
		c.change(tick, func(p *piece) {
			p.state, p.song = Running, tick-heard-c.form.Pickup
		})
		c.given = tick
	}
	return c.due()
}

// Retempo sets the tempo of bar 1, in microseconds a quarter note; one that the
// clock does not keep becomes the nearest that it does.
func (c *Clock) Retempo(quarter int64, at time.Duration) []analyse.Event {
	c.reach(at)
	c.quarter, c.bleed = bounded(quarter), bleed{}
	c.taps = taps{}
	c.change(c.open(), func(p *piece) {
		if p.state == Free {
			p.state = Running
		}
	})
	return c.due()
}

// hurry makes the tempo of bar 1 so many beats a minute faster, whole ones.
func (c *Clock) hurry(tick, by int64) {
	minute := c.form.minute()
	perMinute := max(1, (minute+c.quarter/2)/c.quarter+by)
	c.quarter, c.bleed, c.taps = bounded(minute/perMinute), bleed{}, taps{}
	c.change(tick, nil)
}

// again counts in from a tick on.
func (c *Clock) again(tick int64) {
	c.begun, c.bleed = c.Begun(tick-1), bleed{}
	c.change(tick, func(p *piece) {
		p.state, p.base = Running, c.begun*c.form.Length
		p.song = c.countIn(c.quarter)
		if p.song >= 0 {
			p.song += p.base
		}
	})
}

// jump moves the song from a tick on. What was begun stays begun.
func (c *Clock) jump(tick int64, move func(*piece)) {
	c.begun = c.Begun(tick - 1)
	c.change(tick, move)
}

// barOn moves to the same place in the next bar.
func (c *Clock) barOn(p *piece) {
	at := c.form.Place(p.song)
	before := p.song
	p.song += at.left()
	if before < 0 && p.song >= 0 {
		p.song += p.base
	}
	p.song += within(at.Offset, c.form.Place(p.song).Meter)
}

// barBack moves to the same place in the bar before. Before the top lies the
// count-in, whatever was played before that.
func (c *Clock) barBack(p *piece) {
	at := c.form.Place(p.song)
	p.song -= at.Offset
	if p.song == p.base {
		p.song = 0
	}
	// At the top, and before it, the bars before are like the first.
	meter := c.form.Bars[0].Meter
	if p.song > 0 {
		meter = c.form.before(p.song)
	}
	p.song += within(at.Offset, meter) - meter.Bar()
}

// within returns the offset in a bar that keeps the beat where it was: a longer
// bar's last beats are those of the shorter one again.
func within(offset int64, m timebase.Meter) int64 {
	for offset >= m.Bar() {
		offset -= m.Beat()
	}
	return offset
}
