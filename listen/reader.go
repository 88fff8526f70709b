package listen

import (
	"time"

	"shedlight/analyse"
	"shedlight/analyse/instrument"
	"shedlight/listen/beat"
)

// reader is the state of a running sequence.
type reader struct {
	live       *Live
	yield      func(analyse.Event, error) bool
	stamper    stamper
	pulses     stamper       // of the clock's own port
	zero       time.Duration // the wall clock at tick 0
	last       int64         // the last tick yielded
	connection uint32
	present    bool
	keys       instrument.Keys
	sensing    bool          // active sensing has been received
	heard      time.Duration // when anything was last received
}

// pass yields what the clock has to tell up to a moment on the wall clock, and
// returns the moment's tick. ok says whether to go on.
func (r *reader) pass(at time.Duration) (tick int64, ok bool) {
	at -= r.zero
	if !r.reach(r.live.clock.Pass(at)) {
		return 0, false
	}
	return r.live.clock.Tick(at), true
}

// strike does what pass does, where a note is struck: it may be the start.
func (r *reader) strike(at time.Duration) (tick int64, ok bool) {
	at -= r.zero
	if !r.reach(r.live.clock.Note(at)) {
		return 0, false
	}
	return r.live.clock.Tick(at), true
}

// do carries out what the player asks for at a moment.
func (r *reader) do(a beat.Action, at time.Duration) bool {
	tick, ok := r.pass(at)
	if !ok || !r.emit(analyse.Event{Tick: tick, Kind: analyse.Asked, Value: int64(a)}) {
		return false
	}
	switch a { // what the judge is to know
	case beat.Forget:
		ok = r.emit(analyse.Event{Tick: tick, Kind: analyse.Forget})
	case beat.Mark:
		ok = r.emit(analyse.Event{Tick: tick, Kind: analyse.Mark})
	case beat.NextView:
		ok = r.emit(analyse.Event{Tick: tick, Kind: analyse.NextView})
	}
	return ok && r.reach(r.live.clock.Do(a, at-r.zero))
}

// reach yields events of the clock. Its line is left where anybody may read it.
func (r *reader) reach(events []analyse.Event) bool {
	r.live.line.Store(r.live.clock.Line())
	r.live.clockLost.Store(r.live.clock.Lost())
	r.live.clockTicks.Store(r.live.clock.Ticking())
	for _, e := range events {
		if !r.emit(e) {
			return false
		}
	}
	return true
}

func (r *reader) emit(e analyse.Event) bool {
	r.last = e.Tick
	return r.yield(e, nil)
}

// take yields what an item of the queue says. It reports whether to go on.
func (r *reader) take(m message) bool {
	switch {
	case m.mark == asked:
		return r.do(m.action, m.wall)
	case m.ofClock && m.mark != received: // that a clock is gone is told by its silence
		return true
	case m.ofClock:
		return r.clocked(m, r.pulses.stamp(m.wall, m.delta))
	}
	if m.connection < r.connection {
		return true
	}
	if m.connection > r.connection || m.mark == opened && !r.present {
		r.connection, r.present = m.connection, true
		if at, ok := r.pass(m.wall - behind); !ok || !r.emit(analyse.Event{Tick: at, Kind: analyse.Found}) {
			return false
		}
	}
	switch {
	case m.mark == opened, !r.present:
		return true
	case m.mark == gone:
		r.present, r.sensing = false, false
		at, ok := r.pass(m.wall - behind)
		return ok && r.release(at, analyse.Unplugged)
	}
	at := r.stamper.stamp(m.wall, m.delta)
	r.heard = m.wall
	if m.lost > 0 {
		if tick, ok := r.pass(at); !ok || !r.overflow(tick, m.lost) {
			return false
		}
	}
	if e, ok := channelMessage(m.bytes[:min(m.size, longest)]); ok && m.size <= longest {
		return r.play(e, at)
	}
	switch status := m.bytes[0]; {
	case status == activeSensing:
		r.sensing = true
	case status < systemStatus:
		r.live.dropped.Add(1)
	case r.live.other == nil:
		return r.clocked(m, at)
	}
	return true
}

// play yields a channel message that came at a moment, and what it asks for.
func (r *reader) play(e analyse.Event, at time.Duration) (ok bool) {
	if !r.held(at) {
		return false
	}
	action, isAsked, control := r.live.hands.Hear(e, at)
	if e.Kind == analyse.NoteOn && e.Velocity > 0 && !control {
		e.Tick, ok = r.strike(at)
	} else {
		e.Tick, ok = r.pass(at)
	}
	r.follow(e)
	if !ok || !r.emit(e) {
		return false
	}
	return !isAsked || r.do(action, at)
}

// held carries out what a control asks for that has been held long enough at a
// moment.
func (r *reader) held(at time.Duration) bool {
	for {
		action, when, ok := r.live.hands.Due(at)
		if !ok {
			return true
		}
		if !r.do(action, when) {
			return false
		}
	}
}

// idle yields what the passing of time brings while the queue is empty.
func (r *reader) idle(now time.Duration) bool {
	if !r.held(now - behind) {
		return false
	}
	at, ok := r.pass(now - behind)
	if !ok {
		return false
	}
	if lost := r.live.lost.Swap(0); lost > 0 && !r.overflow(at, lost) {
		return false
	}
	if r.sensing && now-r.heard > sensingLimit {
		r.sensing = false
		if !r.release(at, analyse.SensingTimedOut) {
			return false
		}
	}
	if at > r.last {
		return r.emit(analyse.Event{Tick: at, Kind: analyse.Advance})
	}
	return true
}

// finish yields what was queued when the end was called for.
func (r *reader) finish() {
	now := time.Since(r.live.epoch)
	for range len(r.live.queue) {
		if !r.take(<-r.live.queue) {
			return
		}
	}
	at, ok := r.pass(now)
	if !ok {
		return
	}
	if lost := r.live.lost.Swap(0); lost > 0 && !r.overflow(at, lost) {
		return
	}
	if at > r.last {
		r.emit(analyse.Event{Tick: at, Kind: analyse.Advance})
	}
}

func (r *reader) overflow(at int64, lost uint32) bool {
	return r.emit(analyse.Event{Tick: at, Kind: analyse.Lost, Value: int64(lost)}) &&
		r.release(at, analyse.Overflowed)
}

// release yields a Release and behind it, which changes nothing any more for those
// who know that, the messages that let go of every key and pedal: other programs
// that read the take know nothing else.
func (r *reader) release(at int64, why analyse.Reason) bool {
	keys := r.keys
	r.keys = instrument.Keys{}
	r.live.hands.Release()
	if !r.emit(analyse.Event{Tick: at, Kind: analyse.Release, Value: int64(why)}) {
		return false
	}
	for channel := range uint8(instrument.Channels) {
		for key := range uint8(instrument.KeyCount) {
			if keys.Down(channel, key) && !r.emit(analyse.Event{Tick: at, Kind: analyse.NoteOff, Channel: channel, Key: key, Velocity: noteOffVelocity}) {
				return false
			}
		}
		if keys.Pedal(channel) && !r.emit(analyse.Event{Tick: at, Kind: analyse.Control, Channel: channel, Key: sustainPedal}) {
			return false
		}
	}
	return true
}

// follow keeps what is held down.
func (r *reader) follow(e analyse.Event) {
	switch {
	case e.Kind == analyse.NoteOn && e.Velocity > 0:
		r.keys.NoteOn(e.Channel, e.Key)
	case e.Kind == analyse.NoteOn, e.Kind == analyse.NoteOff:
		r.keys.NoteOff(e.Channel, e.Key)
	case e.Kind == analyse.Control:
		r.keys.Control(e.Channel, e.Key, e.Velocity)
	}
}
