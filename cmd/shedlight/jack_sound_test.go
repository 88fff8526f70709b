//go:build jack

package main

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/listen/beat"
	"shedlight/listen/jacktest"
	"shedlight/listen/smf"
	"shedlight/listen/take"
)

// soundPort is where a session sounds over JACK.
const soundPort = "shedlight-sound:playback0"

// A player who touches nothing but the instrument hears the click, counts off again
// by a pedal, moves a bar on and back, stops and begins anew. All of it is in the
// take.
func TestAnEveningByPedalAndNotesAlone(t *testing.T) {
	jacktest.StartUrgent(t)
	k := newKeys(t, "Keys")
	h := newHome(t)
	c := h.open(sizes()[0], h.command("listen", "--api", "jack", "--in", k.Port, "--chart", "two-five-one", "--tempo", "300",
		"--map", "cc67=again", "--map", "cc66=forward", "--map", "cc65=back", "--map", "note21=stop", "--map", "cc68=mark/forget"))
	c.shows("q leave")
	r := jacktest.NewRecorder(t, soundPort)
	until(t, "the click is heard", func() bool { return len(r.Onsets()) >= 8 })
	k.connect(t, 65, func() int { return counted(c.text()) })

	press := func(controller byte) {
		k.play(jacktest.Message{Bytes: []byte{0xB0, controller, 127}}, after(50*time.Millisecond, jacktest.Message{Bytes: []byte{0xB0, controller, 0}}))
	}
	for _, ask := range []struct {
		controller byte
		word       string
	}{{67, "again, from the top"}, {66, "a bar on"}, {65, "a bar back"}, {67, "again, from the top"}} {
		press(ask.controller)
		c.shows(ask.word)
		k.play(on(65), after(20*time.Millisecond, off(65)))
	}
	k.play(on(21), off(21))
	c.shows("stopped")
	until(t, "the click has stopped", func() bool {
		onsets := r.Onsets()
		return time.Since(onsets[len(onsets)-1].Called) > time.Second // five beats
	})
	press(67)
	heard := len(r.Onsets())
	until(t, "it clicks again", func() bool { return len(r.Onsets()) > heard+1 })
	press(68)
	c.shows("marked")
	k.play(jacktest.Message{Bytes: []byte{0xB0, 68, 127}}, after(700*time.Millisecond, jacktest.Message{Bytes: []byte{0xB0, 68, 0}}))
	c.shows(" forgotten")
	c.ended()

	path := h.takeSaved()
	kept, err := take.Load(path, smf.Selection{})
	require.NoError(t, err)
	var asked []int64
	for _, e := range slices.Collect(kept.Events) {
		if e.Kind == analyse.Asked {
			asked = append(asked, e.Value)
		}
	}
	require.Equal(t, []int64{
		int64(beat.Again), int64(beat.BarOn), int64(beat.BarBack), int64(beat.Again), int64(beat.Stop), int64(beat.Again),
		int64(beat.Mark), int64(beat.Forget),
	}, asked)
	_, summary := h.reviewed(path)
	require.Len(t, summary["forgotten"], 1)
	require.Len(t, summary["marks"], 1)
	page := h.run("review", path)
	require.Contains(t, page.out, " forgotten: in the take, in no count")
	marked := h.run("review", "--by", "mark", path)
	require.Contains(t, marked.out, "1: at ")
	require.Equal(t, []string{"cc67=again", "cc66=forward", "cc65=back", "note21=stop", "cc68=mark/forget"}, kept.Settings.Map)
}

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
