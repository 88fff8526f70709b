package main

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"github.com/adrg/xdg"
	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/timebase"
	"shedlight/listen/smf"
)

// typedIn calls the program as a player does, in a folder and a home of its own.
func typedIn(t *testing.T, folder string, args ...string) (out, said string, code int) {
	t.Helper()
	t.Chdir(folder)
	t.Cleanup(xdg.Reload) // once the homes below are as they were
	for _, home := range []string{"HOME", "XDG_DATA_HOME", "XDG_STATE_HOME", "XDG_CONFIG_HOME"} {
		t.Setenv(home, folder)
	}
	xdg.Reload()
	file, err := os.Create(filepath.Join(t.TempDir(), "out"))
	require.NoError(t, err)
	defer file.Close()
	var messages bytes.Buffer
	code = (&program{out: file, messages: &messages}).run(args)
	text, err := os.ReadFile(file.Name())
	require.NoError(t, err)
	return string(text), messages.String(), code
}

func TestChartsByNameOnTheCommandLine(t *testing.T) {
	folder := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(folder, "garden.chart"), []byte("title: Garden Wall\n| Dm7 / G7 / | Csus |\n"), 0o600))

	out, said, code := typedIn(t, folder, "changes", "--chart-is-no-flag")
	require.Equal(t, exitUsage, code, out+said)
	out, said, code = typedIn(t, folder, "changes", "garden", "--ascii")
	require.Equal(t, exitDone, code, said)
	require.Contains(t, out, "Dm7")
	require.Equal(t, "shedlight: garden: line 2, column 3: a slash is read as a beat of the chord before it\n"+
		"shedlight: garden: line 2, column 16: Csus is read as Csus4; if you mean C9sus4 write that\n", said)

	_, said, code = typedIn(t, folder, "changes", "~/garden.chart", "--save")
	require.Equal(t, exitDone, code, said)
	require.Contains(t, said, "kept: "+filepath.Join(folder, "shedlight", "charts", "garden.chart"))

	out, said, code = typedIn(t, folder, "changes")
	require.Equal(t, exitDone, code, said)
	require.Contains(t, out, "garden                   yours     Garden Wall\nblues                    built in  Blues\n")
	out, _, code = typedIn(t, folder, "changes", "--json")
	require.Equal(t, exitDone, code)
	require.Contains(t, out, `{"schema":1,"charts":[{"name":"garden","title":"Garden Wall","own":true},`)
	_, said, code = typedIn(t, folder, "changes", "--save")
	require.Equal(t, exitUsage, code)
	require.Contains(t, said, "--key and --save need a chart")
}

// marked is a MIDI file of any sequencer: one track with notes, chord symbols as
// markers.
func marked(kind uint8, texts ...string) []byte {
	const bar = 4 * timebase.Quarter
	var track smf.TrackWriter
	for i, text := range texts {
		at := int64(i) * bar
		track.Meta(at, kind, []byte(text))
		track.Event(analyse.Event{Tick: at, Kind: analyse.NoteOn, Key: 62, Velocity: 80})
		track.Event(analyse.Event{Tick: at + bar - 1, Kind: analyse.NoteOff, Key: 62})
	}
	track.End(int64(len(texts)) * bar)
	return append(smf.AppendTrackHeader(smf.AppendHeader(nil, 0, 1), uint32(len(track.Bytes))), track.Bytes...)
}

// The chord symbols in a MIDI file are its changes where none are given.
func TestMarkersOfAFileAreItsChart(t *testing.T) {
	folder := t.TempDir()
	for name, data := range map[string][]byte{
		"markers.mid": marked(smf.MetaMarker, "Dm7", "G7", "Cmaj7"),
		"texts.mid":   marked(smf.MetaText, "Dm7", "G7", "Cmaj7"),
		"letters.mid": marked(smf.MetaMarker, "A", "B", "A"),
	} {
		require.NoError(t, os.WriteFile(filepath.Join(folder, name), data, 0o600))
	}
	for _, name := range []string{"markers.mid", "texts.mid"} {
		out, said, code := typedIn(t, folder, "review", name, "--json")
		require.Equal(t, exitDone, code, said)
		require.Equal(t, "shedlight: "+name+": the chord symbols in the file are its changes\n", said)
		require.Contains(t, out, `"chord":"G7"`)
		require.Contains(t, out, `"bars":3`)
	}
	out, said, code := typedIn(t, folder, "review", "letters.mid", "--json")
	require.Equal(t, exitDone, code)
	require.Empty(t, said)
	require.Contains(t, out, `"bars":0`)
	out, said, code = typedIn(t, folder, "review", "markers.mid", "--chart", "blues", "--json")
	require.Equal(t, exitDone, code)
	require.Empty(t, said, "a chart that is given wins")
	require.NotContains(t, out, `"chord":"Dm7"`)
}

// A folder for takes is kept by its whole path, also where it is not there yet.
func TestTakesFolderIsRememberedWhole(t *testing.T) {
	folder := t.TempDir()
	t.Chdir(folder)
	t.Setenv("XDG_STATE_HOME", folder)
	xdg.Reload()
	t.Cleanup(xdg.Reload)
	_, said := asCalled(t, "--takes", "new/takes")
	said.Remember()
	last, bare := asCalled(t)
	require.NotEmpty(t, bare.AsLastTime())
	require.Equal(t, filepath.Join(folder, "new", "takes"), last.Takes)
}
