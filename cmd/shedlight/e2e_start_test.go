//go:build unix

package main

import (
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Called with nothing at a terminal the program asks first: Enter does as last time, at
// any size, with what was changed, and q leaves.
func TestStartScreen(t *testing.T) {
	t.Parallel()
	h := newHome(t)
	file := long(300).save(t, h.dir, "long.mid")
	require.Zero(t, h.run("listen", "--in", sung(60, 62, 64).save(t, h.dir, "three.mid"), "--chart", "two-five-one", "--key", "Eb", "--no-take").code)

	c := h.open(sizes()[0], h.command())
	c.shows("three.mid", "Two-Five-One", "as last time", "Fm7  │  B♭7", "Enter plays")
	assert.True(t, c.taken())
	c.typed("q")
	assert.Zero(t, c.wait())
	c.restored()
	assert.NotContains(t, c.text(), "notes in", "nothing was played")

	c = h.open(sizes()[0], h.command())
	c.shows("Enter plays")
	for _, s := range []size{{1, 1}, {40, 12}, {200, 60}, sizes()[0]} {
		c.resize(s)
		if s.cols > 1 {
			c.shows("> chart", "Enter plays")
		}
	}
	c.typed("?")
	c.shows("before playing", "Backspace", "Take breaks")
	c.typed(" ")
	c.shows("> chart")
	c.typed("\x1b[Ae")
	c.shows("_")
	c.typed(strings.Repeat("\x7f", 200) + file + "\r")
	c.shows("long.mid", "chosen now")
	c.typed("\r")
	c.playing(5)
	assert.Contains(t, c.text(), "E♭")
	c.typed("q")
	assert.Zero(t, c.wait())
	c.restored()
	h.takeSaved()

	c = h.open(sizes()[0], h.command())
	c.shows("long.mid")
	c.signal(syscall.SIGINT)
	assert.Zero(t, c.wait(), "a signal leaves as q does")
	c.restored()
}

// Where no screen can be drawn, a bare call is answered with the page of help, with a
// sentence where somebody sits at a terminal.
func TestNoStartScreen(t *testing.T) {
	t.Parallel()
	h := newHome(t)
	page := h.run("--help")
	require.Equal(t, page, h.run(), "not at a terminal")
	command := h.command()
	command.Env = append(command.Env, "TERM=dumb")
	c := h.open(size{cols: 80, rows: 60}, command)
	assert.Zero(t, c.wait())
	c.shows(`no start screen on this terminal (TERM is "dumb")`, "Usage: shedlight")
	assert.NotContains(t, string(c.raw), "\x1b", "no escapes")
}
