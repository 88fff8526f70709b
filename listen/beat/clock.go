package beat

import (
	"fmt"
	"slices"
	"time"

	"shedlight/analyse"
	"shedlight/analyse/timebase"
)

const (
	// Fastest and Slowest bound the tempos a clock keeps, in microseconds a
	// quarter note: far outside what anybody feels as a beat, and far inside
	// what the arithmetic holds.
	Fastest = 25_000
	Slowest = timebase.MaxTempo
	// MaxCountIn bounds the bars of a count-in.
	MaxCountIn = 16

	// horizon is how far ahead the line is planned. Whoever sounds it looks
	// 400 ms ahead; the owner may be held up for the rest.
	horizon = 2 * time.Second
	// remembered is how far back the line goes. Nobody asks for more than the
	// driver's delay and the lag.
	remembered = 2 * time.Second
)

// Begin says when the song starts.
type Begin uint8

const (
	AtOnce Begin = iota // with the clock, after the count-in
	OnNote              // with the first note; it is counted in only when asked to
)

// Setup is what a clock is made for.
type Setup struct {
	// Form is a chorus of the chart; nil: there is none, and bars of Meter are
	// counted.
	Form  *Form
	Meter timebase.Meter // without a form; the zero Meter is 4/4
	// Quarter is the tempo of bar 1 in microseconds a quarter note; 0: none is
	// known, so that there is no beat until one is tapped. With a form it must be
	// known.
	Quarter int64
	// CountIn is how many bars are counted before the top, 0 to MaxCountIn. A
	// longer pick-up counts instead.
	CountIn int
	Begin   Begin
	// Ahead is how long before its first click a count-in is known: what sounds
	// it needs that time.
	Ahead time.Duration
	// Follow says that the tempo, and where the song is, come from an outside clock,
	// and nothing of it from the player: the chart's tempi do not count, there is no
	// count-in, and the song waits for the clock's start.
	Follow bool
	// Rise makes every so many choruses, counted from where it was last counted off,
	// faster than those before. It is for a chart, and for no clock that follows.
	Rise Rise
	// Lag is how late the player's notes and taps come by themselves. It may be
	// negative.
	Lag time.Duration
}

// Clock is the beat clock. It belongs to one goroutine; the lines it gives away
// belong to anybody. All times are since its tick 0. A time that lies before one
// it has been told already counts as that one.
//
// Every method that returns events returns those that come before whatever
// happens at the given time, in the order of their ticks, which never decrease
// over all calls; the slice is valid until the next call. A tick for the time is
// asked for after them.
type Clock struct {
	setup   Setup
	form    Form
	chart   bool
	quarter int64 // the player's, at bar 1
	begun   int64 // choruses that were ever begun: their numbers are used

	pieces []piece         // in order; those after given are planned
	plan   []analyse.Event // planned, in order
	bleed  bleed
	line   *Line // of pieces; nil: to be made
	sync   *sync // nil: the tempo is the player's

	seen    int64 // the latest time told, in microseconds
	given   int64 // the latest tick given out; -1: none
	changed int64 // the tick of the latest change
	taps    taps
	out     []analyse.Event
}

// bleed is a passing tempo that brings the beat to where it is tapped.
type bleed struct {
	until   int64 // tick
	quarter int64
}

// New returns a clock. The error says what is wrong with the setup.
func New(s Setup) (*Clock, error) {
	c := &Clock{setup: s, quarter: s.Quarter, given: -1, chart: s.Form != nil}
	if s.Meter == (timebase.Meter{}) {
		s.Meter = timebase.Common
	}
	form := endless(s.Meter)
	if s.Form != nil {
		form = *s.Form
	}
	var err error
	if c.form, err = form.resolved(); err != nil {
		return nil, err
	}
	switch {
	case s.Quarter != 0 && (s.Quarter < Fastest || s.Quarter > Slowest):
		return nil, fmt.Errorf("tempo of %d microseconds a quarter note: expected %d to %d", s.Quarter, Fastest, Slowest)
	case s.Quarter == 0 && c.chart:
		return nil, fmt.Errorf("a form without a tempo")
	case s.CountIn < 0 || s.CountIn > MaxCountIn:
		return nil, fmt.Errorf("count-in of %d bars: expected 0 to %d", s.CountIn, MaxCountIn)
	case s.Ahead < 0:
		return nil, fmt.Errorf("a count-in known %v ahead", s.Ahead)
	case s.Rise.Every < 0, s.Rise.Every > 0 && (!c.chart || s.Follow):
		return nil, fmt.Errorf("a rise every %d choruses", s.Rise.Every)
	}
	if s.Follow {
		c.sync = &sync{}
		c.form.even()
	}
	c.pieces = []piece{c.start()}
	c.extend()
	return c, nil
}

// start returns the first piece and plans the events at tick 0.
func (c *Clock) start() piece {
	p := piece{quarter: timebase.Nominal, meter: c.form.Bars[0].Meter}
	if c.quarter == 0 {
		return p
	}
	p.quarter = c.quarter
	c.say(0, analyse.Tempo, 0, p.quarter)
	if c.chart {
		c.say(0, analyse.Meter, 0, p.meter.Packed())
	}
	if c.setup.Follow {
		p.state = Waiting
		c.origin(0, &p)
		return p
	}
	if c.setup.Begin == OnNote {
		p.state, p.song = Waiting, -c.form.Pickup
		c.origin(0, &p)
		return p
	}
	p.state, p.song = Running, c.countIn(p.quarter)
	c.origin(0, &p)
	return p
}

// countIn returns the song tick that a start begins at, from 0 at the top.
func (c *Clock) countIn(quarter int64) int64 {
	bars := int64(c.setup.CountIn) * c.form.Bars[0].Meter.Bar()
	ahead := c.setup.Ahead.Microseconds() * timebase.Quarter / quarter
	return -max(bars, c.form.Pickup) - ahead
}

// say plans an event.
func (c *Clock) say(tick int64, kind analyse.Kind, key uint8, value int64) {
	c.plan = append(c.plan, analyse.Event{Tick: tick, Kind: kind, Key: key, Value: value})
}

// origin plans what tells where the song is at a piece's tick. Without a chart
// there is no song, and a meter tells where bars begin.
func (c *Clock) origin(tick int64, p *piece) {
	if !c.chart {
		return
	}
	running := uint8(0)
	if p.state == Running {
		running = 1
	}
	c.say(tick, analyse.Origin, running, p.song)
}

// Pass returns the events that come before a time.
func (c *Clock) Pass(at time.Duration) []analyse.Event {
	c.reach(at)
	return c.due()
}

// Tick returns the tick of what happens at a time, beat(at - lag), but none
// before the last it returned. The events before it must have been asked for.
func (c *Clock) Tick(at time.Duration) int64 {
	c.reach(at)
	c.given = max(c.given, c.heard())
	return c.given
}

// Line returns what is beat and when, as it is known now.
func (c *Clock) Line() *Line {
	if c.line == nil {
		c.line = &Line{pieces: slices.Clone(c.pieces), form: &c.form, rise: c.setup.Rise, quarter: c.quarter}
	}
	return c.line
}

// Begun returns how many choruses have been begun at a tick: the number of the
// last that was, which none that follows a count-in has again.
func (c *Clock) Begun(tick int64) int64 {
	p := pieceAt(c.pieces, tick)
	if song := p.songAt(tick); song >= 0 && (p.state == Running || p.state == Halted) {
		return max(c.begun, song/c.form.Length+1)
	}
	return c.begun
}

// reach brings the clock to a time: the plan reaches far enough, and what is
// long past is forgotten.
func (c *Clock) reach(at time.Duration) {
	c.seen = max(c.seen, at.Microseconds())
	c.extend()
	past := tickIn(c.pieces, c.seen-(remembered+c.setup.Lag.Abs()).Microseconds())
	past = min(past, max(0, c.given))
	n := 0
	for n+1 < len(c.pieces) && c.pieces[n+1].tick <= past {
		n++
	}
	if n > 0 {
		c.pieces = slices.Delete(c.pieces, 0, n)
		c.line = nil
	}
}

// heard returns the tick of what the player does at the time reached.
func (c *Clock) heard() int64 {
	return max(0, tickIn(c.pieces, c.seen-c.setup.Lag.Microseconds()))
}

// free returns the first tick that is not given out and belongs neither to the
// opening nor to an earlier change, which would be lost.
func (c *Clock) free() int64 { return max(c.given, c.changed) + 1 }

// open returns the first tick that is neither given out nor sounded.
func (c *Clock) open() int64 {
	return max(c.free(), tickIn(c.pieces, c.seen), c.heard())
}

// due takes the events off the plan that the ticks have reached.
func (c *Clock) due() []analyse.Event {
	reached := max(c.given, c.heard())
	c.out = c.out[:0]
	for _, e := range c.plan {
		if e.Tick > reached {
			break
		}
		c.out = append(c.out, e)
		c.given = e.Tick
	}
	c.plan = slices.Delete(c.plan, 0, len(c.out))
	return c.out
}

// change makes another piece hold from a tick on, and plans again what follows.
// The tick is free. edit is given what would have held there; it may be nil.
func (c *Clock) change(tick int64, edit func(p *piece)) {
	c.changed = tick
	n := len(c.pieces)
	for n > 1 && c.pieces[n-1].tick >= tick {
		n--
	}
	c.pieces = c.pieces[:n]
	c.plan = slices.DeleteFunc(c.plan, func(e analyse.Event) bool { return e.Tick >= tick })
	before := &c.pieces[n-1]
	p := before.advanced(tick)
	c.turn(before, &p, edit)
	c.pieces = append(c.pieces, p)
	c.line = nil
	c.extend()
}

// extend plans as far as the horizon.
func (c *Clock) extend() {
	until := tickIn(c.pieces, c.seen+horizon.Microseconds())
	for {
		last := &c.pieces[len(c.pieces)-1]
		tick, ok := c.boundary(last)
		if !ok || tick > until {
			return
		}
		p := last.advanced(tick)
		c.turn(last, &p, nil)
		c.pieces = append(c.pieces, p)
		c.line = nil
	}
}

// boundary returns the next tick at which something changes by itself.
func (c *Clock) boundary(p *piece) (tick int64, ok bool) {
	tick = timebase.MaxTick
	if c.bleed.until > p.tick {
		tick = c.bleed.until
	}
	if p.state != Running {
		return tick, tick < timebase.MaxTick
	}
	if p.song < 0 {
		tick = min(tick, p.tick-p.song)
	} else {
		if after, ok := c.form.next(p.song); ok {
			tick = min(tick, p.tick+after)
		}
		if left, ok := c.setup.Rise.left(&c.form, p.song-p.base); ok {
			tick = min(tick, p.tick+left)
		}
	}
	if at := c.form.Place(p.song); at.Meter != p.meter {
		tick = min(tick, p.tick+at.left()) // where the meter can be told
	}
	return tick, tick < timebase.MaxTick
}

// turn makes p, the piece before carried on to p's tick, what it is there: what
// the player changes, the top, the bar's own meter and tempo. It plans the events
// that tell.
func (c *Clock) turn(before, p *piece, edit func(*piece)) {
	carried := *p
	if p.state == Running && p.song == 0 && before.song < 0 {
		p.song = p.base
	}
	if edit != nil {
		edit(p)
	}
	p.quarter = c.tempo(p)
	if p.quarter != before.quarter || p.state != Free && before.state == Free {
		c.say(p.tick, analyse.Tempo, 0, p.quarter)
	}
	at := c.form.Place(p.song)
	if counted := p.state == Running && at.Offset == 0; counted && (at.Meter != p.meter || !c.chart && p.song == p.base) {
		p.meter = at.Meter
		c.say(p.tick, analyse.Meter, 0, p.meter.Packed())
	}
	if p.song != carried.song || p.state != carried.state {
		c.origin(p.tick, p)
	}
}

// tempo returns what holds at a piece.
func (c *Clock) tempo(p *piece) int64 {
	switch {
	case c.quarter == 0:
		return timebase.Nominal
	case p.tick < c.bleed.until:
		return c.bleed.quarter
	}
	return c.form.quarter(p.song, c.form.faster(c.quarter, c.setup.Rise.by(&c.form, p.song-p.base)))
}
