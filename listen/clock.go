package listen

import (
	"time"

	"shedlight/analyse"
	"shedlight/listen/internal/driver"
)

// Status bytes of what an outside clock sends (MIDI 1.0, system real time and system
// common messages).
const (
	songPosition  = 0xF2
	timingClock   = 0xF8
	clockStart    = 0xFA
	clockContinue = 0xFB
	clockStop     = 0xFC
)

// openClock opens the port that the clock comes from where that is not the instrument's
// own. Its messages go through the same queue.
func (l *Live) openClock() error {
	if !l.options.Beat.Follow || l.options.Clock == "" {
		return nil
	}
	drv, err := driver.Load(l.options.API)
	if err != nil {
		return err
	}
	l.other, err = l.beside(drv)
	if err != nil {
		drv.Close()
	}
	return err
}

// beside returns a port beside the instrument's that the clock comes from.
func (l *Live) beside(drv driver.Driver) (*Live, error) {
	other := &Live{
		driver: drv, options: Options{Port: l.options.Clock, Shown: l.options.Shown},
		epoch: l.epoch, queue: l.queue, ofClock: true,
		crashed: l.crashed, stop: make(chan struct{}), stopped: make(chan struct{}),
	}
	input, err := other.begin()
	if err != nil {
		return nil, err
	}
	go other.watch(input)
	return other, nil
}

// ClockLost reports whether the clock that is followed has fallen silent: the beat goes
// on at its last tempo. Safe from any goroutine.
func (l *Live) ClockLost() bool { return l.clockLost.Load() }

// ClockTicks reports whether pulses of the clock that is followed come. Safe from any
// goroutine.
func (l *Live) ClockTicks() bool { return l.clockTicks.Load() }

// clocked follows a message of the outside clock that came at a moment. Others pass.
func (r *reader) clocked(m message, at time.Duration) bool {
	if !r.live.options.Beat.Follow {
		return true
	}
	at = max(0, at-r.zero)
	clock := r.live.clock
	var events []analyse.Event
	b := m.bytes
	switch {
	case b[0] == timingClock:
		events = clock.Pulse(at)
	case b[0] == clockStart:
		events = clock.Start(at)
	case b[0] == clockContinue:
		events = clock.Continue(at)
	case b[0] == clockStop:
		events = clock.Halt(at)
	case b[0] == songPosition && m.size == longest && b[1] < statusBit && b[2] < statusBit:
		events = clock.Position(int(b[2])<<7|int(b[1]), at)
	default:
		return true
	}
	return r.reach(events)
}
