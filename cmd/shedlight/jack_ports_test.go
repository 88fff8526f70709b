//go:build jack

package main

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"shedlight/listen/jacktest"
)

func TestJACKPorts(t *testing.T) {
	h := newHome(t)
	t.Setenv("JACK_DEFAULT_SERVER", "shedlight-none")
	for _, args := range [][]string{{"ports", "--api", "jack"}, {"listen", "--api", "jack"}} {
		r := h.run(args...)
		assert.Equal(t, exitFailed, r.code, args)
		assert.Empty(t, r.out, args)
		assert.Equal(t, "shedlight: no JACK server answers: start one, or leave --api jack out\n", r.err, args)
	}

	jacktest.Start(t)
	r := h.run("ports", "--api", "jack")
	assert.Zero(t, r.code)
	assert.Empty(t, r.out)
	assert.Equal(t, "shedlight: there are no MIDI ports: plug an instrument in, or start the program that has one\n", r.err)

	jacktest.NewSender(t, "Keys")
	jacktest.NewSender(t, "Evil\x1b]0;owned\x07\x1b[31m")
	r = h.run("ports", "--api", "jack")
	assert.Zero(t, r.code)
	assert.Equal(t, "in   Keys:out\nin   Evil?]0;owned??[31m:out\n", r.out)
	assert.Empty(t, r.err)
	r = h.run("listen", "--api", "jack")
	assert.Equal(t, exitFailed, r.code)
	assert.Equal(t, 1, strings.Count(r.err, "\n"))
	assert.Contains(t, r.err, `several instruments are connected; there is "Keys:out", "Evil`)
	assert.NotContains(t, r.err, "\x1b")
	r = h.run("listen", "--api", "jack", "--in", "Key")
	assert.Equal(t, exitFailed, r.code)
	assert.Contains(t, r.err, `no MIDI input is called "Key"`)
}

// An instrument whose name holds escape sequences shows harmless text.
func TestJACKHostileName(t *testing.T) {
	jacktest.Start(t)
	k := newKeys(t, "Evil\x1b]0;owned\x07\x1b[31m")
	h := newHome(t)
	c := h.listening(sizes()[0], k)
	k.Vanish()
	c.shows("instrument gone: Evil?]0;owned??[31m:out")
	c.ended()
	assert.Empty(t, c.titles)
	assert.NotContains(t, string(c.raw), "\x1b]0;owned")
	r := h.run("review", theTake(t, h.takes()))
	assert.Zero(t, r.code)
	assert.NotContains(t, r.out+r.err, "\x1b")
}
