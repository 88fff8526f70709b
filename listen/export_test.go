package listen

import (
	"context"
	"iter"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/timebase"
	"shedlight/listen/beat"
)

// NewFakeLive returns a live port whose instrument plays the channel messages
// among the events in time once the source is started; a tempo before
// them is the clock's.
func NewFakeLive(t testing.TB, events []analyse.Event) Source {
	system := &fakeSystem{ports: []string{"Keys"}}
	var clock beat.Setup
	for len(events) > 0 && events[0].Kind == analyse.Tempo {
		clock.Quarter, events = events[0].Value, events[1:]
	}
	l, err := openLive(system, Options{Beat: clock})
	require.NoError(t, err)
	return played{Live: l, system: system, events: events}
}

// played is a live port with somebody at the instrument.
type played struct {
	*Live
	system *fakeSystem
	events []analyse.Event
}

func (p played) Events(ctx context.Context, wake <-chan struct{}) iter.Seq2[analyse.Event, error] {
	return func(yield func(analyse.Event, error) bool) {
		done := make(chan struct{})
		ended := make(chan struct{})
		go func() {
			defer close(ended)
			p.play(done)
		}()
		p.Live.Events(ctx, wake)(yield)
		close(done)
		<-ended
	}
}

func (p played) play(done <-chan struct{}) {
	begun, before := time.Now(), time.Now()
	for _, e := range p.events {
		due := time.Duration(new(timebase.Tempo).Micros(e.Tick)) * time.Microsecond
		select {
		case <-time.After(due - time.Since(begun)):
		case <-done:
			return
		}
		p.system.send(time.Since(before).Seconds(), Wire(e)...)
		before = time.Now()
	}
}

// Wire returns the bytes of a channel message.
func Wire(e analyse.Event) []byte {
	status := map[analyse.Kind]byte{
		analyse.NoteOff: 0x80, analyse.NoteOn: 0x90, analyse.PolyPressure: 0xA0, analyse.Control: 0xB0,
		analyse.Program: 0xC0, analyse.ChannelPressure: 0xD0, analyse.PitchBend: 0xE0,
	}[e.Kind] | e.Channel
	if e.Kind == analyse.Program || e.Kind == analyse.ChannelPressure {
		return []byte{status, e.Key}
	}
	return []byte{status, e.Key, e.Velocity}
}
