package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	reference "gitlab.com/gomidi/midi/v2/smf"

	"shedlight/analyse/changes"
	"shedlight/analyse/material"
	"shedlight/listen/beat"
	"shedlight/listen/smf"
	"shedlight/listen/sound"
	"shedlight/listen/take"
)

// piped runs the program as typed, with a text on its standard input.
func piped(t *testing.T, folder, input string, args ...string) (out, said string, code int) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "in")
	require.NoError(t, os.WriteFile(path, []byte(input), 0o600))
	in, err := os.Open(path)
	require.NoError(t, err)
	defer in.Close()
	file, err := os.Create(filepath.Join(folder, "out"))
	require.NoError(t, err)
	defer file.Close()
	var messages bytes.Buffer
	code = (&program{in: in, out: file, messages: &messages}).run(args)
	text, err := os.ReadFile(file.Name())
	require.NoError(t, err)
	return string(text), messages.String(), code
}

// What is printed says how the same is asked for, and is read: by the next command the
// same notes.
func TestLinesGoOutAndIn(t *testing.T) {
	t.Setenv("COLUMNS", "60")
	folder := t.TempDir()
	out, said, code := typedIn(t, folder, "lines", "Bb6", "--level", "4", "--count", "3", "--seed", "12")
	require.Zero(t, code, said)
	require.Contains(t, out, "# shedlight lines Bb6 --count 3 --level 4 --seed 12\n")
	again, _, _ := typedIn(t, folder, strings.Fields(strings.SplitN(out, "\n", 2)[0])[2:]...)
	require.Equal(t, out, again)

	objects, _, _ := typedIn(t, folder, "lines", "Bb6", "--level", "4", "--count", "3", "--seed", "12", "--json")
	read, said, code := piped(t, folder, out, "lines", "-", "--json")
	require.Zero(t, code, said)
	require.Equal(t, notesIn(t, objects), notesIn(t, read))

	moved, said, code := piped(t, folder, out, "lines", "-", "--key", "C", "--json")
	require.Zero(t, code, said)
	for i, notes := range notesIn(t, moved) {
		for j, n := range notes {
			was := notesIn(t, read)[i][j]
			require.Equal(t, was.Key+2, n.Key)
			require.Equal(t, was.Degree, n.Degree)
		}
	}
}

func notesIn(t *testing.T, lines string) (out [][]materialNoteJSON) {
	t.Helper()
	for line := range strings.Lines(lines) {
		var object materialJSON
		require.NoError(t, json.Unmarshal([]byte(line), &object))
		out = append(out, object.Notes)
	}
	return out
}

// What is written for an instrument is read back at concert pitch; JSON is concert
// pitch, and the score says by how much the part sounds lower.
func TestLinesForAnInstrument(t *testing.T) {
	folder := t.TempDir()
	concert, _, _ := typedIn(t, folder, "lines", "G6", "--level", "2", "--seed", "3", "--json")
	for written, by := range map[string][2]string{"Bb": {"-1", "-2"}, "Eb": {"-5", "-9"}, "F": {"-4", "-7"}} {
		name := written + ".musicxml"
		out, said, code := typedIn(t, folder, "lines", "G6", "--level", "2", "--seed", "3", "--written", written, "--musicxml", name)
		require.Zero(t, code, said)
		require.Contains(t, out, "written: "+written+"\n")
		read, said, code := piped(t, folder, out, "lines", "-", "--json")
		require.Zero(t, code, said)
		require.Equal(t, notesIn(t, concert), notesIn(t, read))
		score, err := os.ReadFile(filepath.Join(folder, name))
		require.NoError(t, err)
		require.Regexp(t, `<diatonic>`+by[0]+`</diatonic>\s*<chromatic>`+by[1]+`</chromatic>`, string(score))
	}
}

// The line in the guide is the one that the call above it makes.
func TestGuideShowsALine(t *testing.T) {
	guide, err := os.ReadFile("../../README.md")
	require.NoError(t, err)
	_, shown, found := strings.Cut(string(guide), "    $ shedlight lines C6 --level 3 --seed 1 --count 1\n")
	require.True(t, found)
	t.Setenv("COLUMNS", "80")
	out, said, code := typedIn(t, t.TempDir(), "lines", "C6", "--level", "3", "--seed", "1", "--count", "1")
	require.Zero(t, code, said)
	want := strings.ReplaceAll("    "+strings.ReplaceAll(strings.TrimSuffix(out, "\n"), "\n", "\n    "), "\n    \n", "\n\n")
	require.True(t, strings.HasPrefix(shown, want+"\n"), "it makes\n%s", want)
}

// Without a seed another is drawn each time, and printed.
func TestSeedIsAlwaysPrinted(t *testing.T) {
	out, _, _ := typedIn(t, t.TempDir(), "lines", "C6", "--count", "1")
	require.Regexp(t, `^# shedlight lines C6 --count 1 --level 2 --seed \d+\n`, out)
	out, _, _ = typedIn(t, t.TempDir(), "etude", "blues", "--key", "Bb")
	require.Regexp(t, `^# shedlight etude blues --key Bb --level 2 --seed \d+\ntitle: Blues\nkey: Bb blues\n`, out)
}

// A minor key is typed as players do, in every command that moves music; another mode
// than that of the music is refused.
func TestAMinorKeyIsTyped(t *testing.T) {
	folder := t.TempDir()
	line, _, _ := typedIn(t, folder, "lines", "Cm6", "--count", "1", "--seed", "1")
	for _, test := range []struct{ in, call, fits, fitsNot string }{
		{"", "etude minor-blues --seed 1 --key", "Dm", "D major"},
		{"", "changes minor-blues --key", "D-", "D blues"},
		{"", "review " + plainMIDI(t, folder) + " --chart minor-blues --key", "D minor", "D major"},
		{line, "lines - --key", "Dm", "D major"},
	} {
		args := strings.Fields(test.call)
		_, said, code := piped(t, folder, test.in, append(args, test.fits)...)
		require.NotEqual(t, exitUsage, code, said)
		_, said, code = piped(t, folder, test.in, append(args, test.fitsNot)...)
		require.Equal(t, exitUsage, code, "%s %s", test.call, test.fitsNot)
		require.Contains(t, said, "--key: "+test.fitsNot+" is not the mode of what is moved, which is in C minor: expected D minor, or D alone")
	}
}

// The files hold what is printed: the MIDI file by another reader, the smf package of
// gomidi v2.3.23, and by our own, with its chords; the score by our own reader.
func TestMaterialInFiles(t *testing.T) {
	folder := t.TempDir()
	for _, args := range [][]string{
		{"lines", "G7b9", "--level", "5", "--seed", "4"},
		{"etude", "minor-blues", "--level", "5", "--seed", "4", "--tempo", "140"},
	} {
		name := args[0]
		out, said, code := typedIn(t, folder, append(args, "--json", "--midi", name+".mid", "--musicxml", name+".musicxml")...)
		require.Zero(t, code, said)
		data, err := os.ReadFile(filepath.Join(folder, name+".mid"))
		require.NoError(t, err)
		var want []material.Note
		at := int64(0)
		for line := range strings.Lines(out) {
			var object materialJSON
			require.NoError(t, json.Unmarshal([]byte(line), &object))
			for _, n := range object.Notes {
				want = append(want, material.Note{Tick: at + n.Tick, Length: n.Length, Key: n.Key})
			}
			at += int64(object.Bars) * 4 * 960
		}
		require.Equal(t, want, notesByReference(t, data))

		read, err := take.Read(data, name, smf.Selection{})
		require.NoError(t, err)
		require.Empty(t, read.Damage)
		require.NotNil(t, read.Chart)
		score, err := os.ReadFile(filepath.Join(folder, name+".musicxml"))
		require.NoError(t, err)
		sheet, err := changes.ParseMusicXML(bytes.NewReader(score))
		require.NoError(t, err)
		bars := 0
		for _, s := range sheet.Sections {
			bars += len(s.Bars)
		}
		require.Equal(t, at, int64(bars)*4*960)

		_, said, code = typedIn(t, folder, append(args, "--midi", name+".mid")...)
		require.Equal(t, exitFailed, code)
		require.Contains(t, said, "is there already and is left alone")
	}
}

func notesByReference(t *testing.T, data []byte) (out []material.Note) {
	t.Helper()
	read, err := reference.ReadFrom(bytes.NewReader(data))
	require.NoError(t, err)
	tick := int64(0)
	for _, e := range read.Tracks[0] {
		tick += int64(e.Delta)
		var channel, key, velocity uint8
		switch {
		case e.Message.GetNoteStart(&channel, &key, &velocity):
			out = append(out, material.Note{Tick: tick, Key: key})
		case e.Message.GetNoteEnd(&channel, &key):
			last := &out[len(out)-1]
			require.Equal(t, last.Key, key, "one note at a time")
			last.Length = tick - last.Tick
		}
	}
	return out
}

// Every note is struck once, at its tick behind the count-in, in whatever stretches the
// conductor asks.
func TestMaterialIsPlayedOnce(t *testing.T) {
	all, err := material.Read(strings.NewReader("| C6: E4 F4 G4 Ab4 A4 - - - |"))
	require.NoError(t, err)
	form := beat.Chorus(all[0].Line)
	part := playingMaterial(all[0])
	const bar = 4 * 960
	var ticks []int64
	for from := int64(0); from < 3*bar; from += 700 {
		part(&form, beat.Stretch{From: from, To: from + 700, Song: from - bar, State: beat.Running}, func(tick int64, n sound.Note) {
			require.Equal(t, sound.Piano, n.Voice)
			ticks = append(ticks, tick)
		})
	}
	require.Equal(t, []int64{bar, bar + 480, bar + 960, bar + 1440, bar + 1920}, ticks)
}

// Without a device that is said, and what is printed is there all the same.
func TestPlayedWithoutADevice(t *testing.T) {
	out, said, code := typedIn(t, t.TempDir(), "lines", "C6", "--count", "1", "--seed", "1", "--play", "--sound", "off")
	require.Zero(t, code, said)
	require.Contains(t, out, "| C6: ")
}
