package settings

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// A setting that is given more than once is repeated as often; what stands as it is
// built in is not said.
func TestTypedAsOnTheCommandLine(t *testing.T) {
	type command struct {
		CountIn  int `default:"1" from:"0" to:"8"`
		Choruses int `default:"4" from:"0" to:"8"`
		Click    string
		Hand
	}
	c := command{CountIn: 1, Click: "off", Hand: Hand{Top: true, Map: []string{"cc67=again", `note "21"=mark`}}}
	require.Equal(t, []string{`--choruses "0"`, `--click "off"`, "--top", `--map "cc67=again"`, `--map "note \"21\"=mark"`}, Typed(&c))
	require.False(t, IsBare(&c))
	require.True(t, IsBare(&command{CountIn: 1, Choruses: 4}))
}
