package smf_test

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/listen/smf"
)

// zone makes or ends a zone: registered parameter 6 of channel 1 or 16 says how many
// channels beside it are in it (MIDI Polyphonic Expression 1.0, MPE Configuration
// Message).
func zone(manager, size byte) []byte {
	control := 0xB0 | manager
	return []byte{0, control, 101, 0, 0, control, 100, 6, 0, control, 6, size}
}

// note strikes a C on a channel, by its index.
func note(channel byte) []byte { return []byte{0, 0x90 | channel, 60, 80, 0x60, 0x80 | channel, 60, 0} }

// Channel 10 is played where it is one of a zone's, and left out, and said to be,
// where it is none.
func TestZonedChannels(t *testing.T) {
	const drums = 9
	for name, test := range map[string]struct {
		track  []byte
		sel    smf.Selection
		zoned  smf.Channels
		played int
		left   []string
	}{
		"no zone":          {join(note(0), note(drums), note(drums), end), smf.Selection{}, 0, 1, []string{"2 notes on channel 10 left out"}},
		"a lower zone":     {join(zone(0, 15), note(1), note(drums), end), smf.Selection{}, smf.AllChannels, 2, nil},
		"an upper zone":    {join(zone(15, 6), note(drums), end), smf.Selection{}, 0b1111_1110_0000_0000, 1, nil},
		"a small zone":     {join(zone(0, 8), note(1), note(drums), end), smf.Selection{}, 0b0000_0001_1111_1111, 1, []string{"1 note on channel 10 left out"}},
		"a zone that ends": {join(zone(0, 15), note(drums), zone(0, 0), end), smf.Selection{}, smf.AllChannels, 1, nil},
		"no manager":       {join(zone(3, 15), note(drums), end), smf.Selection{}, 0, 0, []string{"1 note on channel 10 left out"}},
		"one is chosen":    {join(zone(0, 15), note(1), note(2), note(drums), end), smf.Selection{Channels: 1 << 1}, smf.AllChannels, 1, []string{"2 notes on channels 3 10 left out"}},
		"drums are chosen": {join(note(1), note(drums), end), smf.Selection{Channels: 1 << drums}, 0, 1, []string{"1 note on channel 2 left out"}},
	} {
		t.Run(name, func(t *testing.T) {
			f, err := smf.Read(one(test.track))
			require.NoError(t, err)
			assert.Equal(t, test.zoned, f.Zoned())
			notes := 0
			for _, e := range slices.Collect(f.Stream(test.sel)) {
				if e.Kind == analyse.NoteOn {
					notes++
				}
			}
			assert.Equal(t, test.played, notes)
			assert.Equal(t, test.left, f.LeftOut(test.sel))
		})
	}
}

// What other tracks play is left out by name.
func TestLeftOutTracks(t *testing.T) {
	name := []byte{0, 0xFF, 0x03, 4, 'B', 'a', 's', 's'}
	f, err := smf.Read(join(header(1, 3, quarter96...),
		chunk("MTrk", join(end)...), chunk("MTrk", join(note(0), end)...), chunk("MTrk", join(name, note(1), note(9), end)...)))
	require.NoError(t, err)
	assert.Equal(t, []string{`track 2 "Bass": 2 notes on channels 2 10 left out`}, f.LeftOut(smf.Selection{Tracks: []int{1}}))
	assert.Equal(t, []string{`track 1 "": 1 note on channel 1 left out`, "1 note on channel 10 left out"}, f.LeftOut(smf.Selection{Tracks: []int{2}}))
	assert.Nil(t, f.LeftOut(smf.Selection{Channels: smf.AllChannels}))
}
