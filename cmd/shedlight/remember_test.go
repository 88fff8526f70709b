package main

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"github.com/adrg/xdg"
	"github.com/stretchr/testify/require"
)

// A bare call does as last time, but for where the output went and that nothing
// was kept; it says every flag that it repeats, and finds files from anywhere.
func TestAsLastTime(t *testing.T) {
	t.Setenv("XDG_STATE_HOME", t.TempDir())
	xdg.Reload()
	t.Cleanup(xdg.Reload)
	t.Chdir(t.TempDir())
	require.NoError(t, os.WriteFile("mine.chart", []byte("| C6 |\n"), 0o600))

	last := bareListen()
	last.Chart, last.Written, last.Gate, last.Lag, last.Top = "mine.chart", "Bb", 9, 12, true
	last.NoTake, last.JSON = true, true
	last.remember()

	here, err := os.Getwd()
	require.NoError(t, err)
	t.Chdir(t.TempDir())
	now := bareListen()
	var said bytes.Buffer
	now.remembered(&program{messages: &said})
	want := last
	want.NoTake, want.JSON, want.Chart = false, false, filepath.Join(here, "mine.chart")
	require.Equal(t, want, now)
	for _, flag := range []string{`--chart "` + want.Chart, `--written "Bb"`, `--gate "9"`, `--lag "12"`, "--top"} {
		require.Contains(t, said.String(), flag)
	}
}
