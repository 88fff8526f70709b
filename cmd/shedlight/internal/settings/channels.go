package settings

import (
	"strconv"
	"strings"

	"github.com/alecthomas/kong"

	"shedlight/analyse/instrument"
	"shedlight/cmd/shedlight/internal/usage"
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
func (h *Hands) Decode(ctx *kong.DecodeContext) error {
	list, err := channelList(ctx)
	switch {
	case err != nil:
		return err
	case len(list) != len(h) || list[0] == list[1]:
		return usage.Errorf("--%s: expected two channels, the left hand's first, like 1,2", ctx.Value.Name)
	}
	*h = Hands{list[0], list[1]}
	return nil
}

// String lists the channels as they are typed.
func (h Hands) String() string { return strconv.Itoa(int(h[0])) + "," + strconv.Itoa(int(h[1])) }

// Both returns the two channels, or none.
func (h Hands) Both() (c Channels) {
	if h == (Hands{}) {
		return 0
	}
	return 1<<(h[0]-1) | 1<<(h[1]-1)
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
