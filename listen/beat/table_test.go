package beat_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"

	"shedlight/listen/beat"
)

// The table of errors: an outside clock is followed on simulated streams, so the truth
// is known. The constants of follow.go were chosen on streams of other seeds.
//
// Bounds are milliseconds, and come from what can be known. A line through 56 pulses of
// scatter s ends 2/sqrt(56) of s beside the truth at one deviation; s is 0.6 of the
// deviation of a half-normal delay (any handbook of statistics). To that comes what the beat
// may be adrift before a tempo is told. At a step each pulse adds its difference until the
// bend is seen, five of them at most, and the rest has to be over within a hundredth of the
// time; from 120 to 140 it is 3 ms a pulse, from 160 to 100 9 ms. In a ramp the line is
// behind by the curve of its window. The song of a pulse that starts it is as late as that one
// pulse.
func TestTable(t *testing.T) {
	type bounds struct{ p50, p99, most, tempi float64 } // tempi a minute
	calm := bounds{0.5, 1.5, 2.8, 134}
	moved := bounds{0.5, 1.8, 6, 134}
	mended := bounds{0.5, 1.8, 6, 320} // many are told before
	at120 := func(seed uint64) *stream { return steady(seed, 60, 2, always(120)) }
	for _, c := range []struct {
		what   string
		stream func(seed uint64) *stream
		from   float64 // seconds
		bounds bounds  // none: it cannot be told
	}{
		{"120, 2 ms", at120, 2.5, calm},
		{"120, 5 ms", func(s uint64) *stream { return steady(s, 60, 5, always(120)) }, 2.5, bounds{0.85, 2.8, 5.2, 336}},
		{"280, 2 ms", func(s uint64) *stream { return steady(s, 60, 2, always(280)) }, 2.5, bounds{0.5, 1.5, 2.8, 284}},
		{"120, wanders by 1 % in 20 s", func(s uint64) *stream { return steady(s, 60, 2, drifting(120, 0.01, 20)) }, 2.5, bounds{0.7, 2, 3.5, 250}},
		{"100 to 140 in 60 s", func(s uint64) *stream { return steady(s, 70, 2, ramp(100, 140, 60)) }, 2.5, bounds{1.4, 2.8, 3.7, 500}},
		{"120 to 60 in 8 s", func(s uint64) *stream { return steady(s, 30, 2, ramp(120, 60, 8)) }, 2.5, bounds{0.9, 10, 15, 400}},
		{"from 120 to 140 at once", func(s uint64) *stream { return steady(s, 40, 2, step(120, 140)) }, 2.5, bounds{0.5, 2, 15, 182}},
		{"from 160 to 100 at once", func(s uint64) *stream { return steady(s, 40, 2, step(160, 100)) }, 2.5, bounds{0.5, 2, 50, 182}},
		{"a second late in a heap every 20 s", func(s uint64) *stream { return steady(s, 90, 2, always(120)).stalled(20, 1, false) }, 2.5, bounds{0.5, 2.1, 10, 142}},
		{"a second lost every 20 s", func(s uint64) *stream { return steady(s, 90, 2, always(120)).stalled(20, 1, true) }, 2.5, bounds{0.5, 2.1, 10, 142}},
		{"12 stalls of 40 to 200 ms", func(s uint64) *stream { return at120(s).held(s, 12) }, 2.5, bounds{0.5, 1.9, 6, 142}},
		{"started anew, four times", func(seed uint64) *stream {
			s := at120(seed)
			for _, moment := range []float64{7.3, 13.31, 21.717, 37.44} {
				s.say(s.at(moment), (*beat.Clock).Start, 0)
			}
			return s
		}, 2.5, moved},
		{"stopped, continued, positioned", func(seed uint64) *stream {
			s := at120(seed)
			first, again := s.at(12.1), s.at(15.33)
			where := s.song[first]
			s.say(first, (*beat.Clock).Halt, math.NaN()).say(again, (*beat.Clock).Continue, where)
			s.say(s.at(30.02), (*beat.Clock).Halt, math.NaN()).say(s.at(31), position(37), math.NaN())
			s.say(s.at(32.4), (*beat.Clock).Continue, 37*240)
			return s.say(s.at(44.7), position(3), 3*240)
		}, 2.5, moved},
		{"silent while it is stopped", func(seed uint64) *stream {
			s := at120(seed).lost(12, 17)
			return s.say(s.at(12), (*beat.Clock).Halt, math.NaN()).say(s.at(17), (*beat.Clock).Start, 0)
		}, 2.5, moved},
		{"started in a stall", func(seed uint64) *stream {
			s := at120(seed).stalled(20, 1, false)
			return s.say(s.at(19.5), (*beat.Clock).Start, 0)
		}, 21.5, moved},
		{"joined before its start", func(seed uint64) *stream {
			s := at120(seed)
			s.said = nil
			return s.say(s.at(10), (*beat.Clock).Start, 0)
		}, 10.5, calm},
		{"joined while it plays, one tapped", func(seed uint64) *stream {
			s := at120(seed)
			s.said = nil
			return s.say(5*96, tap, 0)
		}, 11, calm},
		{"2 % of the pulses lost", func(s uint64) *stream { return at120(s).thinned(s, 0.02, 60) }, 2.5, bounds{}},
		{"the same, up to a start", func(seed uint64) *stream {
			s := at120(seed).thinned(seed, 0.02, 20)
			return s.say(s.at(21.3), (*beat.Clock).Start, 0)
		}, 24, mended},
		{"up to a position", func(seed uint64) *stream {
			s := at120(seed).thinned(seed, 0.02, 20)
			i := s.at(21.3) / 6 * 6
			return s.say(i, position(i/6), s.song[i])
		}, 24, mended},
		{"up to a tap on one", func(seed uint64) *stream {
			return at120(seed).thinned(seed, 0.02, 20).say(11*96, tap, 11*bar)
		}, 24, mended},
	} {
		t.Run(c.what, func(t *testing.T) {
			t.Parallel()
			var all []float64
			tempi := 0.0
			const seeds = 8
			for seed := range uint64(seeds) {
				off, n := c.stream(9000+seed).followed(t, c.from)
				all, tempi = append(all, off...), tempi+n/seeds
			}
			p50, p99, most := quantile(all, 0.5), quantile(all, 0.99), quantile(all, 1)
			t.Logf("%-36s p50 %.2f, p99 %.2f, most %.1f ms; %.0f tempi a minute", c.what, p50, p99, most, tempi)
			if c.bounds == (bounds{}) {
				return
			}
			assert.Less(t, p50, c.bounds.p50)
			assert.Less(t, p99, c.bounds.p99)
			assert.Less(t, most, c.bounds.most)
			assert.Less(t, tempi, c.bounds.tempi)
		})
	}
}

// held stops the sender so many times for 40 to 200 ms: what it would have sent comes in
// a heap.
func (s *stream) held(seed uint64, times int) *stream {
	r := rand.New(rand.NewPCG(seed, 26))
	for n := range times {
		from := (4 + 55*float64(n)/float64(times)) * second
		until := from + (40+160*r.Float64())*1000
		for i, at := range s.came {
			if at >= from && at < until {
				s.came[i] = until + 50*float64(i%20)
			}
		}
	}
	return s
}

// lost loses all pulses between two moments in seconds.
func (s *stream) lost(from, until float64) *stream {
	for i, at := range s.sent {
		if at >= from*second && at < until*second {
			s.came[i] = math.NaN()
		}
	}
	return s
}
