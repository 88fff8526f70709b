package listen_test

import (
	"errors"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/listen"
	"shedlight/listen/listentest"
)

// phrase is what every source plays: a tempo change, a chord, and a release by
// velocity 0. At 500 ms and then 250 ms a quarter note its ticks are whole
// milliseconds.
func phrase() []analyse.Event {
	return []analyse.Event{
		{Tick: 0, Kind: analyse.Tempo, Value: 500_000},
		{Tick: 960, Kind: analyse.NoteOn, Key: 60, Velocity: 70},
		{Tick: 960, Kind: analyse.NoteOn, Key: 64, Velocity: 71},
		{Tick: 1440, Kind: analyse.NoteOn, Key: 60, Velocity: 0},
		{Tick: 1920, Kind: analyse.Control, Key: 64, Velocity: 127, Channel: 15},
	}
}

var errDamaged = errors.New("damaged")

func TestSourcesConform(t *testing.T) {
	faster := append(phrase(),
		analyse.Event{Tick: 1920, Kind: analyse.Tempo, Value: 250_000},
		analyse.Event{Tick: 2880, Kind: analyse.NoteOn, Key: 67, Velocity: 80},
	)
	playback := func(pace listen.Pace) func(*testing.T) listen.Source {
		return func(t *testing.T) listen.Source {
			p, err := listen.NewPlayback(faster, 3840, pace)
			require.NoError(t, err)
			return p
		}
	}
	for name, subject := range map[string]listentest.Subject{
		"live": {
			New: func(t *testing.T) listen.Source {
				return listen.NewFakeLive(t, phrase())
			},
			Want:    phrase(),
			Endless: true,
			Waits:   true,
		},
		"playback in time": {New: playback(listen.InTime), Want: faster, Waits: true},
		"playback at once": {New: playback(listen.AtOnce), Want: faster},
		"fake": {
			New:  func(*testing.T) listen.Source { return &listentest.Fake{Played: phrase()} },
			Want: phrase(),
		},
		"fake that fails after three events": {
			New: func(*testing.T) listen.Source {
				return &listentest.Fake{Played: phrase(), Err: errDamaged, FailAfter: 3}
			},
			Want: phrase()[:3],
			Err:  errDamaged,
		},
		"fake that fails at the end": {
			New: func(*testing.T) listen.Source {
				return &listentest.Fake{Played: phrase(), Err: errDamaged, FailAfter: len(phrase())}
			},
			Want: phrase(),
			Err:  errDamaged,
		},
	} {
		t.Run(name, func(t *testing.T) { listentest.Conform(t, subject) })
	}
}
