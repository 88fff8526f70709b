package timebase_test

import (
	"fmt"
	"math/big"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"shedlight/analyse/timebase"
)

func ExampleTempo() {
	var tempo timebase.Tempo
	if err := tempo.Set(1920, 250_000); err != nil { // twice as fast after two beats
		fmt.Println(err)
	}
	fmt.Println(tempo.Micros(1920), tempo.Micros(3840), tempo.Tick(1_250_000))
	// Output: 1000000 1500000 2880
}

// change is a tempo change.
type change struct{ tick, quarter int64 }

// changes draws tempo changes in order, and the map of them.
func changes(t *rapid.T) (*timebase.Tempo, []change) {
	var tempo timebase.Tempo
	var list []change
	tick := int64(0)
	for range rapid.IntRange(0, 200).Draw(t, "changes") {
		tick += rapid.Int64Range(0, 100_000).Draw(t, "after")
		quarter := rapid.Int64Range(timebase.MinTempo, timebase.MaxTempo).Draw(t, "quarter")
		require.NoError(t, tempo.Set(tick, quarter))
		list = append(list, change{tick, quarter})
	}
	return &tempo, list
}

// micros is the definition, in rational numbers: every tick lasts a 960th of the
// quarter note that holds there.
func micros(list []change, tick int64) int64 {
	sum := new(big.Rat)
	at, quarter := int64(0), int64(timebase.Nominal)
	for _, c := range append(list, change{tick: tick}) {
		to := min(c.tick, tick)
		sum.Add(sum, big.NewRat((to-at)*quarter, timebase.Quarter))
		if c.tick >= tick {
			break
		}
		at, quarter = to, c.quarter
	}
	return new(big.Int).Quo(sum.Num(), sum.Denom()).Int64()
}

// No rounding adds up, however many changes there are.
func TestMicrosIsExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tempo, list := changes(t)
		tick := rapid.Int64Range(0, 30_000_000).Draw(t, "tick")
		assert.Equal(t, micros(list, tick), tempo.Micros(tick))
	})
}

// Tick gives the last tick that is not after a time: its own time is not after
// it, the next tick's is.
func TestTickIsTheInverse(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tempo, _ := changes(t)
		at := rapid.Int64Range(0, 1<<45).Draw(t, "microseconds")
		tick := tempo.Tick(at)
		assert.LessOrEqual(t, tempo.Micros(tick), at)
		assert.Greater(t, tempo.Micros(tick+1), at)
	})
}

// A tick becomes microseconds in a file and the same tick again, at every tempo
// whose ticks last a microsecond or more.
func TestTickSurvivesMicroseconds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var tempo timebase.Tempo
		quarter := rapid.Int64Range(timebase.Quarter, timebase.MaxTempo).Draw(t, "quarter")
		require.NoError(t, tempo.Set(0, quarter))
		tick := rapid.Int64Range(0, 1<<36).Draw(t, "tick")
		assert.Equal(t, tick, tempo.Tick(tempo.Micros(tick)))
	})
}

func TestTimeNeverGoesBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tempo, _ := changes(t)
		a := rapid.Int64Range(0, 1<<40).Draw(t, "a")
		b := rapid.Int64Range(a, 1<<40).Draw(t, "b")
		assert.LessOrEqual(t, tempo.Tick(a), tempo.Tick(b))
		a, b = a>>10, b>>10
		assert.LessOrEqual(t, tempo.Micros(a), tempo.Micros(b))
	})
}

// What is asked before a later change is set stays true after it.
func TestAChangeLeavesThePastAlone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tempo, list := changes(t)
		last := int64(0)
		if len(list) > 0 {
			last = list[len(list)-1].tick
		}
		tick := rapid.Int64Range(0, last).Draw(t, "tick")
		before := tempo.Micros(tick)
		require.NoError(t, tempo.Set(last+1, 123_456))
		assert.Equal(t, before, tempo.Micros(tick))
	})
}

// What is forgotten changes nothing behind it, and time does not go back across it.
func TestForget(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tempo, list := changes(t)
		from := rapid.Int64Range(0, 30_000_000).Draw(t, "from")
		tempo.Forget(from)
		tick := from + rapid.Int64Range(0, 30_000_000).Draw(t, "behind")
		at := micros(list, tick)
		assert.Equal(t, at, tempo.Micros(tick))
		assert.GreaterOrEqual(t, tempo.Tick(at), tick)
		before := rapid.Int64Range(0, tick).Draw(t, "before")
		assert.LessOrEqual(t, tempo.Micros(before), at)
		last := tick
		if len(list) > 0 {
			last = max(last, list[len(list)-1].tick)
		}
		assert.NoError(t, tempo.Set(last, 400_000))
		assert.Equal(t, at, tempo.Micros(tick))
	})
}

// An evening's tempi of a clock, of which four bars are remembered, cost no memory.
func TestForgettingKeepsTheMapSmall(t *testing.T) {
	var tempo timebase.Tempo
	tick := int64(0)
	set := func() {
		for range 100 {
			tick += 300
			require.NoError(t, tempo.Set(tick, 500_000+tick%1000))
			tempo.Forget(tick - 4*4*timebase.Quarter)
		}
	}
	set()
	assert.Zero(t, testing.AllocsPerRun(800, set))
}

func TestTempoBounds(t *testing.T) {
	var tempo timebase.Tempo
	assert.EqualValues(t, timebase.Nominal, tempo.Quarter(0))
	assert.Zero(t, tempo.Tick(-1), "before the start")
	for _, refused := range []change{
		{0, timebase.MinTempo - 1}, {0, timebase.MaxTempo + 1}, {-1, 500_000}, {timebase.MaxTick + 1, 500_000},
	} {
		assert.Error(t, tempo.Set(refused.tick, refused.quarter), "%v", refused)
	}
	require.NoError(t, tempo.Set(0, timebase.MaxTempo))
	require.NoError(t, tempo.Set(timebase.MaxTick, timebase.MaxTempo))
	assert.Equal(t, micros([]change{{0, timebase.MaxTempo}}, timebase.MaxTick), tempo.Micros(timebase.MaxTick), "the slowest and longest does not overflow")
	assert.EqualValues(t, timebase.MaxTick, tempo.Tick(tempo.Micros(timebase.MaxTick)))
	assert.Error(t, tempo.Set(0, 500_000), "ticks must not decrease")
	require.NoError(t, tempo.Set(timebase.MaxTick, 300_000), "the same tick again replaces")
	assert.EqualValues(t, 300_000, tempo.Quarter(timebase.MaxTick))
}

// Standard MIDI Files 1.0, Set Tempo: 500,000 microseconds a quarter note are
// 120 quarter notes a minute.
func TestTempoOf120(t *testing.T) {
	var tempo timebase.Tempo
	assert.EqualValues(t, 60_000_000, tempo.Micros(120*timebase.Quarter))
	assert.EqualValues(t, 120*timebase.Quarter, tempo.Tick(60_000_000))
}

// Meters as in the rudiments of music, common practice.
func TestMeter(t *testing.T) {
	for _, test := range []struct {
		num, den  uint8
		beats     int
		beat, bar int64
	}{
		{4, 4, 4, 960, 3840},
		{3, 4, 3, 960, 2880},
		{5, 4, 5, 960, 4800},
		{2, 2, 2, 1920, 3840},
		{6, 8, 2, 1440, 2880},
		{9, 8, 3, 1440, 4320},
		{12, 8, 4, 1440, 5760},
		{7, 8, 7, 480, 3360},
		{3, 8, 3, 480, 1440},
		{99, 64, 99, 60, 5940},
	} {
		m := timebase.Meter{Num: test.num, Den: test.den}
		assert.True(t, m.Valid(), "%v", m)
		assert.Equal(t, test.beats, m.Beats(), "%v", m)
		assert.Equal(t, test.beat, m.Beat(), "%v", m)
		assert.Equal(t, test.bar, m.Bar(), "%v", m)
		assert.Equal(t, m.Bar(), int64(m.Beats())*m.Beat(), "%v: beats make up the bar", m)
	}
	for _, m := range []timebase.Meter{{}, {Num: 4}, {Num: 4, Den: 3}, {Num: 100, Den: 4}, {Num: 4, Den: 128}} {
		assert.False(t, m.Valid(), "%v", m)
	}
}

func BenchmarkMicros(b *testing.B) { benchmark(b, func(t *timebase.Tempo, n int64) { t.Micros(n) }) }

func BenchmarkTick(b *testing.B) { benchmark(b, func(t *timebase.Tempo, n int64) { t.Tick(n) }) }

// benchmark asks where a live take asks, after the last of 1,000 tempos, and
// where a review does, before it.
func benchmark(b *testing.B, ask func(*timebase.Tempo, int64)) {
	var tempo timebase.Tempo
	for n := range int64(1000) {
		require.NoError(b, tempo.Set(n*timebase.Quarter, 500_000+n))
	}
	for name, at := range map[string]int64{"last": 1 << 40, "before": 500 * timebase.Quarter} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				ask(&tempo, at)
			}
		})
	}
}
