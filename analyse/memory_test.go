package analyse_test

import (
	"runtime"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/song"
	"shedlight/analyse/timebase"
)

// A session of eight hours takes no more memory than its first half hour but
// for about 1 KB a chorus.
func TestMemoryIsFlat(t *testing.T) {
	const (
		hour      = 2 * 3600 * timebase.Quarter // ticks, at 120 beats a minute
		hours     = 8
		perChorus = 1 << 10 // bytes
		slack     = 256 << 10
	)
	timeline := generic(t, "blues", "F")
	a := analyser(t, analyse.Setup{Timeline: timeline, View: song.ChordView})
	a.Add(analyse.Event{Kind: analyse.Origin, Key: 1})
	events := steady(2000)
	length := events[len(events)-1].Tick + timebase.Quarter
	var base int64
	playTo := func(end int64) {
		for ; base < end; base += length {
			for _, e := range events {
				e.Tick += base
				a.Add(e)
			}
		}
	}
	used := func() int64 {
		runtime.GC()
		var m runtime.MemStats
		runtime.ReadMemStats(&m)
		return int64(m.HeapAlloc)
	}
	playTo(hour / 2)
	before, from := used(), base
	playTo(hours * hour)
	grown := used() - before
	choruses := (base - from) / timeline.Length
	t.Logf("%d notes, %d choruses: %d bytes more, %d a chorus", a.Summary().Notes, choruses, grown, grown/choruses)
	require.Less(t, grown, choruses*perChorus+slack)
}
