package main

import (
	"context"
	"iter"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/cmd/shedlight/internal/settings"
	"shedlight/listen/beat"
)

// tapping is somebody who plays a note on each click of a clock, late by what a
// function says of it.
type tapping struct {
	t     *testing.T
	clock *beat.Clock
	late  func(click int) (late time.Duration, plays bool)
	heard int // clicks
}

func (s *tapping) Line() *beat.Line { return s.clock.Line() }
func (s *tapping) Close() error     { return nil }

func (s *tapping) Events(context.Context, <-chan struct{}) iter.Seq2[analyse.Event, error] {
	return func(yield func(analyse.Event, error) bool) {
		yields := func(at time.Duration, key uint8) bool {
			for _, e := range s.clock.Pass(at) {
				if !yield(e, nil) {
					return false
				}
			}
			e := analyse.Event{Tick: s.clock.Tick(at), Kind: analyse.Advance}
			if key > 0 {
				e.Kind, e.Key, e.Velocity = analyse.NoteOn, key, 80
			}
			return yield(e, nil)
		}
		const click = beat.LagTempo * time.Microsecond
		// The clock's first click comes soundAhead after its tick 0.
		for i := 0; yields(soundAhead+time.Duration(i)*click-click/4, 0); i++ {
			s.heard = i
			late, plays := s.late(i)
			if plays && !yields(soundAhead+time.Duration(i)*click+late, 60) {
				return
			}
			require.Less(s.t, i, 100, "it never ends")
		}
	}
}

func measured(t *testing.T, late func(click int) (time.Duration, bool)) (found beat.Lag, clicks int, err error) {
	t.Helper()
	clock, err := beat.New(lagClock())
	require.NoError(t, err)
	source := &tapping{t: t, clock: clock, late: late}
	begun := 0
	found, err = measureLag(t.Context(), source, func() { begun++ })
	require.Equal(t, 1, begun)
	return found, source.heard, err
}

func TestTheLagIsMeasured(t *testing.T) {
	const ms = time.Millisecond
	even, clicks, err := measured(t, func(click int) (time.Duration, bool) { return 43 * ms, click >= beat.LagLeadIn })
	require.NoError(t, err)
	require.InDelta(t, 43, even.Lag.Milliseconds(), 1)
	require.Equal(t, []int{16, 16}, []int{even.Used, even.Played})
	require.Equal(t, beat.LagLeadIn+beat.LagWarmUp+beat.LagBeats-1, clicks, "sixteen are enough")

	warming, _, err := measured(t, func(click int) (time.Duration, bool) {
		if click < beat.LagLeadIn+beat.LagWarmUp {
			return 200 * ms, true
		}
		return -20 * ms, true
	})
	require.NoError(t, err)
	require.InDelta(t, -20, warming.Lag.Milliseconds(), 1, "the first four do not count")

	r := rand.New(rand.NewPCG(7, 0))
	loose, clicks, err := measured(t, func(int) (time.Duration, bool) {
		return 60*ms + time.Duration(r.NormFloat64()*25*float64(ms)), true
	})
	require.NoError(t, err)
	require.Equal(t, beat.LagLeadIn+beat.LagWarmUp+beat.LagMore-1, clicks, "a doubt asks for more")
	require.Equal(t, beat.LagMore, loose.Played)

	_, _, err = measured(t, func(int) (time.Duration, bool) { return 0, false })
	require.ErrorIs(t, err, beat.ErrTooFewTaps)
}

// What was measured is kept for its instrument and output, and measured anew is
// kept in its place.
func TestLagsAreKept(t *testing.T) {
	ownState(t)
	require.Zero(t, settings.Lag("Keys", "Headphones"))
	require.NoError(t, settings.KeepLag("Keys", "Headphones", 43))
	require.NoError(t, settings.KeepLag("Keys", "Monitor", 12))
	require.NoError(t, settings.KeepLag("Keys", "Headphones", -5))
	require.Equal(t, -5, settings.Lag("Keys", "Headphones"))
	require.Equal(t, 12, settings.Lag("Keys", "Monitor"))
	require.Zero(t, settings.Lag("Wind", "Headphones"))
}
