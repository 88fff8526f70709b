//go:build unix

package main

import (
	"fmt"
	"math/rand/v2"
	"os"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

// fullVariable asks for the tests that take minutes.
const fullVariable = "SHEDLIGHT_FULL"

// full reports whether everything is to be tested.
func full() bool { return os.Getenv(fullVariable) != "" }

// Bytes on the keyboard that are no UTF-8 (an 8-bit Meta key, a paste in Latin-1,
// noise on the line) are no keys; those behind them are.
func TestAnyBytesTyped(t *testing.T) {
	t.Parallel()
	noise := make([]byte, 4096)
	random := rand.New(rand.NewPCG(1, 2))
	for i := range noise {
		// High bytes: a q or an escape among them would be a key.
		noise[i] = 0x80 | byte(random.UintN(0x80))
	}
	for name, bytes := range map[string]string{
		"FF": "\xff", "80": "\x80", "E9 61": "\xe9a", "half a sign": "\xe2\x99", "noise": string(noise),
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			h := newHome(t)
			c := h.open(sizes()[0], h.command("listen", "--in", long(1000).save(t, h.dir, "long.mid")))
			c.playing(3)
			c.typed(bytes)
			c.playing(6)
			c.typed(bytes + "?")
			c.shows("leave; the take is kept")
			c.typed(bytes + "q")
			assert.Zero(t, c.wait())
			c.restored()
			theTake(t, h.takes())
		})
	}
}

// A flood of keys while the program leaves holds nothing up.
func TestTypedWhileLeaving(t *testing.T) {
	t.Parallel()
	h := newHome(t)
	c := h.open(sizes()[0], h.command("listen", "--in", long(1000).save(t, h.dir, "long.mid")))
	c.playing(3)
	c.signal(syscall.SIGINT)
	go func() {
		for c.running() { // it fails when the program reads no more
			assert.NoError(t, c.master.SetWriteDeadline(time.Now().Add(lookEvery)))
			_, _ = c.master.WriteString(strings.Repeat("x\xff", 64))
		}
	}()
	assert.Zero(t, c.wait())
	c.restored()
	theTake(t, h.takes())
}

// Signals in any pair, up to 50 ms apart: the session ends as with one.
func TestTwoSignals(t *testing.T) {
	t.Parallel()
	const apart = 50 // milliseconds at most
	pairs := 8
	if full() {
		pairs = 200
	}
	all := []syscall.Signal{syscall.SIGINT, syscall.SIGTERM, syscall.SIGHUP, syscall.SIGQUIT}
	random := rand.New(rand.NewPCG(3, 4))
	for i := range pairs {
		first, second := all[i%len(all)], all[i/len(all)%len(all)]
		gap := time.Duration(random.IntN(apart*1000)) * time.Microsecond
		if i%3 == 0 {
			gap = time.Duration(random.IntN(5000)) * time.Microsecond // where it was worst
		}
		t.Run(fmt.Sprintf("%v, %v, %v", first, gap, second), func(t *testing.T) {
			h := newHome(t)
			c := h.open(sizes()[0], h.command("listen", "--in", long(1000).save(t, h.dir, "long.mid")))
			c.playing(3)
			c.signal(first)
			select {
			case <-c.ended:
			case <-time.After(gap):
				_ = c.command.Process.Signal(second) // it may have ended by now
			}
			assert.Zero(t, c.wait())
			c.restored()
			h.takeSaved()
		})
	}
}
