package listen

import (
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

// heard is one message as a callback has it.
type heard struct {
	wall  time.Duration
	delta float64
}

func stamps(messages []heard) []time.Duration {
	var s stamper
	got := make([]time.Duration, len(messages))
	for i, m := range messages {
		got[i] = s.stamp(m.wall, m.delta)
	}
	return got
}

func TestStamper(t *testing.T) {
	const ms = time.Millisecond
	for name, test := range map[string]struct {
		messages []heard
		want     []time.Duration
	}{
		"the driver's deltas take out late callbacks": {
			[]heard{{100 * ms, 0}, {115 * ms, .010}, {121 * ms, .010}, {130 * ms, .010}},
			[]time.Duration{100 * ms, 110 * ms, 120 * ms, 130 * ms},
		},
		"a late first callback is corrected by the next, never backwards": {
			[]heard{{108 * ms, 0}, {110 * ms, .010}, {120 * ms, .010}},
			[]time.Duration{108 * ms, 110 * ms, 120 * ms},
		},
		"garbage at the start": {
			[]heard{{100 * ms, 1e9}, {110 * ms, .010}, {120 * ms, .010}},
			[]time.Duration{100 * ms, 110 * ms, 120 * ms},
		},
		"no numbers at all": {
			[]heard{{100 * ms, math.NaN()}, {110 * ms, math.Inf(1)}, {120 * ms, -1}, {130 * ms, .010}},
			[]time.Duration{100 * ms, 110 * ms, 120 * ms, 130 * ms},
		},
		"macOS: every message of a packet repeats the delta of the first": {
			[]heard{{100 * ms, 0}, {600 * ms, .5}, {600 * ms, .5}, {600 * ms, .5}, {700 * ms, .1}},
			[]time.Duration{100 * ms, 600 * ms, 600 * ms, 600 * ms, 700 * ms},
		},
		"macOS: repeated deltas short enough to be believed do not run ahead": {
			[]heard{{100 * ms, 0}, {115 * ms, .015}, {115 * ms, .015}, {115 * ms, .015}, {215 * ms, .1}},
			[]time.Duration{100 * ms, 115 * ms, 115 * ms, 115 * ms, 215 * ms},
		},
		"a delta up to 20 ms over the wall clock's is believed": {
			[]heard{{130 * ms, 0}, {140 * ms, .030}, {160 * ms, .010}},
			// The second came 20 ms less late than the first; the third as late as the first.
			[]time.Duration{130 * ms, 140 * ms, 150 * ms},
		},
		"one over it is not": {
			[]heard{{130 * ms, 0}, {140 * ms, .0301}, {160 * ms, .020}},
			[]time.Duration{130 * ms, 140 * ms, 160 * ms},
		},
		"time the driver left out is found": {
			[]heard{{100 * ms, 0}, {5000 * ms, .010}, {5010 * ms, .010}},
			[]time.Duration{100 * ms, 5000 * ms, 5010 * ms},
		},
		"held for 40 ms is believed": {
			[]heard{{100 * ms, 0}, {150 * ms, .010}},
			[]time.Duration{100 * ms, 110 * ms},
		},
		"longer is not": {
			[]heard{{100 * ms, 0}, {151 * ms, .010}},
			[]time.Duration{100 * ms, 151 * ms},
		},
	} {
		t.Run(name, func(t *testing.T) {
			got := stamps(test.messages)
			for i := range got {
				assert.InDelta(t, test.want[i], got[i], float64(time.Microsecond), "message %d", i)
			}
		})
	}
}

// player is a simulated source: true onsets, a driver clock, late callbacks.
type player struct {
	drift  float64       // of the driver's clock
	period time.Duration // it is quantised to, 0 for none
	late   time.Duration // a callback at most
}

// play returns what the callbacks have and when the driver had it.
func (p player) play(seed uint64, n int) (messages []heard, at []time.Duration) {
	random := rand.New(rand.NewPCG(seed, 1))
	var onset, before, wall time.Duration
	for range n {
		onset += 5*time.Millisecond + time.Duration(random.Int64N(int64(400*time.Millisecond)))
		seen := onset
		if p.period > 0 {
			seen = (onset + p.period - 1) / p.period * p.period
		}
		delta := float64(seen-before) * (1 + p.drift)
		if len(messages) == 0 {
			delta = 0
		}
		before = seen
		wall = max(wall, seen+time.Duration(random.Int64N(int64(p.late))))
		messages = append(messages, heard{wall: wall, delta: delta / float64(time.Second)})
		at = append(at, seen)
	}
	return messages, at
}

// Quartz drifts by 200 millionths at worst (common practice: 50 to 100); in the
// ten seconds an anchor counts that is 2 ms.
func TestStampsFollowTheDriverOverAnHour(t *testing.T) {
	const worstDrift = 200e-6
	for name, p := range map[string]player{
		"true clock":          {late: 8 * time.Millisecond},
		"fast clock":          {late: 8 * time.Millisecond, drift: worstDrift},
		"slow clock":          {late: 8 * time.Millisecond, drift: -worstDrift},
		"quantised like JACK": {late: 3 * time.Millisecond, period: 256 * time.Second / 48000},
	} {
		t.Run(name, func(t *testing.T) {
			messages, at := p.play(7, 18_000)
			got := stamps(messages)
			// What is left: the drift of a span, and the least lateness of a
			// span of about 50 messages.
			limit := 2*time.Millisecond + p.late/4
			before := time.Duration(0)
			for i := range got {
				assert.LessOrEqual(t, got[i], messages[i].wall, "after its own callback")
				assert.GreaterOrEqual(t, got[i], before, "before the previous stamp")
				before = got[i]
				if i > 100 {
					assert.InDelta(t, at[i], got[i], float64(limit), "message %d", i)
				}
			}
		})
	}
}

func FuzzStamper(f *testing.F) {
	f.Add(int64(5e6), 0.005, int64(0), math.NaN(), int64(1e9), -1.0)
	f.Fuzz(func(t *testing.T, w1 int64, d1 float64, w2 int64, d2 float64, w3 int64, d3 float64) {
		var s stamper
		var wall, before time.Duration
		for _, m := range []struct {
			step  int64
			delta float64
		}{{w1, d1}, {w2, d2}, {w3, d3}, {w1, d3}, {w2, d1}} {
			wall += time.Duration(m.step & (1<<40 - 1)) // up to 18 minutes
			got := s.stamp(wall, m.delta)
			if got > wall || got < before || wall-got > held {
				t.Fatalf("stamp %v at wall %v after %v", got, wall, before)
			}
			before = got
		}
	})
}
