package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"shedlight/cmd/shedlight/internal/settings"

	"github.com/stretchr/testify/require"
)

func changed(t *testing.T, c changesCommand) chartJSON {
	t.Helper()
	c.JSON = true
	out, messages, code := called(t, &c)
	require.Equal(t, exitDone, code, messages)
	require.Equal(t, 1, strings.Count(out, "\n"), "one object on one line")
	var chart chartJSON
	require.NoError(t, json.Unmarshal([]byte(out), &chart))
	return chart
}

// The fields that scripts rely on; more may come, none may go.
func TestChangesJSONIsTheContract(t *testing.T) {
	out, _, code := called(t, &changesCommand{File: "two-five-one", JSON: true})
	require.Equal(t, exitDone, code)
	var raw struct {
		Chords  []map[string]any
		Centres []map[string]any
	}
	var top map[string]any
	require.NoError(t, json.Unmarshal([]byte(out), &raw))
	require.NoError(t, json.Unmarshal([]byte(out), &top))
	for _, field := range []string{"title", "key", "meter", "bars", "chords", "centres"} {
		require.Contains(t, top, field)
	}
	for _, field := range []string{"bar", "beat", "beats", "symbol", "pcs", "centre", "scale", "chord_scale"} {
		require.Contains(t, raw.Chords[0], field)
	}
	for _, field := range []string{"centre", "from_bar", "from_beat", "to_bar", "to_beat"} {
		require.Contains(t, raw.Centres[0], field)
	}
}

func TestChangesOfABlues(t *testing.T) {
	chart := changed(t, changesCommand{File: "blues", Key: "Bb"})
	require.Equal(t, "Bb blues", chart.Key)
	require.Equal(t, "4/4", chart.Meter)
	require.Equal(t, 12, chart.Bars)
	require.Equal(t, chordJSON{
		Bar: 4, Beat: 3, Beats: 2, Symbol: "Bb7", Pcs: []int{2, 5, 8, 10}, Centre: "Bb blues",
		Scale: "Bb major sixth-diminished", ChordScale: "F minor sixth-diminished",
	}, chart.Chords[4])
	require.Len(t, chart.Centres, 1)
	centre := chart.Centres[0]
	require.NotEmpty(t, centre.Why)
	centre.Why = ""
	require.Equal(t, stretchJSON{Centre: "Bb blues", FromBar: 1, FromBeat: 1, ToBar: 13, ToBeat: 1}, centre, "the end is exclusive")
}

// The invented charts and lead sheets, and all generic ones: chords follow each
// other without a gap, classes ascend, centres cover the form.
func TestChangesHoldTogether(t *testing.T) {
	files := []string{"two-five-one", "minor-blues", "rhythm-bridge"}
	for _, pattern := range []string{"charts/*.chart", "musicxml/*.musicxml", "musicxml/*.mxl"} {
		found, err := filepath.Glob("../../testdata/" + pattern)
		require.NoError(t, err)
		require.NotEmpty(t, found)
		files = append(files, found...)
	}
	for _, file := range files {
		t.Run(filepath.Base(file), func(t *testing.T) {
			chart := changed(t, changesCommand{File: file})
			bar, beat := 1, 1.0
			for i, c := range chart.Chords {
				if c.Bar == bar+1 {
					bar, beat = c.Bar, 1
				}
				require.Equal(t, bar, c.Bar)
				require.InDelta(t, beat, c.Beat, 0.002, "chord %d", i)
				beat += c.Beats
				require.True(t, slices.IsSorted(c.Pcs))
				none := c.Symbol == "N.C."
				require.Equal(t, none, len(c.Pcs) == 0)
				require.Equal(t, none, c.Scale == "")
				require.Equal(t, none, c.ChordScale == "")
			}
			require.Equal(t, chart.Bars, bar)
			at, beatAt := 1, 1.0
			for _, c := range chart.Centres {
				require.Equal(t, at, c.FromBar)
				require.Equal(t, beatAt, c.FromBeat)
				at, beatAt = c.ToBar, c.ToBeat
			}
			require.Equal(t, chart.Bars+1, at)
			require.Equal(t, 1.0, beatAt)
		})
	}
}

func TestChangesWithoutAKey(t *testing.T) {
	file := filepath.Join(t.TempDir(), "tag.chart")
	require.NoError(t, os.WriteFile(file, []byte("| N.C. | Dm7 G7 |\n"), 0o600))
	out, _, code := called(t, &changesCommand{File: file, JSON: true})
	require.Equal(t, exitDone, code)
	require.Contains(t, out, `"key":""`)
	require.Contains(t, out, `"symbol":"N.C.","pcs":[],`)
}

func TestChangesAsText(t *testing.T) {
	out, _, code := called(t, &changesCommand{File: "blues", Key: "F", Look: settings.Look{ASCII: true}})
	require.Equal(t, exitDone, code)
	require.Contains(t, out, "| F7               | Bb7              | F7               | Cm7     F7       |\n  F6 dim\n")
	require.Contains(t, out, "F# of D7b9")

	out, _, _ = called(t, &changesCommand{File: "blues", Key: "F", View: "chord", Look: settings.Look{ASCII: true, Written: "Bb"}})
	require.Contains(t, out, "| G7               | C7 ")
	require.Contains(t, out, "  Dm6 dim            Gm6 dim")
}

func TestChangesRefuses(t *testing.T) {
	folder := t.TempDir()
	bad := filepath.Join(folder, "bad.chart")
	require.NoError(t, os.WriteFile(bad, []byte("| C6 | Hz9 |\n| Qm7 |\n"), 0o600))
	sheet := filepath.Join(folder, "bad.musicxml")
	require.NoError(t, os.WriteFile(sheet, []byte("<score-timewise/>"), 0o600))
	for _, c := range []struct {
		call changesCommand
		code int
		want []string
	}{
		{changesCommand{File: "no-such-tune"}, exitUsage, []string{"no-such-tune", "two-five-one"}},
		{changesCommand{File: "blues", Key: "Q"}, exitUsage, []string{"--key"}},
		{changesCommand{File: "blues", Key: "Gm"}, exitUsage, []string{"--key: G minor is not the mode of what is moved, which is in F blues"}},
		{changesCommand{File: bad}, exitFailed, []string{"line 1", "line 2"}},
		{changesCommand{File: sheet}, exitFailed, []string{"bad.musicxml"}},
		{changesCommand{File: folder}, exitFailed, []string{folder}},
	} {
		out, said, code := called(t, &c.call)
		require.Equal(t, c.code, code, said)
		require.Empty(t, out)
		for _, want := range c.want {
			require.Contains(t, said, want)
		}
	}
}
