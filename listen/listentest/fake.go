// Package listentest helps to test what takes a listen.Source: a fake one, and
// the suite that every source passes.
package listentest

import (
	"context"
	"iter"

	"shedlight/analyse"
)

// Fake is a source that yields what it is told to, at once. With an Err it
// fails after FailAfter events, as a file that ends in damage does. Closed
// counts the calls of Close.
type Fake struct {
	Played    []analyse.Event
	Err       error
	FailAfter int
	Closed    int
}

// Events implements listen.Source.
func (f *Fake) Events(ctx context.Context, _ <-chan struct{}) iter.Seq2[analyse.Event, error] {
	return func(yield func(analyse.Event, error) bool) {
		for i, e := range f.Played {
			if ctx.Err() != nil {
				return
			}
			if f.Err != nil && i == f.FailAfter {
				break
			}
			if !yield(e, nil) {
				return
			}
		}
		if f.Err != nil && ctx.Err() == nil {
			yield(analyse.Event{}, f.Err)
		}
	}
}

// Close implements listen.Source.
func (f *Fake) Close() error {
	f.Closed++
	return nil
}
