package listen

import (
	"context"
	"errors"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/listen/beat"
	"shedlight/listen/internal/driver"
)

// At 500 ms a quarter note a millisecond is 1.92 ticks; at 480 ms it is two.
const ticksPerMillisecond = 2

func atTwoTicks() beat.Setup { return beat.Setup{Quarter: 480_000} }

// session runs a live port in a bubble: the script goes on beside it, in the
// bubble's own time, and the port is closed when the script returns. The result
// is what was yielded, without the opening and without Advances.
func session(t *testing.T, system *fakeSystem, o Options, script func(*Live)) []analyse.Event {
	t.Helper()
	o.Beat.Quarter = atTwoTicks().Quarter
	l, err := openLive(system, o)
	require.NoError(t, err)
	ctx, cancel := context.WithCancel(t.Context())
	go func() {
		defer cancel()
		script(l)
	}()
	var got []analyse.Event
	last := int64(0)
	for e, err := range l.Events(ctx, nil) {
		require.NoError(t, err)
		require.GreaterOrEqual(t, e.Tick, last, "ticks never decrease")
		last = e.Tick
		if e.Kind != analyse.Advance && e.Kind != analyse.Tempo {
			got = append(got, e)
		}
	}
	require.NoError(t, l.Close())
	assert.Equal(t, system.opens, system.closes, "every open is closed")
	assert.Equal(t, 1, system.closed, "the driver is let go")
	return got
}

// pass lets time go by in the bubble.
func pass(d time.Duration) { <-time.After(d) }

func TestLiveTakesTheLagOff(t *testing.T) {
	for _, test := range []struct {
		lag  time.Duration
		want int64
	}{
		{0, 100 * ticksPerMillisecond},
		{30 * time.Millisecond, 70 * ticksPerMillisecond},
		{-30 * time.Millisecond, 130 * ticksPerMillisecond},
		{200 * time.Millisecond, 0},
	} {
		synctest.Test(t, func(t *testing.T) {
			system := &fakeSystem{ports: []string{"Keys"}}
			got := session(t, system, Options{Beat: beat.Setup{Lag: test.lag}}, func(*Live) {
				pass(100 * time.Millisecond)
				system.send(0, 0x90, 60, 70)
				pass(time.Second)
			})
			want := []analyse.Event{{Tick: test.want, Kind: analyse.NoteOn, Key: 60, Velocity: 70}}
			assert.Equal(t, want, got, "lag %v", test.lag)
		})
	}
}

func TestLivePassesChannelMessagesOnly(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		system := &fakeSystem{ports: []string{"Keys"}}
		var dropped uint64
		got := session(t, system, Options{}, func(l *Live) {
			for _, message := range [][]byte{
				{0x8F, 60, 64}, {0x90, 60, 0}, {0xA1, 60, 1}, {0xB2, 64, 127}, {0xC3, 5}, {0xD4, 6}, {0xE5, 0, 64},
				{0xF0, 1, 2, 3, 0xF7}, {0xF7}, {0xF8}, {0xFA}, {0xFC}, {0xF2, 0, 1}, {0xFF}, // system messages
				{}, {60, 64}, {0x90}, {0x90, 60}, {0x90, 60, 200}, {0x90, 128, 1}, {0xC3, 5, 5}, {0x90, 60, 1, 1}, // none at all
			} {
				system.send(0, message...)
			}
			synctest.Wait()
			dropped = l.Dropped()
		})
		assert.Equal(t, []analyse.Event{
			{Kind: analyse.NoteOff, Channel: 15, Key: 60, Velocity: 64},
			{Kind: analyse.NoteOn, Key: 60},
			{Kind: analyse.PolyPressure, Channel: 1, Key: 60, Velocity: 1},
			{Kind: analyse.Control, Channel: 2, Key: 64, Velocity: 127},
			{Kind: analyse.Program, Channel: 3, Key: 5},
			{Kind: analyse.ChannelPressure, Channel: 4, Key: 6},
			{Kind: analyse.PitchBend, Channel: 5, Velocity: 64},
		}, got)
		assert.EqualValues(t, 8, dropped)
	})
}

func TestLiveAdvancesBehindTheWallClock(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		system := &fakeSystem{ports: []string{"Keys"}}
		l, err := openLive(system, Options{Beat: atTwoTicks()})
		require.NoError(t, err)
		ctx, cancel := context.WithTimeout(t.Context(), time.Second)
		defer cancel()
		begun := time.Now()
		var last int64
		for e := range l.Events(ctx, nil) {
			if e.Kind != analyse.Advance {
				continue
			}
			last = e.Tick
			if ctx.Err() == nil {
				want := time.Since(begun) - behind
				assert.Equal(t, want.Milliseconds()*ticksPerMillisecond, e.Tick)
			}
		}
		assert.EqualValues(t, 1000*ticksPerMillisecond, last, "the end is settled to the moment it was called for")
		require.NoError(t, l.Close())
	})
}

// A message whose driver time lies before its callback, while the caller was
// quiet: the Advance before it must not have passed its tick.
func TestAdvanceLeavesRoomForLateCallbacks(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		system := &fakeSystem{ports: []string{"Keys"}}
		got := session(t, system, Options{}, func(*Live) {
			pass(100 * time.Millisecond)
			system.send(0, 0x90, 60, 70)
			pass(139 * time.Millisecond)
			system.send(0.1, 0x80, 60, 0) // happened at 200 ms, 39 ms late
			pass(time.Second)
		})
		require.Len(t, got, 2)
		assert.EqualValues(t, 200*ticksPerMillisecond, got[1].Tick)
	})
}

// The scheduler may stop a callback between its clock and its send for as long
// as it likes. Such a message comes at what is settled by then.
func TestACallbackHeldUpBeforeItsSend(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		system := &fakeSystem{ports: []string{"Keys"}}
		got := session(t, system, Options{}, func(l *Live) {
			at := time.Since(l.epoch)
			pass(205 * time.Millisecond)
			l.queue <- message{wall: at, connection: 1, size: 3, bytes: [3]byte{0x90, 60, 70}}
		})
		assert.Equal(t, []analyse.Event{{Tick: 150 * ticksPerMillisecond, Kind: analyse.NoteOn, Key: 60, Velocity: 70}}, got)
	})
}

// A caller that takes long over each event has messages waiting. An Advance
// must not settle what they are about to change.
func TestAdvanceNeverPassesAQueuedMessage(t *testing.T) {
	const notes = 40
	synctest.Test(t, func(t *testing.T) {
		system := &fakeSystem{ports: []string{"Keys"}}
		l, err := openLive(system, Options{Beat: atTwoTicks()})
		require.NoError(t, err)
		ctx, cancel := context.WithCancel(t.Context())
		defer cancel()
		go func() {
			for range notes {
				pass(5 * time.Millisecond)
				system.send(0.005, 0x90, 60, 70)
			}
		}()
		count := int64(0)
		for e := range l.Events(ctx, nil) {
			if e.Kind != analyse.NoteOn {
				continue
			}
			count++
			assert.Equal(t, 5*count*ticksPerMillisecond, e.Tick, "note %d", count)
			pass(100 * time.Millisecond)
			if count == notes {
				cancel()
			}
		}
		assert.EqualValues(t, notes, count)
		require.NoError(t, l.Close())
	})
}

// MIDI 1.0, active sensing: after the first FE a receiver expects something at
// least every 300 ms, and after a time-out turns off what sounds and returns to
// normal operation.
func TestActiveSensing(t *testing.T) {
	timedOut := func(ms int64) analyse.Event {
		// Seen at the first look past the limit, stamped 50 ms behind it.
		return analyse.Event{Tick: (ms - 50) * ticksPerMillisecond, Kind: analyse.Release, Value: int64(analyse.SensingTimedOut)}
	}
	sense := []byte{0xFE}
	note := []byte{0x90, 60, 70}
	type step struct {
		after time.Duration
		bytes []byte
	}
	for name, test := range map[string]struct {
		steps []step
		want  []analyse.Event
	}{
		"never sensed, never timed out": {[]step{{0, note}}, nil},
		"330 ms are not too long":       {[]step{{0, sense}, {330 * time.Millisecond, sense}, {300 * time.Millisecond, sense}}, []analyse.Event{timedOut(970)}},
		"silence":                       {[]step{{0, sense}}, []analyse.Event{timedOut(340)}},
		"any message counts":            {[]step{{0, sense}, {250 * time.Millisecond, note}, {250 * time.Millisecond, note}}, []analyse.Event{timedOut(840)}},
		"only sensing arms again":       {[]step{{0, sense}, {time.Second, note}}, []analyse.Event{timedOut(340)}},
		"armed again":                   {[]step{{0, sense}, {time.Second, sense}}, []analyse.Event{timedOut(340), timedOut(1340)}},
	} {
		t.Run(name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				system := &fakeSystem{ports: []string{"Keys"}}
				got := session(t, system, Options{}, func(*Live) {
					for _, s := range test.steps {
						pass(s.after)
						system.send(s.after.Seconds(), s.bytes...)
					}
					pass(2 * time.Second)
				})
				var releases []analyse.Event
				for _, e := range got {
					if e.Kind == analyse.Release {
						releases = append(releases, e)
					}
				}
				assert.Equal(t, test.want, releases)
			})
		})
	}
}

func TestLostMessagesAreCountedAtTheirPlace(t *testing.T) {
	const lost = 7
	synctest.Test(t, func(t *testing.T) {
		system := &fakeSystem{ports: []string{"Keys"}}
		l, err := openLive(system, Options{})
		require.NoError(t, err)
		for range queueSize + lost {
			system.send(0, 0x90, 60, 70)
		}
		ctx, cancel := context.WithCancel(t.Context())
		defer cancel()
		kinds := map[analyse.Kind]int{}
		var order []analyse.Event
		for e := range l.Events(ctx, nil) {
			if kinds[e.Kind]++; kinds[analyse.NoteOn] < queueSize {
				if kinds[analyse.NoteOn] == queueSize-1 {
					system.send(0, 0x90, 61, 70) // there is room again
					time.AfterFunc(time.Second, cancel)
				}
				continue
			}
			if e.Kind != analyse.Advance {
				order = append(order, e)
			}
		}
		assert.Equal(t, []analyse.Event{
			{Kind: analyse.NoteOn, Key: 60, Velocity: 70},
			{Kind: analyse.Lost, Value: lost},
			{Kind: analyse.Release, Value: int64(analyse.Overflowed)},
			{Kind: analyse.NoteOff, Key: 60, Velocity: 64},
			{Kind: analyse.NoteOn, Key: 61, Velocity: 70},
		}, order)
		require.NoError(t, l.Close())
	})
}

func TestLostMessagesAreCountedWhenNoneFollows(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		system := &fakeSystem{ports: []string{"Keys"}}
		l, err := openLive(system, Options{})
		require.NoError(t, err)
		for range queueSize + 1 {
			system.send(0, 0x90, 60, 70)
		}
		ctx, cancel := context.WithTimeout(t.Context(), time.Second)
		defer cancel()
		var tail []analyse.Kind
		for e := range l.Events(ctx, nil) {
			if e.Kind != analyse.NoteOn && e.Kind != analyse.Advance {
				tail = append(tail, e.Kind)
			}
		}
		assert.Equal(t, []analyse.Kind{analyse.Lost, analyse.Release, analyse.NoteOff}, tail)
		require.NoError(t, l.Close())
	})
}

func TestUnpluggedAndPluggedInAgain(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		system := &fakeSystem{api: driver.ALSA, ports: []string{"Midi Through:Midi Through Port-0 14:0", "Keys:Keys MIDI 1 20:0"}}
		got := session(t, system, Options{}, func(l *Live) {
			assert.Equal(t, "Keys:Keys MIDI 1 20:0", l.Name())
			system.send(0, 0x90, 60, 70)
			pass(100 * time.Millisecond)
			system.unplug("Keys:Keys MIDI 1 20:0")
			system.send(0, 0x80, 60, 0) // nobody hears it
			pass(3 * time.Second)
			system.plug("Keys:Keys MIDI 1 24:0")
			pass(2 * time.Second)
			assert.Equal(t, "Keys:Keys MIDI 1 24:0", l.Name())
			system.send(0, 0x90, 62, 70)
		})
		require.Len(t, got, 5)
		assert.Equal(t, analyse.Event{Kind: analyse.NoteOn, Key: 60, Velocity: 70}, got[0])
		assert.Equal(t, analyse.Event{Tick: 200 * ticksPerMillisecond, Kind: analyse.Release, Value: int64(analyse.Unplugged)}, got[1], "seen at 250 ms, 50 ms behind")
		assert.Equal(t, analyse.Event{Tick: 200 * ticksPerMillisecond, Kind: analyse.NoteOff, Key: 60, Velocity: 64}, got[2])
		assert.Equal(t, analyse.Found, got[3].Kind)
		assert.Equal(t, analyse.Event{Tick: 5100 * ticksPerMillisecond, Kind: analyse.NoteOn, Key: 62, Velocity: 70}, got[4])
	})
}

// Back under the same name before anybody looked: only the connection is lost.
func TestPluggedInAgainAtOnce(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		system := &fakeSystem{ports: []string{"Keys"}}
		got := session(t, system, Options{Port: "Keys"}, func(*Live) {
			pass(10 * time.Millisecond)
			system.unplug("Keys")
			system.plug("Keys")
			pass(3 * time.Second)
			system.send(0, 0x90, 62, 70)
		})
		kinds := make([]analyse.Kind, len(got))
		for i, e := range got {
			kinds[i] = e.Kind
		}
		assert.Equal(t, []analyse.Kind{analyse.Release, analyse.Found, analyse.NoteOn}, kinds)
	})
}

func TestUnpluggedIsReleasedOnce(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		system := &fakeSystem{ports: []string{"Keys"}}
		got := session(t, system, Options{}, func(*Live) {
			system.send(0, 0xFE)
			system.unplug("Keys")
			pass(3 * time.Second)
		})
		assert.Len(t, got, 1, "active sensing stopped with the instrument")
	})
}

// A close that hangs leaves a callback behind that may still be called.
func TestAnOldConnectionIsNotHeard(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		system := &fakeSystem{ports: []string{"Keys"}}
		got := session(t, system, Options{}, func(*Live) {
			old := system.inputs.receive
			system.unplug("Keys")
			pass(time.Second)
			old([]byte{0x90, 60, 70}, 0)
			system.plug("Keys")
			pass(2 * time.Second)
			old([]byte{0x90, 61, 70}, 0)
		})
		require.Len(t, got, 2)
		assert.Equal(t, analyse.Release, got[0].Kind)
		assert.Equal(t, analyse.Found, got[1].Kind)
	})
}

func TestManyUnplugsLeaveNothingOpen(t *testing.T) {
	const cycles = 500
	synctest.Test(t, func(t *testing.T) {
		system := &fakeSystem{ports: []string{"Keys"}}
		got := session(t, system, Options{}, func(*Live) {
			for range cycles {
				system.unplug("Keys")
				pass(2 * time.Second)
				system.plug("Keys")
				pass(2 * time.Second)
			}
		})
		assert.Len(t, got, 2*cycles)
		assert.Equal(t, cycles+1, system.opens)
	})
}

// Each open that fails costs descriptors and threads of the sound system.
func TestFailedOpensBackOff(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		system := &fakeSystem{ports: []string{"Keys"}}
		got := session(t, system, Options{}, func(*Live) {
			system.unplug("Keys")
			pass(time.Second)
			system.setRefuse(driver.NotOpened)
			system.plug("Keys")
			pass(10 * time.Minute)
			assert.LessOrEqual(t, system.opens, 30, "opens in ten minutes")
			system.setRefuse(nil)
			pass(searchAtMost + time.Second)
		})
		require.Len(t, got, 2)
		assert.Equal(t, analyse.Found, got[1].Kind)
	})
}

func TestOpenLiveSaysWhatIsWrong(t *testing.T) {
	system := &fakeSystem{ports: []string{"Keys", "Wind"}}
	_, err := openLive(system, Options{Port: "Drums"})
	assert.EqualError(t, err, `no MIDI input is called "Drums"; there is "Keys", "Wind"`)

	_, err = openLive(system, Options{Port: "Wind", Beat: beat.Setup{Quarter: 1}})
	assert.ErrorContains(t, err, "tempo of 1 microseconds")
	assert.Equal(t, system.opens, system.closes, "what was opened is closed")

	system.refuse = driver.NotOpened
	_, err = openLive(system, Options{Port: "Wind"})
	assert.ErrorIs(t, err, NotOpened)
	assert.ErrorContains(t, err, `MIDI input "Wind": the port could not be opened`)

	system.listFail = driver.NoJACK
	_, err = openLive(system, Options{})
	assert.ErrorIs(t, err, NoJACK)

}

func TestSourcesStartOnce(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		l, err := openLive(&fakeSystem{ports: []string{"Keys"}}, Options{})
		require.NoError(t, err)
		p, err := NewPlayback(nil, 0, AtOnce)
		require.NoError(t, err)
		ctx, cancel := context.WithCancel(t.Context())
		cancel()
		for _, s := range []Source{l, p} {
			for range s.Events(ctx, nil) {
			}
			var failed error
			for _, err := range s.Events(ctx, nil) {
				failed = err
			}
			assert.ErrorIs(t, failed, errStartedTwice)
			require.NoError(t, s.Close())
		}
	})
}

// Whoever runs the sequence knows about the screen: a panic of the watch has to
// come up there.
func TestPanicOfTheWatchComesUpInTheCaller(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		fault := errors.New("driver fault")
		system := &fakeSystem{ports: []string{"Keys"}, onLook: func() { panic(fault) }}
		l, err := openLive(system, Options{})
		require.NoError(t, err)
		assert.PanicsWithError(t, fault.Error(), func() {
			for range l.Events(t.Context(), nil) {
			}
		})
		require.NoError(t, l.Close())
	})
}

// A panic in the callback, which is on a thread of the sound system, comes up there too.
func TestPanicOfTheCallbackComesUpInTheCaller(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		l, err := openLive(&fakeSystem{ports: []string{"Keys"}}, Options{})
		require.NoError(t, err)
		broken := &Live{queue: make(chan message), crashed: l.crashed}
		close(broken.queue) // a send panics
		receive := broken.receive(1)
		for range 3 { // it waits for nobody
			assert.NotPanics(t, func() { receive([]byte{0x90, 60, 70}, 0) })
		}
		assert.PanicsWithError(t, "send on closed channel", func() {
			for range l.Events(t.Context(), nil) {
			}
		})
		require.NoError(t, l.Close())
	})
}
