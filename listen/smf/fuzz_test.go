package smf_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/timebase"
	"shedlight/listen/smf"
)

// FuzzRead: of any bytes the reader makes events in order and in range, no more
// than the bytes can hold, the same each time; and written again they are read
// without damage as the same events.
func FuzzRead(f *testing.F) {
	for _, s := range specimens() {
		f.Add(s.data)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		read, err := smf.Read(data)
		if err != nil {
			return
		}
		require.LessOrEqual(t, len(read.Damage), 101)
		for i := range read.Tracks {
			last := read.Tracks[i].Offset
			for e := range read.Events(&read.Tracks[i]) {
				require.Less(t, e.Offset, e.End)
				require.Less(t, last, e.End)
				last = e.End
			}
			require.LessOrEqual(t, last, int64(len(data)))
		}
		events := slices.Collect(read.Stream(smf.Selection{Channels: smf.AllChannels}))
		require.LessOrEqual(t, len(events), len(data)/2)
		last := int64(0)
		for _, e := range events {
			require.GreaterOrEqual(t, e.Tick, last)
			last = e.Tick
		}
		require.LessOrEqual(t, last, read.End())
		require.LessOrEqual(t, read.End(), int64(timebase.MaxTick))
		require.Equal(t, events, slices.Collect(read.Stream(smf.Selection{Channels: smf.AllChannels})))

		again, err := smf.Read(file(events, read.End()))
		require.NoError(t, err)
		require.Empty(t, again.Damage)
		require.True(t, slices.Equal(events, slices.Collect(again.Stream(smf.Selection{Channels: smf.AllChannels}))))
		count := 0
		for _, track := range read.NoteTracks(smf.AllChannels) {
			count += track.Notes
		}
		require.Equal(t, count, len(slices.DeleteFunc(events, func(e analyse.Event) bool { return e.Kind != analyse.NoteOn || e.Velocity == 0 })))
	})
}
