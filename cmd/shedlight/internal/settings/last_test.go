package settings

import (
	"strings"
	"testing"

	"github.com/adrg/xdg"
	"github.com/alecthomas/kong"
	"github.com/stretchr/testify/require"
)

// called is a command as it was typed.
func called(t *testing.T, command any, args ...string) *Call {
	t.Helper()
	parser, err := kong.New(command, append(Parsing(), kong.NoDefaultHelp())...)
	require.NoError(t, err)
	parsed, err := parser.Parse(args)
	require.NoError(t, err)
	return Called(parsed)
}

// What was typed is repeated as it is typed: as often as it was given, and also where
// it says what is built in.
func TestRepeatedAsOnTheCommandLine(t *testing.T) {
	t.Setenv("XDG_STATE_HOME", t.TempDir())
	xdg.Reload()
	t.Cleanup(xdg.Reload)
	type command struct {
		CountIn  int `default:"1" from:"0" to:"8"`
		Choruses int `default:"4" from:"0" to:"8"`
		Sound
		Hand
	}
	var before, now command
	last := called(t, &before, "--choruses", "0", "--click=beats", "--top", "--legato=false", "--map", "cc67=again", "--map", `note "21"=mark`)
	require.False(t, last.Bare())
	last.Remember()
	again := called(t, &now)
	require.True(t, again.Bare())
	require.Equal(t, []string{`--choruses "0"`, `--click "beats"`, "--top", "--legato=false", `--map "cc67=again"`, `--map "note \"21\"=mark"`},
		sorted(again.AsLastTime()))
	require.Equal(t, before, now)
}

// sorted puts flags in the order of the test: those of the command's own first.
func sorted(words []string) []string {
	var own, other []string
	for _, word := range words {
		if strings.HasPrefix(word, "--c") {
			own = append(own, word)
		} else {
			other = append(other, word)
		}
	}
	return append(own, other...)
}
