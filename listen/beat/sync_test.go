package beat_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/listen/beat"
)

const second = float64(time.Second / time.Microsecond)

// stream is an outside clock: when it sends its pulses, and when they come.
type stream struct {
	sent []float64 // microseconds; pulse k lies on beat k/24
	came []float64 // the same; not a number: never
}

// steady sends pulses at the tempi that a function of time gives, in quarter notes a
// minute, for so many seconds, late by a half-normal delay of some deviation in
// milliseconds.
func steady(seed uint64, seconds, deviation float64, tempo func(t float64) float64) *stream {
	r := rand.New(rand.NewPCG(seed, 24))
	s := &stream{}
	last := 0.0
	for at := 0.5 * second; at < seconds*second; at += 60 * second / tempo(at/second) / 24 {
		s.sent = append(s.sent, at)
		last = max(last, at+math.Abs(r.NormFloat64())*deviation*1000)
		s.came = append(s.came, last)
	}
	return s
}

func always(tempo float64) func(float64) float64 { return func(float64) float64 { return tempo } }

// stalled holds back what comes in the last part of every stretch of time, and lets it
// come in a heap; lost says that it never comes.
func (s *stream) stalled(every, silence float64, lost bool) *stream {
	for i, at := range s.came {
		if within := math.Mod(at, every*second); within > (every-silence)*second {
			s.came[i] += every*second - within + 50*float64(i%20) // a heap: 50 microseconds apart
			if lost {
				s.came[i] = math.NaN()
			}
		}
	}
	return s
}

// truth returns the song tick at a moment: where the clock that sends is.
func (s *stream) truth(at float64) float64 {
	i, _ := slices.BinarySearch(s.sent, at)
	i = min(max(i, 1), len(s.sent)-1)
	a, b := s.sent[i-1], s.sent[i]
	return 40 * (float64(i-1) + (at-a)/(b-a))
}

// followed plays the stream to a clock, as of the start, and returns by how many
// milliseconds the song was off the truth, the mean delay taken off, from two seconds
// on; and how many tempi were told a minute.
func (s *stream) followed(t *testing.T, deviation float64) (off []float64, tempi float64) {
	p := newClock(t, beat.Setup{Form: plain(32), Quarter: 500_000, Follow: true})
	delay := deviation * 1000 * math.Sqrt(2/math.Pi)
	p.take(p.clock.Start(0))
	moment := func(us float64) time.Duration { return time.Duration(us) * time.Microsecond }
	sample := func(us float64) {
		if us < 2.5*second || us > s.sent[len(s.sent)-1] {
			return
		}
		song := float64(p.songAt(p.ticks()))
		truth := s.truth(us - delay)
		tempo := (s.truth(us-delay+1000) - truth) / 1000 // ticks a microsecond
		off = append(off, math.Abs(song-truth)/tempo/1000)
	}
	at := 0.0
	for _, came := range s.came {
		if math.IsNaN(came) {
			continue
		}
		for ; at < came; at += 10_000 {
			p.pass(moment(at) - p.now)
			sample(at)
		}
		p.now = moment(came)
		p.take(p.clock.Pulse(p.now))
		p.ticks()
	}
	n := 0
	for _, e := range p.heard {
		if e.Kind == analyse.Tempo {
			n++
		}
	}
	return off, float64(n) / (s.sent[len(s.sent)-1] / second / 60)
}

func quantile(x []float64, q float64) float64 {
	slices.Sort(x)
	return x[int(q*float64(len(x)-1))]
}

// An outside clock is followed, jitter, drift, ramps, steps and silences and all. The
// streams are simulated, so the truth is known; the constants were chosen on streams of
// other seeds. Bounds are milliseconds.
func TestFollowsAClock(t *testing.T) {
	ramp := func(from, to, seconds float64) func(float64) float64 {
		return func(t float64) float64 { return from + (to-from)*min(1, max(0, (t-5)/seconds)) }
	}
	step := func(t float64) float64 {
		if t < 20 {
			return 120
		}
		return 140
	}
	for _, c := range []struct {
		what           string
		deviation      float64
		stream         func(seed uint64) *stream
		p50, p99, most float64
	}{
		{"120, 2 ms", 2, func(s uint64) *stream { return steady(s, 60, 2, always(120)) }, 0.5, 1.8, 2.8},
		{"120, 5 ms", 5, func(s uint64) *stream { return steady(s, 60, 5, always(120)) }, 0.8, 3.0, 6},
		{"280, 2 ms", 2, func(s uint64) *stream { return steady(s, 60, 2, always(280)) }, 0.5, 1.8, 2.8},
		{"100 to 140 in 60 s", 2, func(s uint64) *stream { return steady(s, 70, 2, ramp(100, 140, 60)) }, 1.6, 3.2, 4.4},
		{"120 to 60 in 8 s", 2, func(s uint64) *stream { return steady(s, 30, 2, ramp(120, 60, 8)) }, 1.1, 20, 30},
		{"step 120 to 140", 2, func(s uint64) *stream { return steady(s, 40, 2, step) }, 0.6, 4.5, 20},
		{"a second late every 20 s", 2, func(s uint64) *stream { return steady(s, 90, 2, always(120)).stalled(20, 1, false) }, 0.5, 2.1, 10},
		{"a second lost every 20 s", 2, func(s uint64) *stream { return steady(s, 90, 2, always(120)).stalled(20, 1, true) }, 0.5, 2.1, 10},
	} {
		t.Run(c.what, func(t *testing.T) {
			var all []float64
			tempi := 0.0
			const seeds = 8
			for seed := range uint64(seeds) {
				off, n := c.stream(1000+seed).followed(t, c.deviation)
				all, tempi = append(all, off...), tempi+n/seeds
			}
			p50, p99, most := quantile(all, 0.5), quantile(all, 0.99), quantile(all, 1)
			t.Logf("p50 %.2f, p99 %.2f, max %.1f ms; %.0f tempi a minute", p50, p99, most, tempi)
			assert.Less(t, p50, c.p50)
			assert.Less(t, p99, c.p99)
			assert.Less(t, most, c.most)
		})
	}
}

// driven is a clock that follows a steady one at 120, a pulse at a time.
type driven struct {
	*player
	sent float64
}

const pulse120 = 60 * 1e6 / 120 / 24

func newDriven(t *testing.T) *driven {
	return &driven{player: newClock(t, beat.Setup{Form: plain(2), Quarter: 500_000, Follow: true})}
}

// pulses sends some.
func (d *driven) pulses(n int) {
	for range n {
		d.sent += pulse120
		d.now = time.Duration(d.sent) * time.Microsecond
		d.take(d.clock.Pulse(d.now))
		d.ticks()
	}
}

// at returns the chorus, from 1, and the song tick in it, now; 0 where the song stands.
func (d *driven) at() (chorus, song int64) {
	if !d.running {
		return 0, 0
	}
	now := d.songAt(d.ticks())
	return now/(2*bar) + 1, now % (2 * bar)
}

// The song goes as MIDI 1.0 has it (system real time, song position pointer): a start
// counts from the next pulse, a stop halts, a continue goes on with the next pulse, and
// a position is counted in sixteenths. No number of a chorus comes twice.
func TestStartStopContinuePosition(t *testing.T) {
	type place struct{ chorus, song int64 }
	for _, c := range []struct {
		what string
		do   func(d *driven)
		want place
	}{
		{"pulses without a start", func(d *driven) { d.pulses(100) }, place{}},
		{"a start", func(d *driven) { d.take(d.clock.Start(d.now)); d.pulses(1) }, place{1, 0}},
		{"a start in the middle of pulses", func(d *driven) {
			d.pulses(50)
			d.take(d.clock.Start(d.now))
			d.pulses(25)
		}, place{1, 960}},
		{"stopped", func(d *driven) {
			d.take(d.clock.Start(d.now))
			d.pulses(25)
			d.take(d.clock.Halt(d.now))
			d.pulses(3)
		}, place{}},
		{"stopped and continued", func(d *driven) {
			d.take(d.clock.Start(d.now))
			d.pulses(25) // the 26th would be pulse 25 of the song
			d.take(d.clock.Halt(d.now))
			d.pulses(30)
			d.take(d.clock.Continue(d.now))
			d.pulses(1)
		}, place{1, 1000}},
		{"started twice", func(d *driven) {
			d.take(d.clock.Start(d.now))
			d.pulses(25)
			d.take(d.clock.Start(d.now))
			d.pulses(13)
		}, place{2, 480}},
		{"positioned on the second bar", func(d *driven) {
			d.take(d.clock.Position(16, d.now))
			d.take(d.clock.Continue(d.now))
			d.pulses(1)
		}, place{1, bar}},
		{"positioned in the third chorus", func(d *driven) {
			d.take(d.clock.Position(4*16+4, d.now))
			d.take(d.clock.Continue(d.now))
			d.pulses(7)
		}, place{3, 960 + 240}},
		{"positioned back while it runs", func(d *driven) {
			d.take(d.clock.Start(d.now))
			d.pulses(24 * 9) // a beat into the second chorus
			d.take(d.clock.Position(8, d.now))
			d.pulses(1)
		}, place{3, 2 * 960}},
		{"a bar on, by the player", func(d *driven) {
			d.take(d.clock.Start(d.now))
			d.pulses(25)
			d.do(beat.BarOn)
			d.pulses(24)
		}, place{1, bar + 2*960}},
		{"one, tapped nearly a beat late by the pulses' count", func(d *driven) {
			d.take(d.clock.Start(d.now))
			d.pulses(20)
			d.do(beat.Tap)
			d.pulses(24)
		}, place{1, 960}},
		{"again, by the player", func(d *driven) {
			d.take(d.clock.Start(d.now))
			d.pulses(60)
			d.do(beat.Again)
			d.pulses(1)
		}, place{2, 0}},
	} {
		t.Run(c.what, func(t *testing.T) {
			d := newDriven(t)
			c.do(d)
			chorus, song := d.at()
			assert.Equal(t, c.want.chorus, chorus)
			assert.InDelta(t, c.want.song, song, 1.5)
		})
	}
}

// A clock that is silent while the song runs is lost, until its pulses come again; the
// beat goes on meanwhile.
func TestALostClockFreeWheels(t *testing.T) {
	d := newDriven(t)
	d.take(d.clock.Start(0))
	d.pulses(97)
	require.False(t, d.clock.Lost())
	_, before := d.at()
	d.pass(50 * ms)
	require.False(t, d.clock.Lost())
	d.pass(450 * ms)
	require.True(t, d.clock.Lost())
	_, after := d.at()
	require.InDelta(t, before+960, after, 2)
	d.sent += 500_000 - pulse120 // 24 pulses are lost
	d.pulses(7)
	require.True(t, d.clock.Lost(), "not yet decided")
	d.pulses(1)
	require.False(t, d.clock.Lost())
	_, song := d.at()
	require.InDelta(t, (before+960+7*40)%(2*bar), song, 2)
	d.take(d.clock.Halt(d.now))
	d.pass(time.Second)
	require.False(t, d.clock.Lost(), "a stopped clock may be silent")
}

// Without a chart the bars are counted from the start, and the tempo is told as soon as
// there are pulses.
func TestFollowsWithoutAChart(t *testing.T) {
	d := &driven{player: newClock(t, beat.Setup{Follow: true})}
	d.pulses(24)
	require.NotEmpty(t, d.heard)
	require.Equal(t, analyse.Tempo, d.heard[0].Kind)
	require.InDelta(t, 500_000, d.heard[0].Value, 100)
	before := len(d.heard)
	d.take(d.clock.Start(d.now))
	d.pulses(30)
	meters := 0
	for _, e := range d.heard[before:] {
		if e.Kind == analyse.Meter {
			meters++
			require.InDelta(t, 25*40, e.Tick, 5, "on the pulse after the start")
		}
	}
	require.Equal(t, 1, meters)
}

// A clock gone mad, with ten thousand pulses a second, is survived.
func TestAFloodOfPulses(t *testing.T) {
	d := newDriven(t)
	d.take(d.clock.Start(0))
	d.pulses(48)
	for range 100_000 { // a clock gone mad
		d.sent += 100
		d.now = time.Duration(d.sent) * time.Microsecond
		d.take(d.clock.Pulse(d.now))
		d.ticks()
	}
	d.pulses(24 * 8)
	require.False(t, d.clock.Lost())
	tempi := 0
	for _, e := range d.heard {
		if e.Kind == analyse.Tempo {
			tempi++
			require.GreaterOrEqual(t, e.Value, int64(beat.Fastest))
		}
	}
	require.Less(t, tempi, 100_000/3)
}
