//go:build unix

package main

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/rivo/uniseg"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The pages of help keep to COLUMNS too, but for three words that cannot be broken: what
// --by takes, the folder for takes, and the file in which one shell looks.
func TestHelpKeepsToColumns(t *testing.T) {
	t.Parallel()
	h := newHome(t)
	calls := [][]string{{"--help"}}
	for _, name := range slices.Concat(commandNames(), topicNames()) {
		calls = append(calls, []string{"help", name}, []string{name, "--help"})
	}
	for _, columns := range []int{40, 60, 80, 120} {
		for _, call := range calls {
			c := h.command(call...)
			c.Env = append(c.Env, fmt.Sprintf("COLUMNS=%d", columns))
			r := h.runs(c)
			if call[0] != "json" { // a page, and no command
				require.NotEmpty(t, r.out, "%v: %s", call, r.err)
			}
			for line := range strings.Lines(r.out) {
				line = strings.TrimSuffix(line, "\n")
				word := strings.TrimSpace(line)
				long := strings.HasPrefix(word, "--by=") || strings.Contains(word, h.dir) || strings.HasSuffix(word, "shedlight.fish")
				if long && !strings.Contains(word, " ") {
					continue
				}
				assert.LessOrEqual(t, uniseg.StringWidth(line), columns, "%v with COLUMNS=%d: %q", call, columns, line)
			}
		}
	}
}

// In a terminal it is its width that counts, whatever COLUMNS says.
func TestPageInANarrowTerminal(t *testing.T) {
	t.Parallel()
	h := newHome(t)
	narrow := h.command("changes", "blues")
	narrow.Env = append(narrow.Env, "COLUMNS=44")
	want := h.runs(narrow)
	require.Zero(t, want.code)
	c := h.command("changes", "blues")
	c.Env = append(c.Env, "COLUMNS=80")
	con := h.open(size{cols: 44, rows: 50}, c)
	require.Zero(t, con.wait())
	for line := range strings.Lines(want.out) {
		con.shows(strings.TrimSpace(line))
	}
}

// The names of ports are folded like everything else.
func TestPortsOnANarrowPage(t *testing.T) {
	var out strings.Builder
	writePorts(&foldedLines{w: &out, cells: 40}, "in", numbered([]string{"Stage Piano of the Harbour Hall:out one two"}))
	require.Equal(t, "in   1  Stage Piano of the Harbour\n     Hall:out one two\n", out.String())
}
