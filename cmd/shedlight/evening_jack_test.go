//go:build jack

package main

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/timebase"
	"shedlight/listen/beat"
	"shedlight/listen/jacktest"
	"shedlight/listen/smf"
	"shedlight/listen/take"
)

// minutesVariable says how long BenchmarkEvening plays, in minutes.
const minutesVariable = "SHEDLIGHT_MINUTES"

// BenchmarkEvening plays some minutes over JACK's dummy server with everything on at once:
// click, bass and piano, a tempo that rises, trading, a goal, the screen of 120x40. The
// player plays eight notes a second, and every ten seconds a thousand messages at once;
// every twenty they count off again by a pedal, and between mark and forget, move a bar on
// and back, and turn the view. It prints what the session costs as it goes, a row for each
// minute:
//
//	click   how the clicks of the count-ins, where no band hides them, scatter around
//	        their beats by the take, less the constant part
//	screen  from the entry of the driver's callback to the bytes that show the note
//
// At the end the session must have lost nothing that reached it, and the review of its take
// say what it said.
func BenchmarkEvening(b *testing.B) {
	minutes := 3
	if text := os.Getenv(minutesVariable); text != "" {
		var err error
		minutes, err = strconv.Atoi(text)
		require.NoError(b, err)
	}
	jacktest.StartUrgent(b)
	e := jackEvening{b: b, loop: jacktest.NewLoop(b, "Keys"), home: newHome(b)}
	e.c = e.home.open(sizes()[1], e.home.command("listen", "--api", "jack", "--in", e.loop.Port, "--chart", "blues", "--tempo", "160",
		"--backing", "full", "--faster", "4/2", "--trade", "4", "--goal", "no slip in 1-4", "--map", "cc67=again", "--map", "cc66=mark/forget"))
	e.c.shows("q leave")
	e.recorder = jacktest.NewRecorder(b, soundPort)
	until(b, "the instrument is heard", func() bool {
		e.sent = nil
		e.strike(65)
		e.letGo(65)
		limit := time.Now().Add(connectLimit)
		for counted(e.c.text()) == 0 && time.Now().Before(limit) {
			<-time.After(lookEvery)
		}
		return counted(e.c.text()) > 0
	})
	for b.Loop() {
		e.play(time.Duration(minutes) * time.Minute)
	}
	b.ReportMetric(0, "ns/op")
	e.end()
}

// jackEvening is a session over JACK and its player.
type jackEvening struct {
	b        *testing.B
	loop     *jacktest.Loop
	home     home
	c        *console
	recorder *jacktest.Recorder
	lines    chan shownLine

	sent    [][]byte
	pressed []time.Time // the pedal that counts off
	minutes []evenMinute
}

// evenMinute is what was measured in a minute, from its beginning on.
type evenMinute struct {
	begun         time.Time
	screen, click []float64 // milliseconds
	unseen        int       // notes that were not shown within a second
	own, sound    processCost
}

// processCost is what a process has taken so far.
type processCost struct {
	memory, threads, descriptors int           // kB of its own, and counts
	busy                         time.Duration // of the processor
}

func (e *jackEvening) send(message ...byte) time.Time {
	e.sent = append(e.sent, message)
	return e.loop.Send(message)
}

func (e *jackEvening) strike(key byte) time.Time { return e.send(0x90, key, 80) }
func (e *jackEvening) letGo(key byte) time.Time  { return e.send(0x80, key, 64) }

func (e *jackEvening) pedal(controller byte, held time.Duration) time.Time {
	at := e.send(0xB0, controller, 127)
	<-time.After(held)
	e.send(0xB0, controller, 0)
	return at
}

// play plays for a time.
func (e *jackEvening) play(d time.Duration) {
	e.strike(36) // a single key that is held has no label
	held := rowWith(e.c.rows(), "F6 dim")
	e.lines = make(chan shownLine, 1<<16)
	e.c.mu.Lock()
	e.c.watch = func(arrived time.Time) {
		select {
		case e.lines <- shownLine{text: e.c.row(held), arrived: arrived}:
		default:
		}
	}
	e.c.mu.Unlock()
	names := []struct {
		key  byte
		name string
	}{{65, "F"}, {69, "A"}, {74, "D"}, {76, "E"}, {67, "G"}}
	const (
		every = 125 * time.Millisecond
		round = 20 * time.Second // of all that is asked for
	)
	begun := time.Now()
	last := begun
	for n := 0; time.Since(begun) < d; n++ {
		if int(time.Since(begun)/time.Minute) >= len(e.minutes) {
			e.minutes = append(e.minutes, evenMinute{begun: time.Now(), own: costOf(e.b, e.c.command.Process.Pid), sound: costOf(e.b, e.c.soundProcess())})
		}
		note := names[n%len(names)]
		for len(e.lines) > 0 {
			<-e.lines
		}
		sent := e.strike(note.key)
		entered := e.loop.Entered(sent)
		if strings.Contains(e.c.text(), "yours for") { // what is played in others' bars is not shown
			minute := &e.minutes[len(e.minutes)-1]
			if shown, ok := e.shown("held  C  " + note.name); ok {
				minute.screen = append(minute.screen, shown.Sub(entered).Seconds()*1000)
			} else {
				minute.unseen++
			}
		}
		<-time.After(every / 2)
		e.letGo(note.key)
		<-time.After(time.Until(sent.Add(every)))
		if now := time.Since(begun) % round; now < last.Sub(begun)%round {
			e.pressed = append(e.pressed, e.pedal(67, 50*time.Millisecond))
		} else if passed := func(at time.Duration) bool { return now >= at && last.Sub(begun)%round < at }; passed(8*time.Second) || passed(18*time.Second) {
			e.burst()
		} else if passed(10 * time.Second) {
			e.c.typed("\x1b[C")
		} else if passed(12 * time.Second) {
			e.c.typed("\x1b[D")
		} else if passed(14 * time.Second) {
			e.c.typed("v")
		} else if passed(15 * time.Second) {
			e.pedal(66, 50*time.Millisecond)
		} else if passed(16*time.Second) && len(e.pressed)%3 == 0 {
			e.pedal(66, 700*time.Millisecond)
		}
		last = time.Now()
	}
	e.minutes = append(e.minutes, evenMinute{begun: time.Now(), own: costOf(e.b, e.c.command.Process.Pid), sound: costOf(e.b, e.c.soundProcess())})
	e.loop.Entered(e.letGo(36))
}

// burst plays a thousand messages at once.
func (e *jackEvening) burst() {
	var sent time.Time
	for n := range byte(100) {
		for key := range byte(5) {
			e.strike(60 + key + n%3)
			sent = e.letGo(60 + key + n%3)
		}
	}
	e.loop.Entered(sent)
}

// shown waits for what a line ends with, and returns when it was there. A note that was
// struck while the turns changed is not shown: ok is false after some time.
func (e *jackEvening) shown(text string) (at time.Time, ok bool) {
	const patience = time.Second
	limit := time.After(patience)
	for {
		select {
		case l := <-e.lines:
			if strings.HasSuffix(l.text, text) {
				return l.arrived, true
			}
		case <-limit:
			return at, false
		}
	}
}

// costOf reads what a process has taken.
func costOf(t testing.TB, pid int) (c processCost) {
	t.Helper()
	proc := filepath.Join("/proc", strconv.Itoa(pid))
	status, err := os.ReadFile(filepath.Join(proc, "status"))
	require.NoError(t, err)
	for line := range strings.Lines(string(status)) {
		_, _ = fmt.Sscanf(line, "RssAnon: %d kB", &c.memory)
		_, _ = fmt.Sscanf(line, "Threads: %d", &c.threads)
	}
	descriptors, err := os.ReadDir(filepath.Join(proc, "fd"))
	require.NoError(t, err)
	c.descriptors = len(descriptors)
	stat, err := os.ReadFile(filepath.Join(proc, "stat"))
	require.NoError(t, err)
	const second = 100                                                                          // in the units of the kernel
	fields := strings.Fields(string(stat[strings.LastIndexByte(string(stat), ')')+len(") "):])) // from the third on
	for _, field := range fields[11:13] {                                                       // in the program, in the kernel
		n, err := strconv.Atoi(field)
		require.NoError(t, err)
		c.busy += time.Duration(n) * time.Second / second
	}
	return c
}

// end ends the session, holds the take against what was sent, and prints.
func (e *jackEvening) end() {
	b := e.b
	e.c.mu.Lock()
	e.c.watch = nil
	e.c.mu.Unlock()
	onsets := e.recorder.Onsets()
	e.c.signal(syscall.SIGINT)
	require.Zero(b, e.c.wait(), e.c.text())
	said := e.c.text()
	path := e.home.takeSaved()
	kept, _ := messages(b, path)
	require.Zero(b, kinds(b, path, analyse.Lost), "the session has lost messages")
	page := e.home.run("review", path)
	_, told, _ := strings.Cut(page.out, "\n") // its first row names the file
	for row := range strings.Lines(told) {
		require.Contains(b, said, strings.TrimSpace(row), "what was said at the end is what the review says")
	}
	e.match(e.dues(path), onsets)
	b.Logf("%d messages sent, %d in the take; %d periods missed by the server, which loses what falls into them; clicks or notes came too late: %v",
		len(e.sent), len(kept), e.recorder.Xruns(), strings.Contains(said, "too late to be heard"))
	for i := range e.minutes[:len(e.minutes)-1] {
		m, next := &e.minutes[i], &e.minutes[i+1]
		passed := next.begun.Sub(m.begun)
		percent := func(a, b processCost) float64 { return 100 * float64(b.busy-a.busy) / float64(passed) }
		b.Logf("minute %d: click %s; screen %s, %d unseen; session %d kB, %d threads, %d descriptors, %.1f %% of a core; sound %d kB, %d, %d, %.1f %%",
			i+1, spread(m.click), spread(m.screen), m.unseen, next.own.memory, next.own.threads, next.own.descriptors, percent(m.own, next.own),
			next.sound.memory, next.sound.threads, next.sound.descriptors, percent(m.sound, next.sound))
	}
}

// dues is when something was due by the take.
type dues struct {
	asked  []time.Duration // to count off
	clicks []time.Duration // of the count-ins: on one and three, then on each beat
}

func (e *jackEvening) dues(path string) (d dues) {
	kept, err := take.Load(path, smf.Selection{})
	require.NoError(e.b, err)
	var tempo timebase.Tempo
	at := func(tick int64) time.Duration { return time.Duration(tempo.Micros(tick)) * time.Microsecond }
	counts := false
	for event := range kept.Events {
		switch {
		case event.Kind == analyse.Tempo:
			require.NoError(e.b, tempo.Set(event.Tick, event.Value))
		case event.Kind == analyse.Asked && event.Value == int64(beat.Again):
			counts = true
			d.asked = append(d.asked, at(event.Tick))
		case event.Kind == analyse.Origin && event.Value < 0 && counts:
			counts = false
			for _, beats := range []int64{-8, -6, -4, -3, -2, -1} {
				d.clicks = append(d.clicks, at(event.Tick+beats*timebase.Quarter-event.Value))
			}
		}
	}
	require.Len(e.b, d.asked, len(e.pressed))
	return d
}

// match finds each click that was due among the onsets, and puts how far off it was into
// its minute, less the median of all: what the way in and the buffers hold back.
func (e *jackEvening) match(d dues, onsets []jacktest.Onset) {
	const near = 40 * time.Millisecond
	var zeros []time.Time // of the take, each late by the way in
	for i, asked := range d.asked {
		zeros = append(zeros, e.pressed[i].Add(-asked))
	}
	slices.SortFunc(zeros, time.Time.Compare)
	zero := zeros[len(zeros)/2]
	var off []float64
	var at []time.Time
	for _, due := range d.clicks {
		want := zero.Add(due)
		n, _ := slices.BinarySearchFunc(onsets, want.Add(-near), func(o jacktest.Onset, t time.Time) int { return o.Framed.Compare(t) })
		if n < len(onsets) && onsets[n].Framed.Sub(want) < near {
			off, at = append(off, onsets[n].Framed.Sub(want).Seconds()*1000), append(at, want)
		}
	}
	constant := slices.Sorted(slices.Values(off))[len(off)/2]
	for i := range off {
		n, _ := slices.BinarySearchFunc(e.minutes, at[i], func(m evenMinute, t time.Time) int { return m.begun.Compare(t) })
		n = min(max(n-1, 0), len(e.minutes)-2)
		e.minutes[n].click = append(e.minutes[n].click, math.Abs(off[i]-constant))
	}
	e.b.Logf("clicks: %d due, %d found where nothing else sounds; constant part %.1f ms", len(d.clicks), len(off), constant)
}

// spread is the median, the 99th percentile and the most of some values.
func spread(all []float64) string {
	if len(all) == 0 {
		return "none"
	}
	slices.Sort(all)
	return fmt.Sprintf("%.2f, %.2f, %.2f ms (%d)", all[len(all)/2], all[len(all)*99/100], all[len(all)-1], len(all))
}
