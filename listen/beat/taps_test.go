package beat_test

import (
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"shedlight/analyse"
	"shedlight/analyse/timebase"
	"shedlight/listen/beat"
)

// Whatever is tapped, and whenever, the song runs on: one origin, every tick
// once, and no tempo that a bend would not have.
func TestTapsLoseNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := newClock(t, beat.Setup{
			Form:    rapid.SampledFrom([]*beat.Form{plain(2), mixed()}).Draw(t, "form"),
			Quarter: rapid.Int64Range(200_000, 1_500_000).Draw(t, "quarter"),
			CountIn: 2,
			Lag:     time.Duration(rapid.IntRange(-60, 120).Draw(t, "lag")) * ms,
		})
		p.pass(0)
		for range rapid.IntRange(1, 10).Draw(t, "runs") {
			interval := rapid.Int64Range(200_000, 1_500_000).Draw(t, "interval")
			p.now += time.Duration(rapid.Int64Range(0, 4_000_000).Draw(t, "pause")) * time.Microsecond
			for range rapid.IntRange(1, 9).Draw(t, "taps") {
				p.now += time.Duration(interval+rapid.Int64Range(-30_000, 30_000).Draw(t, "scatter")) * time.Microsecond
				p.do(beat.Tap)
				p.agrees()
			}
		}
		for _, e := range p.heard {
			if e.Kind == analyse.Origin {
				require.Zero(t, e.Tick)
			}
			if e.Kind == analyse.Tempo {
				// A beat is two thirds to three eighths of a quarter; bends go to
				// the double and the half; the form from 300 to 410 for 400.
				require.Greater(t, e.Value, int64(50_000))
				require.Less(t, e.Value, int64(8_000_000))
			}
		}
	})
}

// Four taps at another tempo: from then on the beat has it, and falls on the
// taps that follow, with a lag too.
func TestTapsBringTheBeat(t *testing.T) {
	for _, lag := range []time.Duration{0, 45 * ms, -20 * ms} {
		for _, first := range []time.Duration{7013 * ms, 7213 * ms, 7413 * ms, 7613 * ms} {
			p := newClock(t, beat.Setup{Form: plain(4), Quarter: 500_000, CountIn: 2, Lag: lag})
			p.pass(0)
			for n := range 12 {
				p.pass(first + time.Duration(n)*400*ms - p.now)
				p.do(beat.Tap)
				p.agrees()
				if n < 4 {
					continue
				}
				// The fifth tap on: a beat lies within 2 ms.
				line := p.clock.Line()
				song, _ := line.Song(line.Tick(p.now - lag))
				off := (song + timebase.Quarter/2) % timebase.Quarter
				assert.InDelta(t, timebase.Quarter/2, off, 5.0, "lag %v, first tap %v, tap %d", lag, first, n+1)
			}
			assert.EqualValues(t, 400_000, p.tempo.Quarter(p.last))
			tempos := 0
			for _, e := range p.heard {
				if e.Kind == analyse.Tempo {
					tempos++
				}
			}
			assert.LessOrEqual(t, tempos, 4, "even taps change nothing any more")
		}
	}
}

// Free time until four taps; the bar begins with the tap that is due.
func TestTapsInFreeTime(t *testing.T) {
	p := newClock(t, beat.Setup{CountIn: 2})
	p.pass(0)
	p.do(beat.Again) // there is no beat to start
	for range 4 {
		p.pass(600 * ms)
		assert.Empty(t, p.heard)
		p.do(beat.Tap)
	}
	p.pass(600 * ms)
	require.Len(t, p.heard, 2, told(p.heard))
	assert.Equal(t, analyse.Tempo, p.heard[0].Kind)
	assert.EqualValues(t, 600_000, p.heard[0].Value)
	assert.Equal(t, analyse.Meter, p.heard[1].Kind)
	assert.InDelta(t, p.last, p.heard[1].Tick, 1)
	assert.InDelta(t, 3000, p.clock.Line().Time(p.heard[1].Tick).Milliseconds(), 1)
}

// Taps with a scatter: four give 120 a minute within 3.2, six within 1.7, in 95
// of 100 cases. Least squares: the deviation of the slope is that of a tap over
// the root of the summed squares of the numbers' distances from their mean.
func TestTapsAreAsFineAsTheyCanBe(t *testing.T) {
	const runs, scatter = 2000, 15_000.0 // us
	random := rand.New(rand.NewPCG(3, 4))
	for taps, within := range map[int]float64{4: 3.2, 6: 1.7} {
		var off []float64
		for range runs {
			p := newClock(t, beat.Setup{})
			for n := range taps {
				at := time.Second + time.Duration(n)*500*ms + time.Duration(random.NormFloat64()*scatter)*time.Microsecond
				p.pass(at - p.now)
				p.do(beat.Tap)
			}
			p.pass(time.Second)
			off = append(off, abs(60e6/float64(p.tempo.Quarter(p.last))-120))
		}
		slices.Sort(off)
		assert.InDelta(t, within, off[runs*95/100], 0.2, "%d taps", taps)
	}
}

func abs(v float64) float64 { return max(v, -v) }

func TestTapsThatAreNone(t *testing.T) {
	p := newClock(t, beat.Setup{Form: plain(4), Quarter: 500_000})
	p.pass(1000 * ms)
	known := len(p.heard)
	for _, after := range []time.Duration{0, 30 * ms, 500 * ms, 500 * ms, 3100 * ms, 500 * ms, 500 * ms, 900 * ms, 900 * ms} {
		p.pass(after)
		p.do(beat.Tap)
	}
	p.pass(10 * ms)
	assert.Len(t, p.heard, known, "a bounce, a pause and another tempo each begin anew: %s", told(p.heard[known:]))
}
