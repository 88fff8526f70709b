package listen

import "time"

const (
	// slack is by how much a driver's delta may exceed the delta of the wall
	// clock and be believed: callbacks come late by that much and catch up.
	slack = 20 * time.Millisecond
	// anchorSpan is how long the smallest difference between the two clocks
	// counts. Quartz clocks drift by 200 millionths at worst, 2 ms in a span.
	anchorSpan = 10 // of anchorSlot
	anchorSlot = time.Second
	// held is the most a message is believed to have waited before its
	// callback. It lies under behind, so that no stamp falls into what an
	// Advance has settled.
	held = 40 * time.Millisecond
)

// stamper turns what a driver says into the time a message happened.
//
// A callback's wall clock is late by however long the scheduler took; the
// driver's own deltas are not, but they repeat, are garbage at the start, leave
// out the time of messages that are not passed on, and drift. So the deltas are
// summed as far as they can be believed, and the sum is set against the wall
// clock by the smallest difference of the last ten seconds, that of the
// callback that was least late. A stamp is never after its callback's own wall
// time and never more than held before it. It is never before the previous stamp
// either: the sum does not fall, and where the anchor does, the stamp is the wall
// time itself.
//
// Known wrong: after time that the driver left out, stamps are early by up to
// held for ten seconds; after the process stood still for longer than held,
// what arrived meanwhile is stamped when it started again.
type stamper struct {
	started bool
	wall    time.Duration // of the previous message
	sum     time.Duration // driver time since the first message
	slots   [anchorSpan]anchor
}

// anchor is the smallest difference of wall clock and sum within a slot of time.
type anchor struct {
	slot     int64
	smallest time.Duration
	set      bool
}

// stamp returns when a message happened, on the clock of wall. wall does not
// decrease from call to call; delta is in seconds and may be anything.
func (s *stamper) stamp(wall time.Duration, delta float64) time.Duration {
	passed := wall - s.wall
	if !s.started {
		s.started, passed = true, 0
	}
	s.wall = wall
	step := passed
	if delta >= 0 && delta <= (passed+slack).Seconds() {
		step = time.Duration(delta * float64(time.Second))
	}
	s.sum += step
	at := s.sum + s.anchored(wall)
	if wall-at > held {
		s.slots = [anchorSpan]anchor{}
		at = s.sum + s.anchored(wall)
	}
	return at
}

// anchored notes the difference of the two clocks now and returns the smallest
// of the span.
func (s *stamper) anchored(wall time.Duration) time.Duration {
	difference := wall - s.sum
	now := int64(wall / anchorSlot)
	slot := &s.slots[now%anchorSpan]
	if !slot.set || slot.slot != now || difference < slot.smallest {
		*slot = anchor{slot: now, smallest: difference, set: true}
	}
	smallest := difference
	for _, a := range s.slots {
		if a.set && now-a.slot < anchorSpan {
			smallest = min(smallest, a.smallest)
		}
	}
	return smallest
}
