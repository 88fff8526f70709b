//go:build jack

package main

import (
	"cmp"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/listen/jacktest"
	"shedlight/listen/smf"
	"shedlight/listen/take"
)

// outside is a sequencer: its pulses, where the song is on each, and what it sends. Times
// are in seconds of its own.
type outside struct {
	due  []float64 // of the pulses
	song []float64 // ticks; not a number: it stands
	sent []sending
}

// sending is a message and when it is handed to the driver.
type sending struct {
	at    float64
	bytes []byte
	song  float64 // of a note; not a number for others
}

// sequencer goes at the tempi of a function of time for so long.
func sequencer(seconds float64, tempo func(t float64) float64) *outside {
	o := &outside{}
	for at := 0.0; at < seconds; at += 60 / tempo(at) / 24 {
		o.due, o.song = append(o.due, at), append(o.song, math.NaN())
	}
	return o
}

// say sends messages right before the first pulse from a moment on; from that the song goes
// on from a tick.
func (o *outside) say(at, song float64, messages ...[]byte) *outside {
	i, _ := slices.BinarySearch(o.due, at)
	for _, m := range messages {
		o.sent = append(o.sent, sending{at: o.due[i], bytes: m, song: math.NaN()})
	}
	for k := i; k < len(o.song); k++ {
		o.song[k] = song + float64(40*(k-i))
	}
	return o
}

// where returns the song tick at a moment; not a number where it stands or has just moved.
func (o *outside) where(at float64) float64 {
	i, _ := slices.BinarySearch(o.due, at)
	if i < 3 || i >= len(o.due) || o.song[i]-o.song[i-3] != 120 {
		return math.NaN()
	}
	a, b := o.due[i-1], o.due[i]
	return o.song[i-1] + 40*(at-a)/(b-a)
}

// played returns what is handed to the driver: the pulses, those of some stalls in heaps,
// and a note every so often where the song runs.
func (o *outside) played(r *rand.Rand, stalls int) []sending {
	out := slices.Clone(o.sent)
	late := slices.Clone(o.due)
	end := o.due[len(o.due)-1]
	for n := range stalls {
		from := end * (float64(n) + 0.5) / float64(stalls)
		until := from + 0.04 + 0.16*r.Float64()
		for i, at := range late {
			if at >= from && at < until {
				late[i] = until
			}
		}
	}
	for _, at := range late {
		out = append(out, sending{at: at, bytes: []byte{0xF8}, song: math.NaN()})
	}
	for at := 1.0; at < end; at += 0.06 + 0.1*r.Float64() {
		if song := o.where(at); !math.IsNaN(song) {
			out = append(out, sending{at: at, bytes: []byte{0x90, 62, 80}, song: song}, sending{at: at + 0.03, bytes: []byte{0x80, 62, 64}, song: math.NaN()})
		}
	}
	slices.SortStableFunc(out, func(a, b sending) int { return cmp.Compare(a.at, b.at) })
	return out
}

// followed plays a sequencer to the program, over JACK, and returns by how many
// milliseconds its notes lie off the song, less what they all do: on their way notes and
// pulses are late alike. A note counts from when it was handed to the driver, which the
// player tells, so that a late one is no error. What came when the player had been held up
// is left out: that is another stream than was meant. tempi is how many were told a minute.
func (o *outside) followed(t *testing.T, stalls int) (off []float64, tempi float64) {
	t.Helper()
	jacktest.Start(t)
	k := newKeys(t, "Sequencer")
	h := newHome(t)
	c := h.open(sizes()[1], h.command("listen", "--api", "jack", "--in", k.Port, "--chart", "two-five-one", "--sync", "clock", "--sound", "off"))
	c.shows("q leave")
	k.connect(t, 65, func() int { return counted(c.text()) })
	list := o.played(rand.New(rand.NewPCG(24, 1)), stalls)
	messages := make([]jacktest.Message, len(list))
	before := list[0].at
	for i, s := range list {
		messages[i] = jacktest.Message{After: time.Duration((s.at - before) * float64(time.Second)), Bytes: s.bytes}
		before = s.at
	}
	times := k.play(messages...)
	c.ended()
	disturbed := heldUp(list, times)

	kept, err := take.Load(h.takeSaved(), smf.Selection{})
	require.NoError(t, err)
	var notes []int // in the list
	for i, s := range list {
		if !math.IsNaN(s.song) {
			notes = append(notes, i)
		}
	}
	const chorus = 4 * 3840 // two-five-one has four bars
	origin := analyse.Event{}
	quarter := 0.0 // ms
	n, note := 0, 0
	for _, e := range slices.Collect(kept.Events) {
		switch {
		case e.Kind == analyse.Tempo:
			quarter = float64(e.Value) / 1000
			n++
		case e.Kind == analyse.Origin:
			origin = e
		case e.Kind == analyse.NoteOn && e.Velocity > 0 && e.Key == 62:
			i := notes[note]
			if note++; disturbed[i] {
				continue
			}
			truth := o.where(times[i].Seconds() + list[0].at)
			if math.IsNaN(truth) { // sent late, behind a move
				truth = list[i].song
			}
			require.EqualValues(t, 1, origin.Key, "the song runs at %v", times[i])
			miss := math.Remainder(float64(e.Tick-origin.Tick+origin.Value)-truth, chorus)
			off = append(off, miss*quarter/960)
		}
	}
	require.Equal(t, len(notes), note, "all have come")
	if len(off) < len(notes)/2 {
		t.Skipf("the machine is too busy: %d of %d notes can be told", len(off), len(notes))
	}
	middle := quantiles(off, 0.5)[0]
	for i := range off {
		off[i] -= middle
	}
	return off, float64(n) / (o.due[len(o.due)-1] / 60)
}

// heldUp tells which messages came when the player had been late with one, by more than
// pulses usually are, in the time that the beat goes by.
func heldUp(list []sending, times []time.Duration) []bool {
	const late, goesBy = 0.005, 2.0 // seconds
	lateness := func(i int) float64 { return times[i].Seconds() - (list[i].at - list[0].at) }
	least := math.Inf(1)
	for i := range list {
		least = min(least, lateness(i))
	}
	out := make([]bool, len(list))
	until := math.Inf(-1)
	for i := range list {
		if lateness(i)-least > late {
			until = list[i].at + goesBy
		}
		out[i] = list[i].at < until
	}
	return out
}

// quantiles returns parts of values.
func quantiles(values []float64, parts ...float64) (out []float64) {
	sorted := slices.Sorted(slices.Values(values))
	for _, part := range parts {
		out = append(out, sorted[int(part*float64(len(sorted)-1))])
	}
	return out
}

// tellOff logs how far notes are off and returns the quantiles.
func tellOff(t *testing.T, what string, off []float64, tempi float64) []float64 {
	abs := make([]float64, len(off))
	for i, v := range off {
		abs[i] = math.Abs(v)
	}
	q := quantiles(abs, 0.5, 0.9, 0.99, 1)
	t.Logf("%s: %d notes off by p50 %.2f, p90 %.2f, p99 %.2f, most %.1f ms; %.0f tempi a minute", what, len(off), q[0], q[1], q[2], q[3], tempi)
	return q
}

var start, stop, goOn = []byte{0xFA}, []byte{0xFC}, []byte{0xFB}

// A sequencer's tempo changes, its pulses stall, it is stopped, continued and positioned
// in odd places; the notes lie where its song is, nine of ten within a pulse, and those at
// the end as those at the beginning: no pulse was lost, and none counted twice.
func TestASequencerIsFollowed(t *testing.T) {
	o := sequencer(10, func(t float64) float64 { return 130 + 2*max(0, t-5) })
	o.say(0.5, 0, start)
	where := o.song[slices.IndexFunc(o.due, func(at float64) bool { return at >= 3.31 })]
	o.say(3.31, math.NaN(), stop).say(3.7, where, goOn)
	o.say(4.4, 3*240, []byte{0xF2, 3, 0})
	off, tempi := o.followed(t, 4)
	q := tellOff(t, "a sequencer", off, tempi)
	const pulse = 1000 * 60 / 130. / 24
	require.Less(t, q[0], 5.0, "half of all")
	require.Less(t, q[1], pulse, "nine of ten")
	fourth := len(off) / 4
	require.InDelta(t, quantiles(off[:fourth], 0.5)[0], quantiles(off[3*fourth:], 0.5)[0], pulse/2)
}

// How far off notes are for two minutes each, on a machine with nothing else to do.
func TestSequencersAreFollowedFor(t *testing.T) {
	if os.Getenv("SHEDLIGHT_FULL") == "" {
		t.Skip("SHEDLIGHT_FULL is not set: make clock")
	}
	const seconds = 120
	always := func(float64) float64 { return 120 }
	for _, c := range []struct {
		what   string
		stalls int
		tempo  func(t float64) float64
	}{
		{"calm, 120", 0, always},
		{"stopped 12 times for 40 to 200 ms", 12, always},
		{"from 100 to 140 and back in 60 s", 0, func(t float64) float64 { return 140 - math.Abs(t-60)*40/60 }},
		{"from 120 to 140 at once and back, every 20 s", 0, func(t float64) float64 { return 120 + 20*float64(int(t/20)%2) }},
	} {
		t.Run(c.what, func(t *testing.T) {
			off, tempi := sequencer(seconds, c.tempo).say(0.5, 0, start).followed(t, c.stalls)
			tellOff(t, c.what, off, tempi)
		})
	}
}
