package beat_test

import (
	"math/rand/v2"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/listen/beat"
)

// clicks are the beats that count.
func clicks(n int) []time.Duration {
	beats := make([]time.Duration, n)
	for i := range beats {
		beats[i] = time.Duration(beat.LagLeadIn+beat.LagWarmUp+i) * beat.LagTempo * time.Microsecond
	}
	return beats
}

// tappedNotes are a player's: late by lag, with a scatter, and a part of them
// anywhere.
func tappedNotes(random *rand.Rand, beats []time.Duration, lag, scatter time.Duration, odd float64) []time.Duration {
	var onsets []time.Duration
	for _, at := range beats {
		off := time.Duration(random.NormFloat64() * float64(scatter))
		if random.Float64() < odd {
			off = time.Duration((random.Float64() - 0.5) * float64(500*time.Millisecond))
		}
		onsets = append(onsets, at+lag+off)
	}
	slices.Sort(onsets)
	return onsets
}

// Simulated: with a scatter of 20 ms and a tenth of the notes anywhere in half a
// second, 95 of 100 measured lags lie within 12 ms, of twice as many beats within
// 8.5; and what is said to be
// uncertain holds what it says.
func TestMeasureLagBySimulation(t *testing.T) {
	const runs = 4000
	random := rand.New(rand.NewPCG(5, 6))
	for n, within := range map[int]time.Duration{beat.LagBeats: 12 * time.Millisecond, beat.LagMore: 8500 * time.Microsecond} {
		var off []time.Duration
		covered, refused := 0, 0
		for range runs {
			lag := time.Duration(random.IntN(120)-20) * time.Millisecond
			beats := clicks(n)
			got, err := beat.MeasureLag(tappedNotes(random, beats, lag, 20*time.Millisecond, 0.1), beats)
			if err != nil {
				refused++
				continue
			}
			miss := (got.Lag - lag).Abs()
			off = append(off, miss)
			if miss <= got.Uncertain {
				covered++
			}
		}
		slices.Sort(off)
		p95 := off[len(off)*95/100]
		t.Logf("%d beats: 95%% within %v, covered %.1f%%, refused %d of %d", n, p95, 100*float64(covered)/float64(len(off)), refused, runs)
		assert.LessOrEqual(t, p95, within)
		assert.Greater(t, float64(covered)/float64(len(off)), 0.92)
		assert.Less(t, refused, runs/20)
	}
}

func TestMeasureLagTells(t *testing.T) {
	beats := clicks(beat.LagBeats)
	onsets := make([]time.Duration, len(beats))
	for i, at := range beats {
		onsets[i] = at + 43*time.Millisecond + time.Duration(i%2*20-10)*time.Millisecond
	}
	onsets[5] += 200 * time.Millisecond
	got, err := beat.MeasureLag(onsets, beats)
	require.NoError(t, err)
	assert.Equal(t, "42 ms, give or take 6, scatter 10 ms, 15 of 16 used", got.String())
	assert.True(t, got.GoOn(beat.LagBeats), "a doubt of more than 5 ms")
	assert.False(t, got.GoOn(beat.LagMore))
	assert.False(t, beat.Lag{Uncertain: 5 * time.Millisecond}.GoOn(beat.LagBeats))
}

func TestMeasureLagRefuses(t *testing.T) {
	beats := clicks(beat.LagBeats)
	late := func(by time.Duration, apart time.Duration) []time.Duration {
		onsets := make([]time.Duration, len(beats))
		for i, at := range beats {
			onsets[i] = at + by + apart*time.Duration(i%2*2-1)
		}
		return onsets
	}
	for name, test := range map[string]struct {
		onsets []time.Duration
		want   error
	}{
		"nothing":         {nil, beat.ErrTooFewTaps},
		"eleven":          {late(0, 0)[:11], beat.ErrTooFewTaps},
		"twelve":          {late(0, 0)[:12], nil},
		"scattered":       {late(0, 41*time.Millisecond), beat.ErrScattered},
		"just not":        {late(0, 38*time.Millisecond), nil},
		"far off":         {late(251*time.Millisecond, 0), beat.ErrFarOff},
		"just not late":   {late(250*time.Millisecond, 0), nil},
		"far ahead":       {late(-251*time.Millisecond, 0), beat.ErrFarOff},
		"negative lag":    {late(-30*time.Millisecond, 0), nil},
		"doubled notes":   {append(late(0, 0), late(50*time.Millisecond, 0)...), nil},
		"none near":       {[]time.Duration{time.Hour}, beat.ErrTooFewTaps},
		"all on one beat": {slices.Repeat(beats[:1], 100), beat.ErrTooFewTaps},
	} {
		slices.Sort(test.onsets)
		_, err := beat.MeasureLag(test.onsets, beats)
		assert.ErrorIs(t, err, test.want, name)
	}
	_, err := beat.MeasureLag(beats, nil)
	assert.ErrorIs(t, err, beat.ErrTooFewTaps, "no beats")
	_, err = beat.MeasureLag(beats[:1], beats[:1])
	assert.ErrorIs(t, err, beat.ErrTooFewTaps, "one beat")
}
