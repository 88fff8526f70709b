package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/listen/smf"
)

// leapt is a chorus of Harbour Steps that steps nowhere: slips over F7, and no rest.
var leapt = choruses(3, settled, slips, settled, oneSlip)

// plainMIDI is what was played as a file that is no take of ours.
func plainMIDI(t *testing.T, dir string) string {
	var track smf.TrackWriter
	events := played(leapt...)
	for _, e := range events {
		track.Event(e)
	}
	track.End(events[len(events)-1].Tick)
	path := filepath.Join(dir, "plain.mid")
	data := append(smf.AppendTrackHeader(smf.AppendHeader(nil, 0, 1), uint32(len(track.Bytes))), track.Bytes...)
	require.NoError(t, os.WriteFile(path, data, 0o600))
	return path
}

// keysIn are the keys of the exercises in JSON lines.
func keysIn(t *testing.T, lines string) (keys []uint8) {
	for _, notes := range notesIn(t, lines) {
		for _, n := range notes {
			keys = append(keys, n.Key)
		}
	}
	return keys
}

// A suggestion is written as the notes that it names, over its bars of the chart, and the
// command that writes lines reads it, for an instrument too. The notes were
// written down by reason: the third to the ninth of F7, from the tone that leaves A for the
// last, which steps into Cm7, in eighths up to the end of the bar, and B flat on 1.
func TestReviewWritesAnExercise(t *testing.T) {
	b := harbourBand(t)
	take := b.record(played(leapt...))
	require.Contains(t, page(t, take), "as notes: shedlight review TAKE --exercise 1\n")
	require.Contains(t, page(t, take), "1. F7, bar 2: C Eb G A up into Bb on 1, four choruses at 90 ")

	folder := t.TempDir()
	out, said, code := typedIn(t, folder, "review", take, "--exercise", "1")
	require.Zero(t, code, said)
	for _, part := range []string{"# 1. F7, bar 2: ", "four choruses at 90", "\ntempo: 90\n", "| F7: r r r r C4 Eb4 G4 A4 | Cm7: Bb4 - - - r r r r |"} {
		require.Contains(t, out, part)
	}
	objects, said, code := typedIn(t, folder, "review", take, "--exercise", "1", "--json")
	require.Zero(t, code, said)
	require.Equal(t, []uint8{60, 63, 67, 69, 70}, keysIn(t, objects))
	var object materialJSON
	require.NoError(t, json.Unmarshal([]byte(objects), &object))
	require.Contains(t, object.Idea, "F7, bar 2: ")
	require.Equal(t, 90, object.Tempo)

	for _, written := range []string{"C", "Bb", "Eb", "F"} {
		text, said, code := typedIn(t, folder, "review", take, "--exercise", "1", "--written", written)
		require.Zero(t, code, said)
		read, said, code := piped(t, folder, text, "lines", "-", "--json")
		require.Zero(t, code, said)
		require.Equal(t, notesIn(t, objects), notesIn(t, read), written)
	}
}

// A file that is no take of ours, over a chart that is named.
func TestAPlainFileGivesAnExercise(t *testing.T) {
	dir := t.TempDir()
	chart := filepath.Join(dir, "harbour.chart")
	require.NoError(t, os.WriteFile(chart, []byte(harbourSteps), 0o600))
	file := plainMIDI(t, dir)
	t.Setenv("COLUMNS", "40")
	text, said, code := typedIn(t, dir, "review", file, "--chart", chart, "--exercise", "1")
	require.Zero(t, code, said)
	read, said, code := piped(t, dir, text, "lines", "-", "--json")
	require.Zero(t, code, said)
	require.Equal(t, []uint8{60, 63, 67, 69, 70}, keysIn(t, read), "folded or not")
}

// What cannot be written is said in one line, and is a mistake of the call.
func TestExercisesThatThereAreNot(t *testing.T) {
	b := harbourBand(t)
	take := b.record(played(leapt...))
	short := b.record(played(settled))
	for _, test := range []struct {
		args []string
		says string
	}{
		{[]string{take, "--exercise", "4"}, "--exercise 4: no such suggestion; the page has "},
		{[]string{take, "--exercise", "0"}, "--exercise"},
		{[]string{take, take, "--exercise", "1"}, "--exercise needs one file, and no --meant or --not-meant"},
		{[]string{take, "--meant", "2", "--exercise", "1"}, "--exercise needs one file, and no --meant or --not-meant"},
		{[]string{take, "--by", "bar", "--exercise", "1"}, "--exercise and --by: choose one"},
		{[]string{short, "--exercise", "1"}, "--exercise 1: nothing is suggested of "},
	} {
		out, said, code := typedIn(t, t.TempDir(), append([]string{"review"}, test.args...)...)
		require.Equal(t, exitUsage, code, "%v: %s", test.args, said)
		require.Empty(t, out)
		require.Contains(t, said, test.says)
		require.LessOrEqual(t, strings.Count(said, "\n"), 2, said)
	}
}
