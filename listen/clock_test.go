package listen

import (
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/timebase"
	"shedlight/listen/beat"
)

// fourBars follows a clock over a form of four bars.
func fourBars() Options {
	f := &beat.Form{}
	for range 4 {
		f.Bars = append(f.Bars, beat.Bar{Start: f.Length, Meter: timebase.Common})
		f.Length += timebase.Common.Bar()
	}
	return Options{Beat: beat.Setup{Form: f, Follow: true}}
}

// at100 is a pulse at 100 quarter notes a minute.
const at100 = 25 * time.Millisecond

func pulses(system *fakeSystem, n int) {
	for range n {
		pass(at100)
		system.send(at100.Seconds(), timingClock)
	}
}

// songs returns the song ticks of the notes, -1 where the song stands.
func songs(events []analyse.Event) (out []int64) {
	origin := analyse.Event{}
	for _, e := range events {
		switch {
		case e.Kind == analyse.Origin:
			origin = e
		case e.Kind == analyse.NoteOn && origin.Key == 1:
			out = append(out, e.Tick-origin.Tick+origin.Value)
		case e.Kind == analyse.NoteOn:
			out = append(out, -1)
		}
	}
	return out
}

// An instrument that sends its clock beside its notes carries the song: notes lie where
// its pulses say (MIDI 1.0, system real time messages).
func TestLiveFollowsItsInstrument(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		system := &fakeSystem{api: "alsa", ports: []string{"Sequencer"}}
		note := func() { system.send(0, 0x90, 60, 70) }
		events := session(t, system, fourBars(), func(l *Live) {
			pulses(system, 30)
			note() // nothing is counted yet
			system.send(0, clockStart)
			pulses(system, 1)
			note() // on one
			pulses(system, 24)
			note() // on two
			system.send(0, clockStop)
			pulses(system, 10)
			note()
			system.send(0, songPosition, 16, 0) // the second bar, of a chorus with a number of its own
			system.send(0, clockContinue)
			pulses(system, 13)
			note() // half a beat into it
			pass(2 * time.Second)
			require.True(t, l.ClockLost())
			note() // the beat goes on: 3 and a third beats later
		})
		got := songs(events)
		require.Len(t, got, 6)
		bar := timebase.Common.Bar()
		for i, want := range []int64{-1, 0, 960, -1, 5*bar + 480, 5*bar + 480 + 3200} {
			assert.InDelta(t, want, got[i], 3, "note %d", i)
		}
	})
}

// A clock on a port of its own is followed as the instrument's would be, and not the
// instrument's beside it; other messages there are nothing. Pulled out, it is lost, and
// plugged in again it is found.
func TestLiveFollowsAnotherPort(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		keys, drums := &fakeSystem{ports: []string{"Keys"}}, &fakeSystem{ports: []string{"Drums"}}
		note := func() { keys.send(0, 0x90, 60, 70) }
		events := session(t, keys, fourBars(), func(l *Live) {
			l.options.Clock = "Drums"
			var err error
			l.other, err = l.beside(drums)
			require.NoError(t, err)
			drums.send(0, activeSensing)
			drums.send(0, clockStart)
			for range 49 {
				pulses(drums, 1)
				keys.send(0, timingClock) // its own does not count
				drums.send(0, 0xF9)       // reserved
				drums.send(0, 0x90, 40, 90)
			}
			require.True(t, l.ClockTicks())
			note() // on three
			drums.unplug("Drums")
			pass(2 * time.Second)
			require.True(t, l.ClockLost())
			require.False(t, l.ClockTicks())
			drums.plug("Drums")
			pass(1600 * time.Millisecond)
			pulses(drums, 12) // on the sixth quarter after it was pulled, and half of one
			require.False(t, l.ClockLost())
			note()
		})
		got := songs(events)
		require.Len(t, got, 2)
		assert.InDelta(t, 2*960, got[0], 3)
		assert.InDelta(t, 2*960+6*960+480, got[1], 3)
	})
}

// A clock that nobody follows is nothing.
func TestLivePassesOverClocks(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		system := &fakeSystem{api: "alsa", ports: []string{"Sequencer"}}
		events := session(t, system, Options{}, func(l *Live) {
			system.send(0, clockStart)
			pulses(system, 30)
			system.send(0, clockStop)
		})
		assert.Empty(t, events)
	})
}
