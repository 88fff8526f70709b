package listentest

import (
	"context"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/listen"
)

// Subject is a kind of source under test.
type Subject struct {
	// New returns a source that plays Want once its events are asked for. It
	// is called in a bubble of testing/synctest: time is not real there.
	New func(t *testing.T) listen.Source
	// Want is what comes, without Advances, ticks included.
	Want []analyse.Event
	// Err is the error the sequence ends with, nil if it has none.
	Err error
	// Endless is set if only ctx ends the sequence.
	Endless bool
	// Waits is set if time passes between the events.
	Waits bool
}

// longer is longer than any Subject plays.
const longer = time.Minute

// Conform checks that a source keeps the contract of listen.Source.
func Conform(t *testing.T, s Subject) {
	t.Helper()
	for name, check := range map[string]func(*testing.T, Subject){
		"plays all in order, then ends":            playsAll,
		"ends when ctx was done before":            endsAtOnce,
		"ends when ctx is done between two events": endsBetween,
		"stops at any event":                       stopsAnywhere,
		"closes without having been started":       closesUnstarted,
		"gives a turn when it is woken":            wakes,
	} {
		t.Run(name, func(t *testing.T) {
			// The bubble fails if a goroutine is left when its function ends.
			synctest.Test(t, func(t *testing.T) { check(t, s) })
		})
	}
}

func playsAll(t *testing.T, s Subject) {
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	source := s.New(t)
	defer closes(t, source)
	if s.Endless {
		time.AfterFunc(longer, cancel)
	}
	var got []analyse.Event
	var failed error
	last := int64(0)
	for e, err := range source.Events(ctx, nil) {
		require.NoError(t, failed, "an error is the last that is yielded")
		if failed = err; err != nil {
			continue
		}
		require.GreaterOrEqual(t, e.Tick, last, "ticks never decrease")
		last = e.Tick
		if e.Kind != analyse.Advance {
			got = append(got, e)
		}
	}
	assert.Equal(t, s.Want, got)
	assert.ErrorIs(t, failed, s.Err)
	if s.Endless {
		assert.Error(t, ctx.Err(), "the sequence ended by itself")
	} else {
		assert.NoError(t, ctx.Err())
	}
}

func endsAtOnce(t *testing.T, s Subject) {
	ctx, cancel := context.WithCancel(t.Context())
	source := s.New(t)
	defer closes(t, source)
	cancel()
	begun := time.Now()
	for _, err := range source.Events(ctx, nil) {
		require.NoError(t, err)
	}
	assert.Zero(t, time.Since(begun), "waited")
}

func endsBetween(t *testing.T, s Subject) {
	for n := 1; n < len(s.Want); n++ {
		ctx, cancel := context.WithCancel(t.Context())
		source := s.New(t)
		count, ended := 0, time.Time{}
		for e, err := range source.Events(ctx, nil) {
			if err != nil || e.Kind == analyse.Advance {
				continue
			}
			if count++; count == n {
				ended = time.Now()
				cancel()
			}
		}
		assert.Zero(t, time.Since(ended), "went on after event %d", n)
		cancel()
		closes(t, source)
	}
}

func stopsAnywhere(t *testing.T, s Subject) {
	for n := range s.Want {
		source := s.New(t)
		count := 0
		for e, err := range source.Events(t.Context(), nil) {
			if err == nil && e.Kind == analyse.Advance {
				continue
			}
			if count++; count > n {
				break
			}
		}
		closes(t, source)
	}
}

// wakes wakes a source at odd moments while it plays. A source that waits answers
// at once, with an Advance that goes nowhere, and plays on as it would have.
func wakes(t *testing.T, s Subject) {
	const odd = 7 * time.Millisecond
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	source := s.New(t)
	defer closes(t, source)
	if s.Endless {
		time.AfterFunc(longer, cancel)
	}
	wake := make(chan struct{})
	asked := make(chan time.Time, 1)
	go func() {
		for {
			select {
			case <-time.After(odd):
			case <-ctx.Done():
				return
			}
			select {
			case wake <- struct{}{}:
				asked <- time.Now()
			case <-ctx.Done():
				return
			}
		}
	}()
	var got []analyse.Event
	last, turns := int64(-1), 0
	for e, err := range source.Events(ctx, wake) {
		if err != nil {
			break
		}
		switch {
		case e.Kind != analyse.Advance:
			got = append(got, e)
		case e.Tick == max(last, 0):
			turns++
			assert.Zero(t, time.Since(<-asked), "the turn came late")
		default:
			assert.Greater(t, e.Tick, last, "an Advance without a wake goes on")
		}
		last = e.Tick
	}
	assert.Equal(t, s.Want, got)
	assert.Equal(t, s.Waits, turns > 0)
}

func closesUnstarted(t *testing.T, s Subject) { closes(t, s.New(t)) }

func closes(t *testing.T, source listen.Source) {
	t.Helper()
	for range 3 {
		assert.NoError(t, source.Close())
	}
}
