package display

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/gdamore/tcell/v2"
	"github.com/rivo/uniseg"
	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "write the pictures in testdata anew")

// golden compares a picture with the one in testdata and prints both and the
// cells that differ.
func golden(t *testing.T, file, got string) {
	t.Helper()
	path := filepath.Join("testdata", file)
	if *update {
		require.NoError(t, os.WriteFile(path, []byte(got), 0o644))
		return
	}
	want, err := os.ReadFile(path)
	require.NoError(t, err, "no picture to compare with; -update writes it")
	if got != string(want) {
		t.Errorf("%s\n--- got\n%s--- wanted\n%s--- difference\n%s", path, got, want, marked(got, string(want)))
	}
}

// marked shows each row of got that differs, with a ^ under every differing
// cell and the wanted row below.
func marked(got, want string) string {
	var b strings.Builder
	a, z := strings.Split(got, "\n"), strings.Split(want, "\n")
	for i := range max(len(a), len(z)) {
		var left, right []rune
		if i < len(a) {
			left = []rune(a[i])
		}
		if i < len(z) {
			right = []rune(z[i])
		}
		if string(left) == string(right) {
			continue
		}
		marks := make([]rune, max(len(left), len(right)))
		for j := range marks {
			marks[j] = ' '
			if j >= len(left) || j >= len(right) || left[j] != right[j] {
				marks[j] = '^'
			}
		}
		fmt.Fprintf(&b, "row %2d  %s\n        %s\nwanted  %s\n", i, string(left), string(marks), string(right))
	}
	return b.String()
}

func TestMarkedDifference(t *testing.T) {
	require.Equal(t, "row  1  C7\n         ^\nwanted  C6\n", marked("F6\nC7\n", "F6\nC6\n"))
	require.Empty(t, marked("F6\n", "F6\n"))
}

// onTerminal draws a frame on a simulated terminal and returns what stands
// there.
func onTerminal(t *testing.T, charset string, f Frame, o Options, w, h int, prepare func(*Screen)) string {
	t.Helper()
	sim := tcell.NewSimulationScreen(charset)
	require.NoError(t, sim.Init())
	defer sim.Fini()
	sim.SetSize(w, h)
	sim.Sync()
	s := NewScreen(sim, o)
	s.start()
	if prepare != nil {
		prepare(s)
	}
	s.Post(f)
	s.draw()
	return contents(sim)
}

// contents is what stands on a simulated terminal, without the spaces at the
// ends of its rows.
func contents(sim tcell.SimulationScreen) string {
	cells, w, h := sim.GetContents()
	var b strings.Builder
	for y := range h {
		var row strings.Builder
		for x := 0; x < w; x++ {
			c := cells[y*w+x]
			row.Write(c.Bytes)
			x += max(width(string(c.Runes)), 1) - 1 // a wide character hides the cell behind it
		}
		b.WriteString(strings.TrimRight(row.String(), " ") + "\n")
	}
	return b.String()
}

var sizes = []struct{ w, h int }{{80, 24}, {120, 40}, {200, 60}, {40, 12}, {1, 1}}

func TestScreens(t *testing.T) {
	for _, scene := range []struct {
		name    string
		frame   Frame
		options Options
		sizes   []struct{ w, h int }
	}{
		{"tune", tune(), Options{}, sizes},
		{"tune-ascii", tune(), Options{ASCII: true}, sizes[:3]},
		{"tune-written-bb", tune(), Options{Written: tenor}, sizes[:1]},
		{"free", free(), Options{}, sizes},
		{"count-in", countIn(), Options{}, sizes[:4]},
		{"semiquavers", semiquavers(), Options{}, sizes[:4]},
		{"gone", gone(), Options{}, sizes[:4]},
		{"quiet", quiet(), Options{}, sizes[:2]},
		{"quiet-rest", quietRest(), Options{}, sizes[:2]},
		{"fought", fought(), Options{}, sizes[:4]},
		{"goal", goal(), Options{}, sizes[:4]},
		{"thirds", thirds(), Options{}, sizes[:4]},
		{"pile-up", pileUp(), Options{}, sizes[:2]},
		{"pile-up-ascii", pileUp(), Options{ASCII: true}, sizes[:1]},
		{"hostile", hostile(), Options{}, sizes[:4]},
		{"two-hands", twoHands(), Options{}, sizes[:3]},
		{"waltz", waltz(), Options{}, sizes[:4]},
		{"ending", ending(), Options{}, sizes[:4]},
		{"nothing", Frame{}, Options{}, sizes},
	} {
		for _, size := range scene.sizes {
			name := fmt.Sprintf("%s-%dx%d", scene.name, size.w, size.h)
			t.Run(name, func(t *testing.T) {
				golden(t, name+".txt", onTerminal(t, "", scene.frame, scene.options, size.w, size.h, nil))
			})
		}
	}
}

func TestHelpPage(t *testing.T) {
	for _, page := range [][]string{helpText, startText, wordsText} {
		require.LessOrEqual(t, len(page), pageRows-2)
		for _, row := range page {
			require.LessOrEqual(t, width(row), pageWidth-2*gap, row)
		}
	}
	open := func(s *Screen) { s.painter.help, s.painter.asks = helpSignsPage, true }
	golden(t, "help-watching-80x24.txt", onTerminal(t, "", tune(), Options{}, 80, 24, func(s *Screen) { s.painter.help = helpSignsPage }))
	golden(t, "help-words-80x24.txt", onTerminal(t, "", tune(), Options{}, 80, 24, func(s *Screen) { s.painter.help = helpWords }))
	golden(t, "help-80x24.txt", onTerminal(t, "", tune(), Options{}, 80, 24, open))
	golden(t, "help-40x12.txt", onTerminal(t, "", tune(), Options{}, 40, 12, open))
	require.NotEmpty(t, onTerminal(t, "", tune(), Options{}, 1, 1, open))
}

// A terminal that is said to be East Asian draws the box characters two cells
// wide (UAX 11, ambiguous): it gets ASCII too.
func TestEastAsianTerminal(t *testing.T) {
	before := uniseg.EastAsianAmbiguousWidth
	defer func() { uniseg.EastAsianAmbiguousWidth = before }()
	uniseg.EastAsianAmbiguousWidth = 2
	got := onTerminal(t, "", tune(), Options{}, 80, 24, nil)
	require.Equal(t, onTerminal(t, "", tune(), Options{ASCII: true}, 80, 24, nil), got)
}

// A terminal whose character set lacks the signs gets ASCII unasked, nothing
// but ASCII, and the same picture as with the option.
func TestCharacterSetWithoutSigns(t *testing.T) {
	for _, size := range sizes {
		got := onTerminal(t, "US-ASCII", tune(), Options{}, size.w, size.h, nil)
		require.Equal(t, onTerminal(t, "", tune(), Options{ASCII: true}, size.w, size.h, nil), got)
		for _, r := range got {
			require.Less(t, r, rune(0x80), got)
		}
	}
}
