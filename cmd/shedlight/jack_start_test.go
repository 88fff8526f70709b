//go:build jack

package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/listen/jacktest"
)

// The start screen over JACK: its row moves with the instrument that is chosen, also
// with one that came later, and a pedal begins the session on it, within a second.
func TestJACKStartScreen(t *testing.T) {
	jacktest.Start(t)
	h := newHome(t)
	config := filepath.Join(h.dir, "config", "shedlight", "config.toml")
	require.NoError(t, os.MkdirAll(filepath.Dir(config), 0o700))
	require.NoError(t, os.WriteFile(config, []byte("api = \"jack\"\nsound = \"off\"\nchart = \"blues\"\nmap = \"cc67=again\"\n"), 0o600))
	c := h.open(sizes()[0], h.command())
	c.shows("none yet", "Blues", "settings")

	k := newKeys(t, "Keys")
	c.shows("instrument  Keys:out")
	heard := func(note string) func() int { // as the last of the instrument
		return func() int { return strings.Count(c.rows()[rowWith(c.rows(), "instrument")], note) }
	}
	k.connect(t, 63, heard("E♭"))
	k.play(on(65))
	c.shows("█", "F")
	k.play(off(65))
	c.until("it is still", func(screen string) bool { return !strings.Contains(screen, "█") })

	other := newKeys(t, "Pads")
	c.typed("\x1b[A") // up to the instruments
	c.until("the second is chosen", func(screen string) bool {
		c.typed("\x1b[C")
		return strings.Contains(screen, "Pads:out")
	})
	other.connect(t, 70, heard("B♭"))

	other.play(jacktest.Message{Bytes: []byte{0xB0, 67, 127}}, jacktest.Message{Bytes: []byte{0xB0, 67, 0}})
	begun := time.Now()
	c.shows("take: ")
	t.Logf("from the pedal to the session's screen: %d ms", time.Since(begun).Milliseconds())
	other.connect(t, 65, func() int { return counted(c.text()) })
	c.ended()
	kept := theTake(t, h.takes())
	_, summary := h.reviewed(kept)
	assert.NotZero(t, summary["notes"])
}
