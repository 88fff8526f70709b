//go:build jack

package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/timebase"
	"shedlight/listen/jacktest"
	"shedlight/listen/smf"
	"shedlight/listen/take"
)

// asPlayer does not return in a process that a test has started as a player.
func asPlayer() { jacktest.Player() }

// buildEnvironment is that of the tests, which speak JACK.
func buildEnvironment() []string { return nil }

// connectLimit is how long a first message may be on its way; one that takes
// longer was sent before JACK had connected the port.
const connectLimit = 500 * time.Millisecond

// keys is a player with a keyboard, and what they have sent.
type keys struct {
	*jacktest.Sender
	sent [][]byte
}

func newKeys(t testing.TB, client string) *keys {
	t.Helper()
	return &keys{Sender: jacktest.NewSender(t, client)}
}

// play sends messages and returns when, after the first.
func (k *keys) play(messages ...jacktest.Message) []time.Duration {
	for _, m := range messages {
		k.sent = append(k.sent, m.Bytes)
	}
	return k.Play(messages...)
}

func on(key byte) jacktest.Message  { return jacktest.Message{Bytes: []byte{0x90, key, 80}} }
func off(key byte) jacktest.Message { return jacktest.Message{Bytes: []byte{0x80, key, 64}} }

func after(wait time.Duration, m jacktest.Message) jacktest.Message {
	m.After = wait
	return m
}

// connect strikes a key until that is heard: JACK connects a port some periods
// after it was asked to. What was sent before that is lost to everybody.
func (k *keys) connect(t testing.TB, key byte, heard func() int) {
	t.Helper()
	before := heard()
	until(t, "the instrument is heard", func() bool {
		k.sent = nil
		k.play(on(key), off(key))
		limit := time.Now().Add(connectLimit)
		for heard() == before && time.Now().Before(limit) {
			<-time.After(lookEvery)
		}
		return heard() > before
	})
}

// listening starts the program on the keyboard, in a terminal, and waits until
// it hears it.
func (h home) listening(s size, k *keys, flags ...string) *console {
	h.t.Helper()
	c := h.open(s, h.command(append([]string{"listen", "--api", "jack", "--in", k.Port}, flags...)...))
	c.shows("q leave")
	k.connect(h.t, 65, func() int { return counted(c.text()) })
	return c
}

// ended sends INT and waits until the program has ended well.
func (c *console) ended() {
	c.t.Helper()
	c.signal(syscall.SIGINT)
	require.Zero(c.t, c.wait(), c.text())
	c.restored()
}

// messages returns the channel messages of a take as bytes, and when each came.
func messages(t testing.TB, path string) (all [][]byte, at []time.Duration) {
	t.Helper()
	kept, err := take.Load(path, smf.Selection{})
	require.NoError(t, err)
	require.Empty(t, kept.Damage)
	var tempo timebase.Tempo
	for _, e := range slices.Collect(kept.Events) {
		if e.Kind > analyse.PitchBend {
			continue
		}
		status := 0x80 + byte(e.Kind-analyse.NoteOff)<<4 | e.Channel
		message := []byte{status, e.Key, e.Velocity}
		if e.Kind == analyse.Program || e.Kind == analyse.ChannelPressure {
			message = message[:2]
		}
		all = append(all, message)
		at = append(at, time.Duration(tempo.Micros(e.Tick))*time.Microsecond)
	}
	return all, at
}

// same fails unless the take holds the bytes that were sent, in the same order.
func same(t testing.TB, sent, kept [][]byte) {
	t.Helper()
	for i := range min(len(sent), len(kept)) {
		require.Equal(t, sent[i], kept[i], "message %d", i)
	}
	require.Len(t, kept, len(sent))
}

// kinds counts the events of a kind in a take.
func kinds(t testing.TB, path string, kind analyse.Kind) (n int) {
	t.Helper()
	kept, err := take.Load(path, smf.Selection{})
	require.NoError(t, err)
	for _, e := range slices.Collect(kept.Events) {
		if e.Kind == kind {
			n++
		}
	}
	return n
}

// output is what a running program has written.
type output struct{ path string }

func redirected(t testing.TB, c *exec.Cmd) output {
	t.Helper()
	o := output{path: filepath.Join(t.TempDir(), "output")}
	file, err := os.Create(o.path)
	require.NoError(t, err)
	t.Cleanup(func() { file.Close() })
	c.Stdout = file
	return o
}

func (o output) text(t testing.TB) string {
	t.Helper()
	text, err := os.ReadFile(o.path)
	require.NoError(t, err)
	return string(text)
}

// heard counts the notes in lines of JSON that are whole.
func (o output) heard(t testing.TB) int { return len(o.onsets(t)) }

// onsets returns when each note was struck, of the lines that are whole.
func (o output) onsets(t testing.TB) (at []time.Duration) {
	t.Helper()
	text := o.text(t)
	var tempo timebase.Tempo
	for _, line := range objects(t, text[:strings.LastIndex(text, "\n")+1]) {
		if tick, heard := line["tick"]; heard {
			at = append(at, time.Duration(tempo.Micros(int64(tick.(float64))))*time.Microsecond)
		}
	}
	return at
}
