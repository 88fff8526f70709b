//go:build jack

package main

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"time"

	"shedlight/listen/jacktest"
)

// BenchmarkLatency plays single notes to shedlight listen on a screen of 120x40,
// over JACK's dummy server with periods of 5.3 ms, and measures in one run, for
// each note:
//
//	driver   from the hand-over of the message to the driver, to the entry of the
//	         callback of a bare input in this process: what JACK and RtMidi take
//	screen   from that entry to the return of the read that brought the bytes of
//	         the terminal with which the note's name stands on the screen. The
//	         server calls back both inputs, ours and the program's, in the same
//	         period, so this is the program's own way from the entry of its
//	         callback, give or take the order within the period
//	whole    the sum of both
//
// The name is looked for on the line of held notes, which is drawn behind the
// rails, by the same terminal emulator as in the tests. Notes come at random
// moments, so that every phase of periods and pictures is met. The targets are
// 20 ms at the 99th percentile for screen; nothing is asserted.
func BenchmarkLatency(b *testing.B) {
	const notes = 500
	jacktest.Start(b)
	loop := jacktest.NewLoop(b, "Keys")
	h := newHome(b)
	s := size{cols: 120, rows: 40}
	c := h.open(s, h.command("listen", "--api", "jack", "--in", loop.Port, "--centre", "F major"))
	c.shows("q leave")
	until(b, "the instrument is heard", func() bool {
		loop.Send([]byte{0x90, 65, 80})
		loop.Send([]byte{0x80, 65, 64})
		return counted(c.text()) > 0
	})
	held := rowWith(c.rows(), "F6 dim") // where what is held stands at the right
	lines := make(chan shownLine, 1<<16)
	c.mu.Lock()
	c.watch = func(arrived time.Time) { lines <- shownLine{text: c.row(held), arrived: arrived} }
	c.mu.Unlock()
	shown := func(what string, is func(line string) bool) time.Time {
		limit := time.After(stateLimit)
		for {
			select {
			case l := <-lines:
				if is(l.text) {
					return l.arrived
				}
			case <-limit:
				b.Fatalf("%s is not shown:\n%s", what, c.text())
			}
		}
	}
	names := []struct {
		key  byte
		name string
	}{{65, "F"}, {69, "A"}, {70, "B♭"}, {72, "C"}, {73, "D♭"}, {74, "D"}, {76, "E"}}
	loop.Entered(loop.Send([]byte{0x90, 36, 80})) // a single key that is held has no label
	r := rand.New(rand.NewPCG(1, 0))
	var driver, screen, whole []time.Duration
	for b.Loop() {
		for range notes {
			<-time.After(time.Duration(20_000+r.IntN(60_000)) * time.Microsecond)
			note := names[r.IntN(len(names))]
			sent := loop.Send([]byte{0x90, note.key, 80})
			entered := loop.Entered(sent)
			at := shown(note.name, func(line string) bool { return strings.HasSuffix(line, "held  C  "+note.name) })
			driver, screen, whole = append(driver, entered.Sub(sent)), append(screen, at.Sub(entered)), append(whole, at.Sub(sent))
			off := loop.Send([]byte{0x80, note.key, 64})
			loop.Entered(off)
			shown("that nothing is held", func(line string) bool { return !strings.Contains(line, "held") })
		}
	}
	c.ended()
	b.ReportMetric(0, "ns/op")
	for name, all := range map[string][]time.Duration{"driver": driver, "screen": screen, "whole": whole} {
		slices.Sort(all)
		for suffix, part := range map[string]float64{"-p50-ms": 0.50, "-p99-ms": 0.99, "-max-ms": 1} {
			at := all[min(int(part*float64(len(all))), len(all)-1)]
			b.ReportMetric(float64(at.Microseconds())/1000, name+suffix)
		}
	}
}

// shownLine is a line of the screen, and when the bytes that drew it came.
type shownLine struct {
	text    string
	arrived time.Time
}

// BenchmarkClick tells how the click of a session scatters over JACK around its beat of
// 100 ms, with the screen of 120x40 idle and busy: a thousand notes a second. Nothing is
// asserted.
func BenchmarkClick(b *testing.B) {
	const (
		clicks = 300
		every  = 100 * time.Millisecond
	)
	for _, busy := range []bool{false, true} {
		b.Run(map[bool]string{false: "idle", true: "busy"}[busy], func(b *testing.B) {
			jacktest.StartUrgent(b)
			k := newKeys(b, "Keys")
			h := newHome(b)
			c := h.open(sizes()[1], sixHundred(h, k))
			r := jacktest.NewRecorder(b, soundPort)
			k.connect(b, 65, func() int { return counted(c.text()) })
			before := len(r.Onsets())
			if busy {
				k.Flood(1000, clicks*every, on(65), off(65), on(66), off(66))
			}
			jacktest.Until(b, 2*clicks*every, "the clicks are recorded", func() bool { return len(r.Onsets()) >= before+clicks })
			onsets := r.Onsets()[before:]
			var late []float64
			for _, o := range onsets {
				since := o.Framed.Sub(onsets[0].Framed)
				late = append(late, (since-since.Round(every)).Seconds()*1000)
			}
			slices.Sort(late)
			off := make([]float64, len(late))
			for i, v := range late {
				off[i] = math.Abs(v - late[len(late)/2])
			}
			slices.Sort(off)
			c.ended()
			b.ReportMetric(0, "ns/op")
			b.ReportMetric(float64(len(off)), "clicks")
			b.ReportMetric(off[len(off)/2], "scatter-p50-ms")
			b.ReportMetric(off[len(off)*99/100], "scatter-p99-ms")
			b.ReportMetric(off[len(off)-1], "scatter-max-ms")
			b.ReportMetric(float64(r.Xruns()), "xruns")
		})
	}
}
