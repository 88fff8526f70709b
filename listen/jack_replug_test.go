//go:build jack

package listen_test

import (
	"fmt"
	"os"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/listen"
	"shedlight/listen/jacktest"
)

// ourPort is what a patch bay calls our input.
const ourPort = "shedlight:in"

// times is how often a replug is tried: SHEDLIGHT_FULL=1 asks for many.
func times() int {
	if os.Getenv("SHEDLIGHT_FULL") == "1" {
		return 50
	}
	return 2
}

// strike plays a note once and requires that it is heard: who says that the
// instrument is there is connected to it.
func (l *listener) strike(t *testing.T, key byte, play func()) {
	t.Helper()
	before := l.count(analyse.NoteOn)
	play()
	jacktest.Until(t, stateLimit, "the only note that is played is heard", func() bool { return l.count(analyse.NoteOn) == before+1 })
	heard := slices.DeleteFunc(l.heard(), func(e analyse.Event) bool { return e.Kind != analyse.NoteOn })
	require.Equal(t, key, heard[before].Key)
}

func note(s *jacktest.Sender, key byte) func() {
	return func() { s.Play(message(0, 0x90, key, 70), message(0, 0x80, key, 0)) }
}

// changed waits until the instrument was lost and found so often more, and notes
// how long that took.
func (l *listener) changed(t *testing.T, change func()) time.Duration {
	t.Helper()
	lost, found := l.count(analyse.Release), l.count(analyse.Found)
	change()
	return jacktest.Until(t, stateLimit, "the instrument is lost and found", func() bool {
		return l.count(analyse.Release) == lost+1 && l.count(analyse.Found) == found+1
	})
}

// slowest logs what a number of replugs took, sorted.
func slowest(t *testing.T, took []time.Duration) {
	t.Helper()
	slices.Sort(took)
	t.Logf("%d times; back after %v in the middle, %v at most", len(took),
		took[len(took)/2].Round(time.Millisecond), took[len(took)-1].Round(time.Millisecond))
}

// An instrument that goes and comes back is heard from its first note on, whether
// it went well or was killed, alone or beside one that JACK names alike.
func TestJACKReplug(t *testing.T) {
	for name, end := range map[string]func(*jacktest.Sender){
		"clean": (*jacktest.Sender).Vanish, "killed": (*jacktest.Sender).Kill,
	} {
		for _, beside := range []bool{false, true} {
			t.Run(fmt.Sprintf("%s, beside another: %v", name, beside), func(t *testing.T) {
				jacktest.Start(t)
				sender := jacktest.NewSender(t, "kbd")
				if beside {
					neighbour := jacktest.NewSender(t, "kbd") // JACK calls it kbd-01
					ports, err := listen.Ports("jack")
					require.NoError(t, err)
					require.Equal(t, []string{"kbd:out", "kbd-01:out"}, ports.Inputs)
					defer neighbour.Vanish()
				}
				l := listenTo(t, sender.Port)
				l.strike(t, 60, note(sender, 60))
				times := times()
				if name == "killed" {
					times /= 2 // the server waits five seconds for each
				}
				var took []time.Duration
				for range times {
					took = append(took, l.changed(t, func() {
						end(sender)
						sender = jacktest.NewSender(t, "kbd")
					}))
					require.Equal(t, "kbd:out", l.live.Name())
					l.strike(t, 61, note(sender, 61))
				}
				slowest(t, took)
			})
		}
	}
}

// While the instrument is away its neighbour is not taken for it.
func TestJACKNeighbourIsLeftAlone(t *testing.T) {
	jacktest.Start(t)
	sender := jacktest.NewSender(t, "kbd")
	neighbour := jacktest.NewSender(t, "kbd")
	l := listenTo(t, sender.Port)
	l.strike(t, 60, note(sender, 60))
	sender.Vanish()
	jacktest.Until(t, stateLimit, "the loss is noticed", func() bool { return l.count(analyse.Release) == 1 })
	neighbour.Flood(100, 3*time.Second, message(0, 0x90, 50, 70)) // three searches long
	assert.Zero(t, l.count(analyse.Found))
	sender = jacktest.NewSender(t, "kbd")
	jacktest.Until(t, stateLimit, "the return is noticed", func() bool { return l.count(analyse.Found) == 1 })
	l.strike(t, 61, note(sender, 61))
	assert.Equal(t, 2, l.count(analyse.NoteOn), "none of the neighbour's")
}

// An instrument that comes back under another name is taken and told so; one with
// the right name is taken back.
func TestJACKExactInstrumentIsTakenBack(t *testing.T) {
	jacktest.Start(t)
	first := jacktest.NewSender(t, "kbd")
	other := jacktest.NewSender(t, "kbd")
	first.Vanish()
	l := listenTo(t, "kbd:out")
	assert.Equal(t, "kbd-01:out", l.live.Name())
	l.strike(t, 60, note(other, 60))
	var exact *jacktest.Sender
	l.changed(t, func() { exact = jacktest.NewSender(t, "kbd") })
	assert.Equal(t, "kbd:out", l.live.Name())
	l.strike(t, 61, note(exact, 61))
}

// A cable that is pulled in a patch bay is a loss; it is put in again.
func TestJACKCablePulled(t *testing.T) {
	server := jacktest.Start(t)
	sender := jacktest.NewSender(t, "kbd")
	l := listenTo(t, sender.Port)
	l.strike(t, 60, note(sender, 60))
	var took []time.Duration
	for range times() {
		took = append(took, l.changed(t, func() { server.Disconnect(sender.Port, ourPort) }))
		require.Equal(t, []string{ourPort}, server.Connected(sender.Port))
		l.strike(t, 61, note(sender, 61))
	}
	slowest(t, took)
}

// A cable that is moved to another instrument: that one is the instrument.
func TestJACKCableMoved(t *testing.T) {
	server := jacktest.Start(t)
	sender, other := jacktest.NewSender(t, "kbd"), jacktest.NewSender(t, "wind")
	l := listenTo(t, sender.Port)
	l.strike(t, 60, note(sender, 60))
	l.changed(t, func() {
		server.Connect(other.Port, ourPort)
		server.Disconnect(sender.Port, ourPort)
	})
	assert.Equal(t, other.Port, l.live.Name())
	l.strike(t, 61, note(other, 61))
	l.changed(t, func() {
		other.Vanish()
		other = jacktest.NewSender(t, "wind")
	})
	assert.Equal(t, other.Port, l.live.Name())
	l.strike(t, 62, note(other, 62))
}

// A client whose port is there before it is active.
func TestJACKLateClient(t *testing.T) {
	jacktest.Start(t)
	for range times() {
		late := jacktest.NewLate(t, "slow")
		time.AfterFunc(300*time.Millisecond, late.Activate)
		l := listenTo(t, late.Port)
		l.strike(t, 60, func() { late.Strike(60) })
		late.Vanish()
		jacktest.Until(t, stateLimit, "the loss is noticed", func() bool { return l.count(analyse.Release) == 1 })
		late = jacktest.NewLate(t, "slow")
		time.AfterFunc(1300*time.Millisecond, late.Activate)
		jacktest.Until(t, stateLimit, "the return is noticed", func() bool { return l.count(analyse.Found) == 1 })
		l.strike(t, 61, func() { late.Strike(61) })
		l.close()
		late.Vanish()
	}
	jacktest.NewLate(t, "never")
	_, err := listen.OpenLive(listen.Options{API: "jack", Port: "never:out"})
	assert.ErrorIs(t, err, listen.Inactive)
	assert.EqualError(t, err, `MIDI input "never:out": the program that has the port is not ready: wait until it is, and try again`)
}
