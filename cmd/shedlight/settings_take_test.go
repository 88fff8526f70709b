package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/song"
	"shedlight/listen"
	"shedlight/listen/smf"
	"shedlight/listen/take"
)

// A take is judged as it was played, whatever the file says now; any other MIDI file
// under what the file says of the player, and not of what is played over. How it is
// shown is the player's choice in both.
func TestSettingsAndFiles(t *testing.T) {
	const text = "chart = \"blues\"\nbars = \"1-4\"\nvoicing = \"F4 A4\"\nview = \"chord\"\ntop = true\nwritten = \"Eb\"\n" +
		"channel = 5\ntempo = 99\nlag = 9\nsound = \"own\"\nchoruses = 1\n"
	folder := t.TempDir()
	taken, other := filepath.Join(folder, "taken.mid"), filepath.Join(folder, "other.mid")
	require.NoError(t, os.WriteFile(taken, demoTake, 0o600))
	require.NoError(t, os.WriteFile(other, marked(smf.MetaMarker, "Dm7", "G7", "Cmaj7"), 0o600))
	said := func(text string, args ...string) string {
		configured(t, text)
		out, messages, code := runHere(t, args...)
		require.Equal(t, exitDone, code, messages)
		return out
	}
	for _, call := range [][]string{{"review", taken}, {"review", taken, "--json"}, {"review", taken, "--centre", "C minor"}} {
		require.Equal(t, said("", call...), said(text+"gate = 127\nmap = \"note62=tap\"\n", call...), call)
	}
	require.Contains(t, said("", "review", taken), "♭")
	require.NotContains(t, said("ascii = true", "review", taken), "♭")
	require.Contains(t, said("ascii = true", "review", taken, "--ascii=false"), "♭")

	var page struct {
		View  string
		Bars  int
		Place map[string]int
	}
	require.NoError(t, json.Unmarshal([]byte(said(text, "review", other, "--json")), &page))
	require.Equal(t, "chord", page.View)
	require.Equal(t, 3, page.Bars, "the file's own changes")
	require.NoError(t, json.Unmarshal([]byte(said("gate = 127", "review", other, "--json")), &page))
	require.Zero(t, page.Place["home"]+page.Place["dim"]+page.Place["outside"])

	configured(t, text+"gate = 9\n")
	played := func(file string) analyse.Setup {
		c, call := under(t, "--in", file)
		plan := &sessionPlan{}
		require.NoError(t, c.openFile(plan, call, listen.AtOnce))
		return plan.tune.Setup
	}
	require.Equal(t, uint8(9), played(other).Gate)
	require.Equal(t, song.ChordView, played(other).View)
	require.Len(t, played(other).Timeline.Bars, 3)
	require.Zero(t, played(other).Channels)
	require.Zero(t, played(taken).Gate)

	// What is typed to be nothing wins over a take too.
	own, err := take.Read(demoTake, "taken", smf.Selection{})
	require.NoError(t, err)
	own.Settings.Gate, own.Settings.Top = 20, true
	c, call := asCalled(t, "--gate", "0", "--view", "chord")
	left := call.Silence(c, own.Settings)
	require.Zero(t, left.Gate)
	require.True(t, left.Top)
	require.Equal(t, uint8(20), own.Settings.Gate)
	c, call = asCalled(t, "--top=false")
	require.False(t, call.Silence(c, own.Settings).Top)
	c, call = asCalled(t, "--gate", "30", "--tempo", "99")
	require.Same(t, own.Settings, call.Silence(c, own.Settings))
	require.Equal(t, song.KeyView, played(taken).View)
}
