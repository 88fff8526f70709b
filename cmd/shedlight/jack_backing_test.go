//go:build jack

package main

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"shedlight/listen/jacktest"
)

// A bass and a piano play the chart at a MIDI output, each on the channel chosen, after the
// count-in: the roots of the chart on the bass's ones, and nothing once it has ended.
func TestABandPlaysTheChart(t *testing.T) {
	jacktest.Start(t)
	k := newKeys(t, "Keys")
	m := jacktest.NewModule(t, "Module")
	h := newHome(t)
	c := h.open(sizes()[0], h.command("listen", "--api", "jack", "--in", k.Port, "--chart", "two-five-one", "--key", "C",
		"--tempo", "300", "--sound", "midi", "--out", m.Port, "--backing", "full", "--band-channels", "12,4", "--click", "off"))
	const bass, piano = 11, 3
	notes := func(channel byte) (keys []byte) {
		for _, h := range m.Heard() {
			if h.Bytes[0] == 0x90|channel {
				keys = append(keys, h.Bytes[1])
			}
		}
		return keys
	}
	until(t, "bass and piano are heard", func() bool { return len(notes(bass)) > 12 && len(notes(piano)) > 0 })
	c.ended()
	line := notes(bass)
	var roots []byte // a bar of four beats at 300 walks
	for i := 0; i < 12; i += 4 {
		roots = append(roots, line[i]%12)
	}
	require.Equal(t, []byte{2, 7, 0}, roots, "Dm7, G7, C")
	ended := len(m.Heard())
	until(t, "it is silent", func() bool { return time.Since(m.Heard()[ended-1].At) > time.Second })
	require.Len(t, m.Heard(), ended)
}

// With --choruses the band ends the tune: after a turnaround the tonic comes on the beat
// behind the last bar and is held for a bar. No click comes with it, and the session ends
// by itself.
func TestABandEndsTheTune(t *testing.T) {
	jacktest.Start(t)
	k := newKeys(t, "Keys")
	m := jacktest.NewModule(t, "Module")
	h := newHome(t)
	c := h.open(sizes()[0], h.command("listen", "--api", "jack", "--in", k.Port, "--chart", "turnaround", "--key", "C",
		"--tempo", "300", "--sound", "midi", "--out", m.Port, "--backing", "bass", "--choruses", "1"))
	require.Zero(t, c.wait(), c.text())
	var last, click jacktest.Heard
	var off time.Duration
	for _, h := range m.Heard() {
		switch {
		case h.Bytes[0] == 0x91:
			last = h
		case h.Bytes[0] == 0x99:
			click = h
		case h.Bytes[0] == 0x81 && h.Bytes[1] == last.Bytes[1]:
			off = h.At.Sub(last.At)
		}
	}
	require.EqualValues(t, 0, last.Bytes[1]%12, "C")
	require.InDelta(t, 200, last.At.Sub(click.At).Milliseconds(), 50, "a beat behind the last click")
	require.InDelta(t, 780, off.Milliseconds(), 80, "a bar of four beats, less a breath")
}
