package listen

import (
	"context"
	"fmt"
	"iter"
	"time"

	"shedlight/analyse"
	"shedlight/analyse/timebase"
)

// Pace says how fast a Playback goes.
type Pace uint8

const (
	InTime Pace = iota // waits, so that everything comes when it was played
	AtOnce             // does not wait
)

// Playback is a Source of events that are there already: of a file, or of the
// built-in take.
type Playback struct {
	events  []analyse.Event
	end     int64
	pace    Pace
	tempo   timebase.Tempo
	from    int64 // the tick at which time begins to pass
	started bool
	zero    time.Time
}

// StartAt lets everything before a tick come at once and time pass from there on. It
// is called before Events.
func (p *Playback) StartAt(tick int64) { p.from = tick }

// NewPlayback returns a source that yields events and then an Advance to end,
// if that is after the last of them. It keeps the slice and changes nothing in
// it. Ticks must not decrease, lie between 0 and timebase.MaxTick, and tempos
// must be ones a tempo map holds; the error names the event that is wrong.
func NewPlayback(events []analyse.Event, end int64, pace Pace) (*Playback, error) {
	p := &Playback{events: events, end: end, pace: pace}
	last := int64(0)
	for i, e := range events {
		if e.Tick < last || e.Tick > timebase.MaxTick {
			return nil, fmt.Errorf("event %d at tick %d: expected %d to %d", i, e.Tick, last, int64(timebase.MaxTick))
		}
		last = e.Tick
		if e.Kind != analyse.Tempo {
			continue
		}
		if err := p.tempo.Set(e.Tick, e.Value); err != nil {
			return nil, fmt.Errorf("event %d: %w", i, err)
		}
	}
	if end > timebase.MaxTick {
		return nil, fmt.Errorf("end at tick %d: expected at most %d", end, int64(timebase.MaxTick))
	}
	return p, nil
}

// Zero returns the moment of tick 0, once Events is called. It is for the caller
// of Events.
func (p *Playback) Zero() time.Time { return p.zero }

// Events implements Source. While it waits it yields an Advance every 10 ms, to
// the present.
func (p *Playback) Events(ctx context.Context, wake <-chan struct{}) iter.Seq2[analyse.Event, error] {
	return func(yield func(analyse.Event, error) bool) {
		if p.started {
			yield(analyse.Event{}, errStartedTwice)
			return
		}
		p.started = true
		p.zero = time.Now().Add(-time.Duration(p.tempo.Micros(p.from)) * time.Microsecond)
		w := wait{playback: p, wake: wake, from: p.zero, yield: yield}
		for _, e := range p.events {
			if !w.until(ctx, e.Tick) || !yield(e, nil) {
				return
			}
			w.last = e.Tick
		}
		if w.until(ctx, p.end) && p.end > w.last {
			yield(analyse.Event{Tick: p.end, Kind: analyse.Advance}, nil)
		}
	}
}

// Close implements Source; a playback holds nothing.
func (p *Playback) Close() error { return nil }

// wait lets the time of a running playback pass.
type wait struct {
	playback *Playback
	wake     <-chan struct{}
	yield    func(analyse.Event, error) bool
	from     time.Time // tick 0
	last     int64     // the last tick yielded
}

// until waits for a tick. It reports whether to go on.
func (w *wait) until(ctx context.Context, tick int64) bool {
	for ctx.Err() == nil {
		if w.playback.pace == AtOnce {
			return true
		}
		due := time.Duration(w.playback.tempo.Micros(tick)) * time.Microsecond
		left := due - time.Since(w.from)
		if left <= 0 {
			return true
		}
		timer := time.NewTimer(min(left, idle))
		select {
		case <-timer.C:
		case <-w.wake:
			timer.Stop()
			if !w.yield(analyse.Event{Tick: w.last, Kind: analyse.Advance}, nil) {
				return false
			}
			continue
		case <-ctx.Done():
			timer.Stop()
			return false
		}
		now := min(w.playback.tempo.Tick(time.Since(w.from).Microseconds()), tick)
		if now <= w.last {
			continue
		}
		w.last = now
		if !w.yield(analyse.Event{Tick: now, Kind: analyse.Advance}, nil) {
			return false
		}
	}
	return false
}
