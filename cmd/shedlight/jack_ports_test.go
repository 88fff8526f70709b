//go:build jack

package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

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
	assert.Equal(t, "in   1  Keys:out\nin   2  Evil?]0;owned??[31m:out\n", r.out)
	assert.Empty(t, r.err)
	r = h.run("listen", "--api", "jack")
	assert.Equal(t, exitFailed, r.code)
	assert.Equal(t, 1, strings.Count(r.err, "\n"))
	assert.Contains(t, r.err, `several instruments are connected; there is "Keys:out", "Evil`)
	assert.NotContains(t, r.err, "\x1b")
	r = h.run("ports", "--api", "jack", "--json")
	assert.Zero(t, r.code)
	assert.Equal(t, []map[string]any{{
		"inputs": []any{
			map[string]any{"number": 1.0, "name": "Keys:out"},
			map[string]any{"number": 2.0, "name": "Evil\x1b]0;owned\x07\x1b[31m:out"},
		},
		"outputs": []any{},
	}}, objects(t, r.out))
	assert.NotContains(t, r.out, "\x1b")
	r = h.run("listen", "--api", "jack", "--in", "Drums")
	assert.Equal(t, exitFailed, r.code)
	assert.Equal(t, "shedlight: no MIDI input is called \"Drums\"; there is \"Keys:out\", \"Evil?]0;owned??[31m:out\"\n", r.err)
	r = h.run("listen", "--api", "jack", "--in", "OUT")
	assert.Equal(t, exitFailed, r.code)
	assert.Equal(t, "shedlight: several MIDI inputs fit \"OUT\"; there is \"Keys:out\", \"Evil?]0;owned??[31m:out\"; give the whole name of one, or its number in the list of ports\n", r.err)
}

// An instrument is chosen by its number, by part of its name in any case, and as it
// is printed where its name is no UTF-8; its name is kept for the next bare call.
func TestJACKChosen(t *testing.T) {
	jacktest.Start(t)
	newKeys(t, "Keys")
	strange := newKeys(t, "W\xffnd")
	for _, in := range []string{"2", "w?ND", "W?nd:out"} {
		h := newHome(t)
		played := h.command("listen", "--api", "jack", "--in", in, "--json")
		live := redirected(t, played)
		var said bytes.Buffer
		played.Stderr = &said
		p := h.start(played)
		strange.connect(t, 65, func() int {
			if !p.running() {
				t.Fatal(in, said.String())
			}
			return live.heard(t)
		})
		p.signal(syscall.SIGTERM)
		assert.Zero(t, p.wait(), in)
		last, err := os.ReadFile(filepath.Join(h.dir, "state", "shedlight", "last.json"))
		require.NoError(t, err)
		assert.Contains(t, string(last), `"in":"W?nd:out"`)
	}
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

// The cable of a session is moved in a patch bay: what is said has the name of the
// instrument that is heard from then on.
func TestJACKCableMovedIsSaid(t *testing.T) {
	server := jacktest.Start(t)
	k, other := newKeys(t, "Keys"), newKeys(t, "Wind")
	h := newHome(t)
	played := h.command("listen", "--api", "jack", "--in", "keys", "--plain")
	lines := redirected(t, played)
	p := h.start(played)
	const ours = "shedlight:in"
	until(t, "the cable is in", func() bool { return len(server.Connected(k.Port)) > 0 })
	require.Equal(t, []string{ours}, server.Connected(k.Port))
	server.Connect(other.Port, ours)
	server.Disconnect(k.Port, ours)
	until(t, "the other instrument is named", func() bool { return strings.Contains(lines.text(t), "Wind:out") })
	p.signal(syscall.SIGTERM)
	require.Zero(t, p.wait())
	assert.Contains(t, lines.text(t), "listening to Keys:out\n")
	assert.Contains(t, lines.text(t), "instrument gone: Keys:out, plug it in again\n")
	assert.Contains(t, lines.text(t), "instrument back: Wind:out\n")
}
