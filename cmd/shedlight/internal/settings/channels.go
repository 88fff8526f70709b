package settings

import (
	"slices"
	"strconv"
	"strings"

	"github.com/alecthomas/kong"

	"shedlight/analyse/instrument"
	"shedlight/cmd/shedlight/internal/usage"
	"shedlight/listen/sound"
)

// Channels is a set of MIDI channels, a bit each; 0 names none.
type Channels uint16

// Decode reads a flag: one channel or several, and as often as it is given.
func (c *Channels) Decode(ctx *kong.DecodeContext) error {
	list, err := channelList(ctx)
	for _, channel := range list {
		*c |= 1 << (channel - 1)
	}
	return err
}

// String lists the channels as they are typed.
func (c Channels) String() string {
	var list []string
	for i := range instrument.Channels {
		if c>>i&1 == 1 {
			list = append(list, strconv.Itoa(i+1))
		}
	}
	return strings.Join(list, ",")
}

// Hands is the channels of the left and of the right hand, from 1; zeros name none.
type Hands [2]uint8

// Decode reads a flag.
func (h *Hands) Decode(ctx *kong.DecodeContext) (err error) {
	*h, err = pair(ctx, "the left hand's first, like 1,2")
	return err
}

// String lists the channels as they are typed.
func (h Hands) String() string { return typedPair(h) }

// Both returns the two channels, or none.
func (h Hands) Both() (c Channels) {
	if h == (Hands{}) {
		return 0
	}
	return 1<<(h[0]-1) | 1<<(h[1]-1)
}

// BandChannels is the channels of the bass and of the piano at a MIDI output, from 1;
// zeros are the usual ones.
type BandChannels [2]uint8

// Decode reads a flag.
func (b *BandChannels) Decode(ctx *kong.DecodeContext) (err error) {
	*b, err = pair(ctx, "the bass's first, like 2,3")
	if err == nil && slices.Contains(b[:], sound.ClickChannel) {
		return usage.Errorf("--%s %v: the click has channel %d", ctx.Value.Name, b, sound.ClickChannel)
	}
	return err
}

// String lists the channels as they are typed.
func (b BandChannels) String() string { return typedPair(b) }

// pair reads two channels.
func pair(ctx *kong.DecodeContext, like string) (two [2]uint8, err error) {
	list, err := channelList(ctx)
	switch {
	case err != nil:
		return two, err
	case len(list) != len(two) || list[0] == list[1]:
		return two, usage.Errorf("--%s: expected two channels, %s", ctx.Value.Name, like)
	}
	return [2]uint8(list), nil
}

func typedPair(two [2]uint8) string {
	return strconv.Itoa(int(two[0])) + "," + strconv.Itoa(int(two[1]))
}

// channelList reads channels with commas between them. What begins with a hyphen is a
// wrong value and no flag.
func channelList(ctx *kong.DecodeContext) (list []uint8, err error) {
	text := word(ctx)
	for _, word := range strings.Split(text, ",") {
		channel, err := strconv.Atoi(strings.TrimSpace(word))
		if err != nil || channel < 1 || channel > instrument.Channels {
			return nil, usage.Errorf("--%s %s: expected 1 to %d, with commas between several", ctx.Value.Name, text, instrument.Channels)
		}
		list = append(list, uint8(channel))
	}
	return list, nil
}
