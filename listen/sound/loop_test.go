package sound

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

// A device that slips as after an underrun, and asks late: by 0.2 ms in the mean, and
// one time in thirty by up to 10 ms, as where the machine is busy. But for the five calls
// in which a slip may still be a late call, it is known to a millisecond when a frame is
// due, which is the aim for a click.
func TestTheLoopFollowsSlipsAndNoLateCalls(t *testing.T) {
	const (
		rate, n   = 48000, 256
		calls     = 60_000 // five minutes
		slipEvery = 1500   // eight seconds
		unsure    = 30     // of these, five not late
	)
	for _, slip := range []float64{0, 0.003, 0.008, 0.020, 0.060} {
		random := rand.New(rand.NewPCG(1, 2))
		l := loop{rate: rate}
		due := 1.0
		var off []float64 // in milliseconds
		for i := range calls {
			if i%slipEvery == 0 {
				due += slip
			}
			late := 0.0002 * random.ExpFloat64()
			if random.IntN(30) == 0 {
				late = 0.010 * random.Float64()
			}
			first, _ := l.update(time.Duration((due+late)*1e9), n)
			if i%slipEvery > unsure {
				off = append(off, math.Abs(first-due)*1000)
			}
			due += float64(n) / rate
		}
		slices.Sort(off)
		t.Logf("slips of %v s: off by %.2f ms in the middle, %.2f at p99, %.2f at most", slip, off[len(off)/2], off[len(off)*99/100], off[len(off)-1])
		assert.Less(t, off[len(off)*99/100], 1.0)
	}
}
