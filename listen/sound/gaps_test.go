package sound

import (
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse/song"
	"shedlight/listen/beat"
)

// Two bars of eight have no click, over a chorus of three bars and from the top that was
// counted off to; the count-in is heard, and the same form without gaps has them all.
func TestTheClickFallsSilent(t *testing.T) {
	f := form("4/4", "4/4", "3/4")
	bars := func(gaps song.Gaps, top int64) (silent []int) {
		heard := map[int64]bool{}
		s := beat.Stretch{To: 8 * f.Length, Song: top, Top: top, State: beat.Running}
		Offbeats.Part(gaps)(f, s, func(tick int64, _ Note) { heard[tick] = true })
		bar := 0
		for start := int64(0); start < s.To; bar++ {
			m := f.Place(start).Meter
			if !heard[start+m.Beat()] {
				silent = append(silent, bar)
			}
			start += m.Bar()
		}
		require.Equal(t, 24, bar)
		return silent
	}
	require.Equal(t, []int{6, 7, 14, 15, 22, 23}, bars(song.Gaps{Silent: 2, Of: 8}, 0))
	require.Equal(t, []int{6, 7, 14, 15, 22, 23}, bars(song.Gaps{Silent: 2, Of: 8}, 5*f.Length))
	require.Empty(t, bars(noGaps, 0))

	n := 0
	s := beat.Stretch{To: f.Bars[0].Meter.Bar(), Song: -f.Bars[0].Meter.Bar(), State: beat.Running}
	Beats.Part(song.Gaps{Silent: 2, Of: 8})(f, s, func(int64, Note) { n++ })
	require.Equal(t, 4, n, "the count-in")
}
