package listen

import (
	"context"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/listen/smf"
	"shedlight/listen/take"
)

// What is judged over a clock that jitters, wanders, stalls, stops and starts anew is in
// its take, and is judged the same from there.
func TestWhatWasFollowedIsReviewedAsItWasHeard(t *testing.T) {
	tempi, notes := 0, 0
	for seed := range uint64(6) {
		clock, line := counted(t, 0)
		clock.Follow = true
		setup := analyse.Setup{Timeline: line}
		live, err := analyse.New(setup)
		require.NoError(t, err)
		recorder, err := take.Start(t.TempDir(), take.Settings{}, time.Now(), take.Options{})
		require.NoError(t, err)
		var shown []analyse.Finding
		last := int64(0)
		synctest.Test(t, func(t *testing.T) {
			system, l, _ := asking(t, clock)
			ctx, cancel := context.WithCancel(t.Context())
			go func() {
				defer cancel()
				wander(rand.New(rand.NewPCG(seed, 0)), system)
			}()
			for e, err := range l.Events(ctx, nil) {
				require.NoError(t, err)
				require.GreaterOrEqual(t, e.Tick, last, "seed %d", seed)
				last = e.Tick
				if e.Kind == analyse.Advance {
					shown = append(shown, live.AdvanceTo(e.Tick)...)
					continue
				}
				require.True(t, recorder.Add(e))
				shown = append(shown, live.Add(e)...)
			}
			require.NoError(t, l.Close())
		})
		shown = append(shown, live.Finish(last)...)
		path, err := recorder.Close(last)
		require.NoError(t, err)

		kept, err := take.Load(path, smf.Selection{})
		require.NoError(t, err)
		require.Empty(t, kept.Damage)
		review, err := analyse.New(setup)
		require.NoError(t, err)
		var found []analyse.Finding
		for e := range kept.Events {
			if e.Kind == analyse.Tempo {
				tempi++
			}
			found = append(found, slices.Clone(review.Add(e))...)
		}
		found = append(found, review.Finish(kept.End)...)
		require.Equal(t, shown, found, "seed %d", seed)
		require.Equal(t, live.Summary(), review.Summary(), "seed %d", seed)
		notes += int(live.Summary().Notes)
	}
	require.Greater(t, tempi, 300)
	require.Greater(t, notes, 300)
	t.Logf("%d notes over %d tempi", notes, tempi)
}

// wander plays over a clock of its own: 30 seconds at about 110, late by 2 ms and more.
func wander(r *rand.Rand, system *fakeSystem) {
	sent, now := 0.0, 0.0 // seconds
	until := func(at float64) {
		pass(time.Duration(max(0, at-now) * float64(time.Second)))
		now = max(now, at)
	}
	system.send(0, clockStart)
	late := 0 // pulses
	for k := range 1320 {
		sent += 60 / (110 * (1 + 0.05*math.Sin(float64(k)/200))) / 24
		if late++; k%300 > 280 { // a stall: they come in a heap
			continue
		}
		until(sent + math.Abs(r.NormFloat64())*0.002)
		for ; late > 0; late-- {
			system.send(0, timingClock)
		}
		switch {
		case k%400 == 399:
			system.send(0, clockStop)
		case k%400 == 30 && k > 400:
			system.send(0, clockContinue)
		case k == 700:
			system.send(0, songPosition, 20, 0)
		case r.IntN(8) == 0:
			until(now + 0.005*r.Float64())
			system.send(0, 0x90, byte(55+r.IntN(24)), 80)
		case r.IntN(8) == 0:
			for key := byte(55); key < 79; key++ {
				system.send(0, 0x80, key, 0)
			}
		}
	}
}
