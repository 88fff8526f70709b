//go:build jack

package main

import (
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/timebase"
	"shedlight/listen/jacktest"
	"shedlight/listen/smf"
	"shedlight/listen/take"
)

// An instrument sends its clock and strikes a key on every beat: the song begins with
// its start, and the notes of the take lie on the beats of the chart (MIDI 1.0, system
// real time messages). Then it is silent, which the screen says.
func TestAClockIsFollowed(t *testing.T) {
	jacktest.Start(t)
	k := newKeys(t, "Sequencer")
	h := newHome(t)
	c := h.open(sizes()[1], h.command("listen", "--api", "jack", "--in", k.Port, "--chart", "two-five-one", "--sync", "clock", "--sound", "off"))
	c.shows("q leave")
	k.connect(t, 65, func() int { return counted(c.text()) })

	const (
		beats = 20
		pulse = 15625 * time.Microsecond // of 160 a minute
	)
	var messages []jacktest.Message
	real := func(status byte) jacktest.Message { return jacktest.Message{Bytes: []byte{status}} }
	for range 30 { // the clock runs before it starts
		messages = append(messages, after(pulse, real(0xF8)))
	}
	messages = append(messages, real(0xFA))
	for range beats {
		messages = append(messages, after(pulse, real(0xF8)), on(62))
		for n := range 23 {
			messages = append(messages, after(pulse, real(0xF8)))
			if n == 12 {
				messages = append(messages, off(62))
			}
		}
	}
	k.play(messages...)
	c.shows("clock lost")
	c.ended()

	kept, err := take.Load(h.takeSaved(), smf.Selection{})
	require.NoError(t, err)
	var off []float64 // ms
	origin := analyse.Event{}
	started := 0
	for _, e := range slices.Collect(kept.Events) {
		switch {
		case e.Kind == analyse.Origin:
			origin = e
			started += int(e.Key)
		case e.Kind == analyse.NoteOn && e.Velocity > 0 && e.Key == 62:
			song := e.Tick - origin.Tick + origin.Value
			beat := int64(len(off))
			off = append(off, float64(song-beat*timebase.Quarter)*375/timebase.Quarter)
		}
	}
	require.Len(t, off, beats)
	require.Equal(t, 1, started, "the song has moved once, at its start")
	slices.Sort(off)
	t.Logf("off the beat by %.1f, %.1f and %.1f ms", off[0], off[beats/2], off[beats-1])
	require.InDelta(t, 0, off[0], 30, "a twelfth of a beat")
	require.InDelta(t, 0, off[beats-1], 30)
	require.InDelta(t, 0, off[beats/2], 8)
}
