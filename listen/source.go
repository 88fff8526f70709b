// Package listen is where notes come from: a live MIDI port, a file, a fake for
// tests. It stamps and quantises them, once, and keeps the take. It makes
// events and shows nothing.
package listen

import (
	"context"
	"iter"

	"shedlight/analyse"
)

// Source yields what is played.
//
// Events starts the source; it is called once. The sequence runs on the
// caller's goroutine and yields events whose ticks never decrease. While
// nothing is played a live source yields Advance, at a distance behind the
// present that no queued event can fall into, so that what hangs on the passing
// of time is settled. Every yielded event is complete; the caller may keep it.
//
// What can be received from wake gives the caller a turn while the source waits:
// an Advance to the tick that was yielded last, so that no time passes with it.
// It may be nil, and a source that never waits takes nothing from it.
//
// The sequence ends when the material is over, when ctx is done, or with one
// error, which is the last thing it yields and says in one line what failed,
// where, and what to do. An instrument that disappears is no error: it gives a
// Release, behind it what lets go of every key and pedal that it held, and a Found
// when it is there again. Stopping the iteration is allowed at any point.
//
// Close releases everything the source holds. It is called after the iteration
// has ended, any number of times; the first call's error counts.
//
// A channel was refused: it needs a second goroutine between the port and the
// analyser, and a rule about who drains it at the end. So was a second goroutine
// that waits for wake: the analyser belongs to one.
type Source interface {
	Events(ctx context.Context, wake <-chan struct{}) iter.Seq2[analyse.Event, error]
	Close() error
}
