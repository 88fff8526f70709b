package main

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/rivo/uniseg"
	"github.com/stretchr/testify/require"
)

// Every page keeps to COLUMNS, and a narrow one leaves nothing out. Only a word that is
// wider than that by itself may exceed it: here none is.
func TestPagesKeepToColumns(t *testing.T) {
	folder := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(folder, "take.mid"), demoTake, 0o600))
	require.NoError(t, os.Mkdir(filepath.Join(folder, "takes"), 0o700))
	for _, name := range []string{"a.mid", "b.mid"} {
		require.NoError(t, os.WriteFile(filepath.Join(folder, "takes", name), demoTake, 0o600))
	}
	long := "title: " + strings.Repeat("Lanterns on the Quay ", 8) + "\n[ABCDEFGHIJKLMNOP]\n| Db7alt(b9,#11,b13)/Cb Cmaj7#11 F#m7b5 Bb13sus4 | Cm7 |\n| {3/4} F7alt | Bb6 Ab7b9 G7 |\n"
	require.NoError(t, os.WriteFile(filepath.Join(folder, "long.chart"), []byte(long), 0o600))
	calls := []string{
		"changes", "changes long --written Eb", "changes long --ascii", "changes blues --view chord", "changes rhythm-bridge", "changes diminished-turnaround --key Db",
		"expand C", "expand Db7alt", "expand Bbm6 --drop 24", "expand Ebmaj7 --written Bb", "expand Bb6 --voicing|Bb1 F2 G6 D7",
		"lines Bbm6 --level 5 --seed 2", "lines G7b9 --level 4 --seed 1 --length 8", "etude long --seed 1", "etude blues --level 4 --seed 1",
		"review take.mid", "review takes", "review take.mid takes", "demo --fast --plain",
	}
	for _, by := range []string{"chord", "centre", "chorus", "bar", "phrase", "habit"} {
		calls = append(calls, "review take.mid --by "+by, "review take.mid --chart long --by "+by)
	}
	for _, topic := range topicNames() {
		calls = append(calls, "help "+topic)
	}
	whole := map[string][]string{} // what a call writes, word by word
	for _, columns := range []int{80, 40, 60, 120} {
		t.Setenv("COLUMNS", fmt.Sprint(columns))
		for _, call := range calls {
			args, last, spaced := strings.Cut(call, "|")
			words := strings.Fields(args)
			if spaced {
				words = append(words, last)
			}
			out, said, _ := typedIn(t, folder, words...)
			require.NotEmpty(t, out, "%s: %s", call, said)
			for line := range strings.Lines(out) {
				line = strings.TrimSuffix(line, "\n")
				require.LessOrEqual(t, uniseg.StringWidth(line), columns, "%s with COLUMNS=%d: %q", call, columns, line)
			}
			if words[0] == "review" || words[0] == "help" {
				said := strings.Fields(out)
				if columns == 80 {
					whole[call] = said
				}
				require.Subset(t, said, onlyWords(whole[call]), "%s with COLUMNS=%d leaves something out", call, columns)
			}
		}
	}
}

// onlyWords leaves out what stands for what is not said.
func onlyWords(all []string) []string {
	return slices.DeleteFunc(slices.Clone(all), func(word string) bool { return strings.Contains(word, "...") })
}

// A width that is none, or too small for a page, is as if it were not there.
func TestColumnsThatAreNone(t *testing.T) {
	folder := t.TempDir()
	t.Setenv("COLUMNS", "")
	usual, _, _ := typedIn(t, folder, "changes", "blues")
	for _, columns := range []string{"39", "0", "-80", "wide", "80.5", "9999999999999999999999", "200"} {
		t.Setenv("COLUMNS", columns)
		out, said, code := typedIn(t, folder, "changes", "blues")
		require.Zero(t, code, said)
		require.Equal(t, usual, out, columns)
	}
}

// What is folded stands below what it belongs to.
func TestFoldedHelp(t *testing.T) {
	t.Setenv("COLUMNS", "40")
	out, _, _ := typedIn(t, t.TempDir(), "help", "json")
	require.Contains(t, out, "    beats\n      how long it lasts, in beats, in\n      thousandths\n")
	require.Contains(t, out, "    shedlight changes --json\n      the charts that have a name:\n      CHARTS\n")
}

// A narrow chart has fewer bars a row, each as wide as ever.
func TestNarrowChart(t *testing.T) {
	folder := t.TempDir()
	for columns, want := range map[string]string{
		"40": "\n| F7               | B♭7              |\n  F6 dim\n\nbar 3\n",
		"60": "\n| F7               | B♭7              | F7               |\n  F6 dim\n\nbar 4\n",
	} {
		t.Setenv("COLUMNS", columns)
		out, said, code := typedIn(t, folder, "changes", "blues")
		require.Zero(t, code, said)
		require.Contains(t, out, want)
	}
}
