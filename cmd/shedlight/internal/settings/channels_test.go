package settings

import (
	"testing"

	"github.com/alecthomas/kong"
	"github.com/stretchr/testify/require"

	"shedlight/cmd/shedlight/internal/usage"
)

func parsed(t *testing.T, args ...string) (Hand, error) {
	t.Helper()
	var h Hand
	k, err := kong.New(&h, append(Parsing(), kong.NoDefaultHelp())...)
	require.NoError(t, err)
	_, err = k.Parse(args)
	return h, err
}

func TestChannels(t *testing.T) {
	for _, args := range [][]string{
		{"--channel", "1,10"}, {"--channel", "10, 1"}, {"--channel", "10", "--channel", "1"}, {"--channel=1,1,10"},
	} {
		h, err := parsed(t, args...)
		require.NoError(t, err, args)
		require.Equal(t, Channels(1<<0|1<<9), h.Channel, args)
		require.Equal(t, "1,10", h.Channel.String())
		require.Equal(t, h.Channel, h.Played())
	}
	h, err := parsed(t, "--hands", "16,2")
	require.NoError(t, err)
	require.Equal(t, Hands{16, 2}, h.Hands)
	require.Equal(t, "16,2", h.Hands.String())
	require.Equal(t, Channels(1<<15|1<<1), h.Played(), "two hands are two channels")
	h, err = parsed(t, "--hands", "1,2", "--channel", "1,2,3")
	require.NoError(t, err)
	require.Equal(t, Channels(0b111), h.Played(), "unless it is said otherwise")
	require.Zero(t, Hand{}.Played())

	for _, args := range [][]string{
		{"--channel", "0"}, {"--channel", "17"}, {"--channel", "x"}, {"--channel", "1,,2"}, {"--channel="}, {"--channel=-1"},
		{"--hands", "1"}, {"--hands", "1,1"}, {"--hands", "1,2,3"}, {"--hands", "0,1"},
	} {
		_, err := parsed(t, args...)
		var wrong usage.Error
		require.ErrorAs(t, err, &wrong, args)
	}
}
