//go:build jack

package main

import (
	"fmt"
	"os/exec"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/listen/jacktest"
)

// letGoWithin is how long anything may sound after the end of a session.
const letGoWithin = 100 * time.Millisecond

// sixHundred is a session whose click comes every 100 ms: what is known ahead are four
// clicks, which a sound that ended too late would play.
func sixHundred(h home, k *keys, flags ...string) *exec.Cmd {
	return h.command(append([]string{"listen", "--api", "jack", "--in", k.Port, "--chart", "two-five-one", "--tempo", "600"}, flags...)...)
}

// end is a way in which a session, or its sound, comes to its end.
type end struct {
	name  string
	end   func(*console)
	code  int  // of the session
	lives bool // the session, without its sound
}

func waysToEnd(t *testing.T) []end {
	sent := func(s syscall.Signal) func(*console) { return func(c *console) { c.signal(s) } }
	toSound := func(s syscall.Signal) func(*console) {
		return func(c *console) { require.NoError(t, syscall.Kill(c.soundProcess(), s)) }
	}
	var list []end
	for name, leave := range leavings() {
		list = append(list, end{name: name, end: leave})
	}
	slices.SortFunc(list, func(a, b end) int { return strings.Compare(a.name, b.name) })
	return append(list,
		end{name: "the session is killed", end: sent(syscall.SIGKILL), code: -1},
		end{name: "the session crashes", end: sent(syscall.SIGSEGV), code: 2}, // the runtime's own
		end{name: "the sound is killed", end: toSound(syscall.SIGKILL), lives: true},
		end{name: "the sound crashes", end: toSound(syscall.SIGSEGV), lives: true},
	)
}

// heard is what an instrument at a MIDI output was sent.
type heard struct {
	last time.Time // any message
	off  time.Time // all notes, on all channels; zero: not
	held int       // keys that are down
}

func heardBy(m *jacktest.Module) (h heard) {
	const noteOff, noteOn, control, allNotesOff, channels = 0x80, 0x90, 0xB0, 123, 16
	down := map[[2]byte]bool{}
	off := map[byte]bool{}
	for _, message := range m.Heard() {
		h.last = message.At
		channel := message.Bytes[0] & 0x0F
		switch b := message.Bytes; b[0] &^ 0x0F {
		case noteOn:
			down[[2]byte{channel, b[1]}] = true
		case noteOff:
			delete(down, [2]byte{channel, b[1]})
		case control:
			if off[channel] = off[channel] || b[1] == allNotesOff; len(off) == channels && h.off.IsZero() { // they come twice
				h.off = message.At
			}
		}
	}
	h.held = len(down)
	return h
}

// Whatever ends a session, or its sound, nothing is heard 100 ms later, from this
// machine or from an instrument at a MIDI output; where the sound itself has died, the
// instrument lets go by active sensing, 300 ms after it was told last that we live
// (MIDI 1.0). Where it is the sound alone, the session says so and judges on. How soon
// hangs on when a busy machine lets the processes die: an end that was held up is made
// again; what must come after it is asked of each.
func TestWhateverEndsItIsSilent(t *testing.T) {
	const ends = 4
	jacktest.StartLoose(t)
	k := newKeys(t, "Keys")
	for _, e := range waysToEnd(t) {
		t.Run(e.name, func(t *testing.T) {
			for n := 1; !e.isSilentSoon(t, k); n++ {
				require.Less(t, n, ends, "none was silent in time")
			}
		})
	}
}

// isSilentSoon has two sessions end, one that sounds itself and one over MIDI, and
// reports whether both were silent in time.
func (e end) isSilentSoon(t *testing.T, k *keys) bool {
	own := newHome(t)
	c := own.open(sizes()[1], sixHundred(own, k))
	r := jacktest.NewRecorder(t, soundPort)
	defer r.Close()
	m := jacktest.NewModule(t, "Module")
	defer m.Vanish()
	other := newHome(t)
	byMIDI := other.open(sizes()[1], sixHundred(other, k, "--sound", "midi", "--out", m.Port))
	until(t, "both clicks are heard", func() bool { return len(r.Onsets()) >= 5 && len(m.Heard()) >= 10 })

	begun := time.Now()
	e.end(c)
	begunMIDI := time.Now()
	e.end(byMIDI)
	for _, c := range []*console{c, byMIDI} {
		if e.lives {
			c.shows("the sound process has ended")
			k.connect(t, 65, func() int { return counted(c.text()) })
			c.ended()
		} else {
			require.Equal(t, e.code, c.wait(), c.text())
		}
	}
	ended := time.Since(begun)
	until(t, "four more clicks would have been heard", func() bool { return time.Since(begunMIDI) > 600*time.Millisecond })
	silent := r.Sounded().Sub(begun)
	h := heardBy(m)
	letGo, within := h.off.Sub(begunMIDI), letGoWithin
	if e.lives { // nothing comes any more
		const sensed = 300 * time.Millisecond
		letGo, within = h.last.Add(sensed).Sub(begunMIDI), sensed+2*jacktest.Period
	} else {
		require.Zero(t, h.held)
		require.False(t, h.off.IsZero())
	}
	t.Logf("%s: silent after %.0f ms, let go over MIDI after %.0f ms, both ended after %.0f ms", e.name, silent.Seconds()*1000, letGo.Seconds()*1000, ended.Seconds()*1000)
	return silent < letGoWithin && letGo < within
}

// A server that dies is said, and the session judges on; one that stands still holds up
// no end for longer than a sound system is waited for. The take is whole.
func TestADeadServerHoldsNothingUp(t *testing.T) {
	const (
		bound   = 10 * time.Second     // a look, and a close that is given up
		monitor = "midi-monitor:input" // of jack_midi_dump
	)
	for _, hangs := range []bool{false, true} {
		for sounding, flags := range map[string][]string{"own": nil, "midi": {"--sound", "midi", "--out", monitor}} {
			t.Run(fmt.Sprintf("hangs %v, %s", hangs, sounding), func(t *testing.T) {
				server := jacktest.StartLoose(t)
				h := newHome(t)
				h.start(exec.Command("jack_midi_dump")) // an instrument that is a process of its own
				k := newKeys(t, "Keys")
				c := h.open(sizes()[0], sixHundred(h, k, flags...))
				if sounding == "midi" {
					until(t, "it sounds", func() bool { return len(server.Connected(monitor)) > 0 })
				}
				k.connect(t, 65, func() int { return counted(c.text()) })
				begun := time.Now()
				if hangs {
					server.Hang()
				} else {
					server.Kill()
					c.shows("sound: ", "instrument gone: Keys:out")
					t.Logf("said after %v", time.Since(begun))
				}
				begun = time.Now()
				c.typed("q")
				require.Zero(t, c.wait(), c.text())
				assert.Less(t, time.Since(begun), bound)
				t.Logf("ended after %v", time.Since(begun))
				kept, _ := messages(t, h.takeSaved())
				assert.NotEmpty(t, kept)
				k.Kill()
				server.Kill()
			})
		}
	}
}
