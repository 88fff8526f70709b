package backing_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse/backing"
	"shedlight/analyse/changes"
	"shedlight/analyse/timebase"
	"shedlight/analyse/tone"
)

// A band over a tune that goes up a half step each chorus begins each on the bass of its own
// first chord, leads into the next key's by a step, and what the piano strikes ahead of
// the top is of the next key's first chord (common practice). What it plays hangs on the
// same values as ever.
func TestTheBandMovesWithTheKey(t *testing.T) {
	chart, err := changes.Parse(strings.NewReader("key: C\n| Dm7 | G7 | C6 | A7 | Dm7 | G7 | C6 |"))
	require.NoError(t, err)
	var keys []*changes.Timeline
	for k := range 12 {
		line, err := chart.Up(k).Unroll()
		require.NoError(t, err)
		keys = append(keys, &line)
	}
	first := func(n int) changes.Slot { return keys[n%12].Slots[0] }
	ahead := 0
	for seed := range uint64(20) {
		band := backing.New(keys[0], seed, keys...)
		for n := range 14 {
			notes := band.Chorus(n, 500_000, true)
			require.Equal(t, notes, backing.New(keys[0], seed, keys...).Chorus(n, 500_000, true))
			bass := of(notes, backing.Bass)
			require.Equal(t, first(n).Chord.Bass.Class(), tone.Class(bass[0].Key%12), "seed %d, chorus %d", seed, n)
			next := of(band.Chorus(n+1, 500_000, true), backing.Bass)[0]
			if last := bass[len(bass)-1]; n > 0 { // in two the last may be the chord's own fifth or third
				require.Contains(t, []int{1, 2}, tone.Apart(int(last.Key), int(next.Key)), "seed %d, chorus %d", seed, n)
			}
			for _, note := range of(notes, backing.Piano) {
				if keys[0].Length-note.Tick > timebase.Quarter/2 {
					continue
				}
				ahead++
				chord := first(n + 1).Chord
				fits := chord.Set() | chord.Colours(false)
				require.True(t, fits.Has(tone.Class(note.Key%12)), "seed %d, chorus %d: %d over %s", seed, n, note.Key, first(n+1).Symbol)
			}
		}
	}
	require.Positive(t, ahead)
}
