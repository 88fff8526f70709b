//go:build jack

package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"shedlight/listen/beat"
	"shedlight/listen/jacktest"
)

// soundPort is where a session sounds over JACK.
const soundPort = "shedlight-sound:playback0"

// Somebody who plays 40 ms after each click is told so, less what the device's
// buffer holds a click back for; and it is kept.
func TestTheLagOverJACK(t *testing.T) {
	jacktest.StartUrgent(t)
	k := newKeys(t, "Keys")
	h := newHome(t)
	c := h.command("lag", "--api", "jack", "--in", k.Port, "--json")
	out := redirected(t, c)
	p := h.start(c)
	r := jacktest.NewRecorder(t, soundPort)
	until(t, "the click is heard", func() bool { return len(r.Onsets()) > 0 })
	const click, late = beat.LagTempo * time.Microsecond, 40 * time.Millisecond
	first := r.Onsets()[0].Called.Add(beat.LagLeadIn*click + late)
	for i := range time.Duration(beat.LagWarmUp + beat.LagMore) {
		k.play(after(time.Until(first.Add(i*click)), on(60)), after(100*time.Millisecond, off(60)))
		if strings.Contains(out.text(t), "lag_ms") {
			break
		}
	}
	require.Zero(t, p.wait())
	said := objects(t, out.text(t))
	require.Len(t, said, 1)
	require.InDelta(t, late.Milliseconds(), said[0]["lag_ms"], 60)
	require.GreaterOrEqual(t, said[0]["used"], 12.0)
	kept, err := os.ReadFile(filepath.Join(h.dir, "state", "shedlight", "lags.json"))
	require.NoError(t, err)
	require.Contains(t, string(kept), "lag_ms")
}

// The demo's take is heard, and not its click alone: without one it counts in and goes
// on sounding. What is held at the end is let go.
func TestTheDemoOverJACK(t *testing.T) {
	jacktest.StartUrgent(t)
	h := newHome(t)
	c := h.open(sizes()[0], h.command("demo", "--api", "jack", "--click", "off"))
	r := jacktest.NewRecorder(t, soundPort)
	c.playing(8)
	heard := r.Sounded()
	until(t, "the take is heard", func() bool { return r.Sounded().Sub(heard) > 500*time.Millisecond })
	require.InDelta(t, 5, len(r.Onsets()), 1, "four clicks and a line without a gap")
	begun := time.Now()
	c.typed("q")
	require.Zero(t, c.wait(), c.text())
	require.Less(t, r.Sounded().Sub(begun), letGoWithin)
}
