package beat_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"shedlight/analyse"
	"shedlight/listen/beat"
)

const second = float64(time.Second / time.Microsecond)

// stream is an outside clock: when it sends its pulses, where the song is on each, and
// when they come.
type stream struct {
	sent  []float64 // microseconds
	song  []float64 // ticks; not a number: the song stands
	came  []float64 // microseconds; not a number: never
	said  []said
	delay float64 // the mean of came less sent
}

// said is what comes right before a pulse.
type said struct {
	before int // a pulse
	what   func(c *beat.Clock, at time.Duration) []analyse.Event
}

// steady sends pulses at the tempi that a function of time gives, in quarter notes a
// minute, for so many seconds, late by a half-normal delay of some deviation in
// milliseconds. The song starts with the first.
func steady(seed uint64, seconds, deviation float64, tempo func(t float64) float64) *stream {
	r := rand.New(rand.NewPCG(seed, 24))
	s := &stream{delay: deviation * 1000 * math.Sqrt(2/math.Pi)}
	last := 0.0
	for at := 0.5 * second; at < seconds*second; at += 60 * second / tempo(at/second) / 24 {
		s.song = append(s.song, float64(40*len(s.sent)))
		s.sent = append(s.sent, at)
		last = max(last, at+math.Abs(r.NormFloat64())*deviation*1000)
		s.came = append(s.came, last)
	}
	return s.say(0, (*beat.Clock).Start, 0)
}

func always(tempo float64) func(float64) float64 { return func(float64) float64 { return tempo } }

// ramp goes evenly from one tempo to another.
func ramp(from, to, seconds float64) func(float64) float64 {
	return func(t float64) float64 { return from + (to-from)*min(1, max(0, (t-5)/seconds)) }
}

// step goes from one tempo to another at once, every 20 seconds there and back.
func step(from, to float64) func(float64) float64 {
	return func(t float64) float64 {
		if int(t/20)%2 == 0 {
			return from
		}
		return to
	}
}

// drifting wanders about a tempo by a part of it.
func drifting(tempo, part, seconds float64) func(float64) float64 {
	return func(t float64) float64 { return tempo * (1 + part*math.Sin(2*math.Pi*t/seconds)) }
}

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

// thinned loses single pulses, a part of them, up to a moment in seconds.
func (s *stream) thinned(seed uint64, part, until float64) *stream {
	r := rand.New(rand.NewPCG(seed, 25))
	for i := range s.came {
		if lose := r.Float64() < part; lose && s.sent[i] < until*second && i > 0 {
			s.came[i] = math.NaN()
		}
	}
	return s
}

// at returns the number of the first pulse from a moment in seconds on.
func (s *stream) at(seconds float64) int {
	i, _ := slices.BinarySearch(s.sent, seconds*second)
	return i
}

// say sends a message before a pulse, from which on the song goes on from a tick; not a
// number: it stands.
func (s *stream) say(before int, what func(*beat.Clock, time.Duration) []analyse.Event, song float64) *stream {
	s.said = append(s.said, said{before: before, what: what})
	for i := before; i < len(s.song); i++ {
		s.song[i] = song + float64(40*(i-before))
	}
	return s
}

// position is a song position in sixteenths.
func position(sixteenths int) func(*beat.Clock, time.Duration) []analyse.Event {
	return func(c *beat.Clock, at time.Duration) []analyse.Event { return c.Position(sixteenths, at) }
}

// tap is a tap by a player who hears where one is.
func tap(c *beat.Clock, at time.Duration) []analyse.Event { return c.Do(beat.Tap, at) }

// truth returns the song tick at a moment: where the clock that sends is; and how many
// ticks pass in a microsecond. It is no number where the song stands, and within a pulse
// of where it was moved.
func (s *stream) truth(at float64) (song, perMicro float64) {
	i, _ := slices.BinarySearch(s.sent, at)
	i = min(max(i, 1), len(s.sent)-1)
	a, b := s.sent[i-1], s.sent[i]
	for j := max(1, i-1); j <= i; j++ {
		if s.song[j]-s.song[j-1] != 40 {
			return math.NaN(), 0
		}
	}
	return s.song[i-1] + 40*(at-a)/(b-a), 40 / (b - a)
}

const formBars = 32 // of the song

// followed plays the stream to a clock that is made as of the start, and returns by how
// many milliseconds the song was off the truth, the mean delay taken off, from some moment
// in seconds on; and how many tempi were told a minute.
func (s *stream) followed(t *testing.T, from float64) (off []float64, tempi float64) {
	p := newClock(t, beat.Setup{Form: plain(formBars), Quarter: 500_000, Follow: true})
	moment := func(us float64) time.Duration { return time.Duration(us) * time.Microsecond }
	sample := func(us float64) {
		song, perMicro := s.truth(us - s.delay)
		if us < from*second || us > s.sent[len(s.sent)-1] || math.IsNaN(song) {
			return
		}
		miss := math.Inf(1)
		if p.running {
			const length = formBars * bar
			miss = math.Remainder(float64(p.songAt(p.ticks()))-song, length) // numbers of choruses are for other tests
		}
		off = append(off, math.Abs(miss)/perMicro/1000)
	}
	at := 0.0
	reach := func(us float64) {
		for ; at < us; at += 10_000 {
			p.pass(moment(at) - p.now)
			sample(at)
		}
		p.now = max(p.now, moment(us))
	}
	for i, came := range s.came {
		lost := math.IsNaN(came)
		if lost {
			came = s.sent[i]
		}
		reach(came)
		for _, m := range s.said {
			if m.before == i {
				p.take(m.what(p.clock, p.now))
			}
		}
		if !lost {
			p.take(p.clock.Pulse(p.now))
			p.ticks()
		}
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
