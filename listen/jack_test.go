//go:build jack

package listen_test

import (
	"context"
	"os"
	"slices"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/timebase"
	"shedlight/listen"
	"shedlight/listen/jacktest"
)

func TestMain(m *testing.M) { jacktest.Main(m) }

// stateLimit is how long a test waits for an instrument to be lost or found.
const stateLimit = 15 * time.Second

// quietLimit is how long a test waits for a moment in which nothing holds the
// server up.
const quietLimit = 30 * time.Second

// listener runs a live port over JACK and keeps what it yields.
type listener struct {
	live   *listen.Live
	cancel context.CancelFunc
	ended  chan struct{}
	mu     sync.Mutex
	events []analyse.Event // without Advances
}

func listenTo(t *testing.T, port string) *listener {
	t.Helper()
	live, err := listen.OpenLive(listen.Options{API: "jack", Port: port})
	require.NoError(t, err)
	ctx, cancel := context.WithCancel(context.Background())
	l := &listener{live: live, cancel: cancel, ended: make(chan struct{})}
	go func() {
		defer close(l.ended)
		for e, err := range live.Events(ctx, nil) {
			if err == nil && e.Kind == analyse.Advance {
				continue
			}
			l.mu.Lock()
			l.events = append(l.events, e)
			l.mu.Unlock()
		}
	}()
	t.Cleanup(l.close)
	return l
}

func (l *listener) close() {
	l.cancel()
	<-l.ended
	_ = l.live.Close() // the first one counts and is checked where it matters
}

func (l *listener) heard() []analyse.Event {
	l.mu.Lock()
	defer l.mu.Unlock()
	return slices.Clone(l.events)
}

func (l *listener) count(kinds ...analyse.Kind) int {
	n := 0
	for _, e := range l.heard() {
		if slices.Contains(kinds, e.Kind) {
			n++
		}
	}
	return n
}

// connected plays a controller until it is heard, and waits for the last one
// played: JACK connects a port some periods after it was asked to.
func (l *listener) connected(t *testing.T, s *jacktest.Sender) {
	t.Helper()
	before := l.count(analyse.Control)
	last := byte(0)
	jacktest.Until(t, stateLimit, "a message comes through", func() bool {
		last = (last + 1) % 128
		s.Play(jacktest.Message{Bytes: []byte{0xB0, 7, last}})
		return l.count(analyse.Control) > before
	})
	jacktest.Until(t, stateLimit, "the last message comes through", func() bool {
		heard := l.heard()
		return heard[len(heard)-1].Velocity == last
	})
}

func message(after time.Duration, b ...byte) jacktest.Message {
	return jacktest.Message{After: after, Bytes: b}
}

func TestJACKPhrase(t *testing.T) {
	jacktest.Start(t)
	sender := jacktest.NewSender(t, "Keys")
	ports, err := listen.Ports("jack")
	require.NoError(t, err)
	assert.Contains(t, ports.Inputs, sender.Port)
	l := listenTo(t, "Keys:out")
	l.connected(t, sender)
	const ms = time.Millisecond
	phrase := []jacktest.Message{
		message(50*ms, 0x90, 60, 70), message(0, 0x90, 64, 71), message(0, 0x9F, 67, 72), // a chord on two channels
		message(83*ms, 0x90, 60, 0), message(7*ms, 0x80, 64, 33), message(7*ms, 0x8F, 67, 64),
		message(31*ms, 0xB0, 64, 127), message(3*ms, 0xE2, 0x01, 0x40), message(3*ms, 0xD3, 99), message(3*ms, 0xC4, 5), message(3*ms, 0xA5, 60, 9),
		message(0, 0xF0, 1, 2, 3, 0xF7), message(0, 0xF8), message(0, 0xFE), // none of these is kept
		message(100*ms, 0x90, 72, 1), message(250*ms, 0x80, 72, 0),
	}
	// The bytes and their order must be right every time. The onsets hang on
	// when a busy machine lets the server and the player run: a phrase that was
	// not held up shows that what we stamp is within two periods.
	phrases, worst := 0, time.Duration(0)
	jacktest.Until(t, quietLimit, "a phrase with its onsets within two JACK periods", func() bool {
		phrases++
		worst = l.playAndCompare(t, sender, phrase)
		return worst <= 2*jacktest.Period
	})
	l.close()
	assert.Zero(t, l.live.Dropped())
	t.Logf("onsets at most %v off, in phrase %d; two JACK periods are %v", worst, phrases, 2*jacktest.Period)
}

// playAndCompare plays a phrase, requires its bytes in their order, and returns
// how far an onset is off at most.
func (l *listener) playAndCompare(t *testing.T, sender *jacktest.Sender, phrase []jacktest.Message) (worst time.Duration) {
	before := len(l.heard())
	var kept []jacktest.Message
	var sent []time.Duration
	for i, at := range sender.Play(phrase...) {
		if phrase[i].Bytes[0] < 0xF0 {
			kept, sent = append(kept, phrase[i]), append(sent, at)
		}
	}
	jacktest.Until(t, stateLimit, "the whole phrase is heard", func() bool { return len(l.heard()) >= before+len(kept) })
	got := l.heard()[before:]
	require.Len(t, got, len(kept))
	var tempo timebase.Tempo
	for i, e := range got {
		require.Equal(t, kept[i].Bytes, listen.Wire(e), "message %d", i)
		at := time.Duration(tempo.Micros(e.Tick)-tempo.Micros(got[0].Tick)) * time.Microsecond
		worst = max(worst, (at - (sent[i] - sent[0])).Abs())
	}
	return worst
}

func TestJACKPortGoneAndBack(t *testing.T) {
	jacktest.Start(t)
	sender := jacktest.NewSender(t, "Keys")
	l := listenTo(t, "")
	assert.Equal(t, "Keys:out", l.live.Name())
	l.connected(t, sender)
	sender.Play(message(0, 0x90, 60, 70))
	for range times() {
		lost, found := l.count(analyse.Release), l.count(analyse.Found)
		sender.Vanish()
		gone := jacktest.Until(t, stateLimit, "the loss is noticed", func() bool { return l.count(analyse.Release) == lost+1 })
		sender = jacktest.NewSender(t, "Keys")
		back := jacktest.Until(t, stateLimit, "the return is noticed", func() bool { return l.count(analyse.Found) == found+1 })
		l.connected(t, sender)
		t.Logf("loss noticed after %v, return after %v", gone.Round(time.Millisecond), back.Round(time.Millisecond))
	}
}

func TestJACKServerGoneAndBack(t *testing.T) {
	server := jacktest.Start(t)
	sender := jacktest.NewSender(t, "Keys")
	l := listenTo(t, "Keys:out")
	l.connected(t, sender)
	for name, end := range map[string]func(){"stopped": server.Stop, "killed": server.Kill} {
		lost, found := l.count(analyse.Release), l.count(analyse.Found)
		end()
		gone := jacktest.Until(t, stateLimit, "the loss is noticed", func() bool { return l.count(analyse.Release) == lost+1 })
		sender.Vanish()
		server.Run()
		sender = jacktest.NewSender(t, "Keys")
		back := jacktest.Until(t, stateLimit, "the return is noticed", func() bool { return l.count(analyse.Found) == found+1 })
		l.connected(t, sender)
		t.Logf("jackd %s: noticed after %v; back after %v", name, gone.Round(time.Millisecond), back.Round(time.Millisecond))
	}
}

// A DIN cable carries about 1,000 messages a second.
func TestJACKFloodLosesNothing(t *testing.T) {
	const perSecond = 10_000
	jacktest.Start(t)
	sender := jacktest.NewSender(t, "Keys")
	l := listenTo(t, "Keys:out")
	l.connected(t, sender)
	sent := sender.Flood(perSecond, 3*time.Second, message(0, 0x90, 60, 70), message(0, 0x80, 60, 0))
	jacktest.Until(t, stateLimit, "the flood is heard", func() bool { return l.count(analyse.NoteOn, analyse.NoteOff) >= sent })
	assert.Equal(t, sent, l.count(analyse.NoteOn, analyse.NoteOff))
	assert.Zero(t, l.count(analyse.Lost))
	kind := analyse.NoteOn
	for _, e := range l.heard() {
		if e.Kind == analyse.Control {
			continue
		}
		require.Equal(t, kind, e.Kind, "order")
		kind = analyse.NoteOn + analyse.NoteOff - kind
	}
	t.Logf("%d messages at %d a second, 0 lost", sent, perSecond)
}

func TestJACKOpensLeakNothing(t *testing.T) {
	const cycles = 21
	jacktest.Start(t)
	sender := jacktest.NewSender(t, "Keys")
	count := func(dir string) int {
		entries, err := os.ReadDir(dir)
		require.NoError(t, err)
		return len(entries)
	}
	flood := make(chan struct{})
	go func() {
		defer close(flood)
		sender.Flood(10_000, 4*time.Second, message(0, 0x90, 60, 70))
	}()
	var descriptors, threads []int
	for range cycles {
		live, err := listen.OpenLive(listen.Options{API: "jack"})
		require.NoError(t, err)
		ctx, cancel := context.WithCancel(t.Context())
		for range live.Events(ctx, nil) {
			cancel() // at the first event, in the middle of the flood
		}
		cancel()
		require.NoError(t, live.Close())
		descriptors = append(descriptors, count("/proc/self/fd"))
		threads = append(threads, count("/proc/self/task"))
	}
	<-flood
	t.Logf("descriptors %v, threads %v over %d opens and closes", descriptors, threads, cycles)
	assert.LessOrEqual(t, descriptors[cycles-1], descriptors[cycles/3])
	// Go keeps threads; a leak of the library's two an open would be 28.
	assert.LessOrEqual(t, threads[cycles-1], threads[cycles/3]+4)
}

func TestJACKMissing(t *testing.T) {
	t.Setenv("JACK_DEFAULT_SERVER", "shedlight-none")
	_, err := listen.Ports("jack")
	assert.ErrorIs(t, err, listen.NoJACK)
	_, err = listen.OpenLive(listen.Options{API: "jack"})
	assert.ErrorIs(t, err, listen.NoJACK)

	jacktest.Start(t)
	ports, err := listen.Ports("jack")
	require.NoError(t, err)
	assert.Empty(t, ports.Inputs, "a server without an instrument is no fault")
	_, err = listen.OpenLive(listen.Options{API: "jack", Port: "Keys:out"})
	assert.EqualError(t, err, `no MIDI input is called "Keys:out"; there is no MIDI input at all`)
}
