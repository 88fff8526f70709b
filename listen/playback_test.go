package listen

import (
	"context"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/timebase"
)

func TestPlaybackKeepsTheTimeOfTheTake(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		events := []analyse.Event{
			{Tick: 0, Kind: analyse.Tempo, Value: 500_000},
			{Tick: 960, Kind: analyse.NoteOn, Key: 60, Velocity: 70}, // after 500 ms
			{Tick: 960, Kind: analyse.Tempo, Value: 1_000_000},
			{Tick: 1920, Kind: analyse.NoteOff, Key: 60}, // a second later
		}
		p, err := NewPlayback(events, 2400, InTime)
		require.NoError(t, err)
		begun := time.Now()
		var at []time.Duration
		advances := 0
		last := int64(0)
		for e, err := range p.Events(t.Context(), nil) {
			require.NoError(t, err)
			require.GreaterOrEqual(t, e.Tick, last)
			last = e.Tick
			if e.Kind == analyse.Advance {
				advances++
				continue
			}
			at = append(at, time.Since(begun))
		}
		assert.Equal(t, []time.Duration{0, 500 * time.Millisecond, 500 * time.Millisecond, 1500 * time.Millisecond}, at)
		assert.Equal(t, 2*time.Second, time.Since(begun), "waits for the end")
		assert.EqualValues(t, 2400, last)
		assert.InDelta(t, 200, advances, 5, "one every 10 ms")
	})
}

func TestPlaybackAtOnceDoesNotWait(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		p, err := NewPlayback([]analyse.Event{{Tick: timebase.MaxTick - 1, Kind: analyse.NoteOn}}, timebase.MaxTick, AtOnce)
		require.NoError(t, err)
		begun := time.Now()
		var got []analyse.Event
		for e := range p.Events(context.Background(), nil) {
			got = append(got, e)
		}
		assert.Zero(t, time.Since(begun))
		assert.Equal(t, []analyse.Event{{Tick: timebase.MaxTick - 1, Kind: analyse.NoteOn}, {Tick: timebase.MaxTick, Kind: analyse.Advance}}, got)
	})
}

func TestPlaybackDoesNotGoBackToItsEnd(t *testing.T) {
	events := []analyse.Event{{Tick: 960, Kind: analyse.NoteOn}}
	p, err := NewPlayback(events, 480, AtOnce)
	require.NoError(t, err)
	var got []analyse.Event
	for e := range p.Events(t.Context(), nil) {
		got = append(got, e)
	}
	assert.Equal(t, events, got)
}

func TestPlaybackRefusesWhatHasNoTime(t *testing.T) {
	for want, events := range map[string][]analyse.Event{
		"event 1 at tick 4: expected 5 to": {{Tick: 5, Kind: analyse.NoteOn}, {Tick: 4, Kind: analyse.NoteOn}},
		"event 0 at tick -1: expected 0":   {{Tick: -1, Kind: analyse.NoteOn}},
		"event 0 at tick":                  {{Tick: timebase.MaxTick + 1, Kind: analyse.NoteOn}},
		"event 0: tempo of 0 microseconds": {{Kind: analyse.Tempo}},
	} {
		_, err := NewPlayback(events, 0, InTime)
		assert.ErrorContains(t, err, want)
	}
	_, err := NewPlayback(nil, timebase.MaxTick+1, InTime)
	assert.ErrorContains(t, err, "end at tick")
}

// What comes before the start comes at once, time passes from there on, and nothing
// is left out.
func TestPlaybackStartsWithin(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		events := []analyse.Event{
			{Kind: analyse.Tempo, Value: 500_000}, {Tick: 960, Kind: analyse.NoteOn, Key: 60}, {Tick: 9600, Kind: analyse.NoteOn, Key: 62},
		}
		p, err := NewPlayback(events, 9600, InTime)
		require.NoError(t, err)
		p.StartAt(7680)
		began := time.Now()
		var at []time.Duration
		for e, err := range p.Events(t.Context(), nil) {
			require.NoError(t, err)
			if e.Kind == analyse.NoteOn {
				at = append(at, time.Since(began))
			}
		}
		require.Equal(t, []time.Duration{0, time.Second}, at, "two quarters at 120 before the last")
		require.Equal(t, began.Add(-4*time.Second), p.Zero())
	})
}
