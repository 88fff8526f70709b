//go:build unix

package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// coloured is an escape sequence that asks for a colour (ECMA-48, SGR: 30 to 49, with
// 38 and 48 of ISO 8613-6, and the bright ones from 90 on of many terminals); 39 and
// 49 go back to the terminal's own.
var coloured = regexp.MustCompile(`\x1b\[(?:\d*[;:])*(?:3[0-8]|4[0-8]|9[0-7]|10[0-7])(?:[;:]\d*)*m`)

// With NO_COLOR set to anything (no-color.org) the live screen asks for no colour, on
// terminals of any number of them; with --ascii, or where the locale has no other
// signs, it shows nothing beyond ASCII. Without either it does both.
func TestSignsOfTheScreen(t *testing.T) {
	t.Parallel()
	for name, test := range map[string]struct {
		env           []string
		flag          string
		colour, signs bool
	}{
		"as it is":            {colour: true, signs: true},
		"NO_COLOR":            {env: []string{"NO_COLOR=1"}, signs: true},
		"NO_COLOR, true":      {env: []string{"NO_COLOR=1", "COLORTERM=truecolor"}, signs: true},
		"NO_COLOR, eight":     {env: []string{"NO_COLOR=1", "TERM=xterm"}, signs: true},
		"LC_ALL=C":            {env: []string{"LC_ALL=C"}, colour: true},
		"LC_ALL=C, no colour": {env: []string{"LC_ALL=C", "NO_COLOR=1"}},
		"ASCII":               {flag: "--ascii", colour: true},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			h := newHome(t)
			call := h.command("listen", "--no-take", "--centre", "C major", "--in", long(1000).save(t, h.dir, "long.mid"))
			call.Args = append(call.Args, slices.DeleteFunc([]string{test.flag}, func(f string) bool { return f == "" })...)
			call.Env = append(call.Env, test.env...)
			c := h.open(sizes()[1], call)
			c.playing(10)
			c.typed("?")
			c.shows("leave;") // the page of help, too
			c.typed("?")
			c.typed("q")
			assert.Zero(t, c.wait())
			c.restored()
			c.shows("notes in") // the page behind it
			c.mu.Lock()
			raw := string(c.raw)
			c.mu.Unlock()
			assert.Equal(t, test.colour, coloured.MatchString(raw), "%q", coloured.FindString(raw))
			beyond := strings.IndexFunc(raw, func(sign rune) bool { return sign > unicode.MaxASCII })
			assert.Equal(t, test.signs, beyond >= 0, "%q", raw[max(beyond, 0):min(max(beyond, 0)+8, len(raw))])
		})
	}
}

// What completion prints lets each shell that is here complete a command, a flag and
// what a flag takes, as it is typed, also where the program lies in a folder that has
// to be quoted.
func TestCompletionInTheShells(t *testing.T) {
	t.Parallel()
	binary := filepath.Join(t.TempDir(), "my 'own", "shedlight")
	require.NoError(t, os.Mkdir(filepath.Dir(binary), 0o700))
	require.NoError(t, os.Link(os.Getenv(binaryVariable), binary))
	for shell, start := range map[string]struct {
		args []string
		read string
	}{
		"bash": {args: []string{"--norc", "--noprofile", "-i"}, read: "source <(shedlight completion bash)"},
		"zsh":  {args: []string{"-f", "-i"}, read: "autoload -U compinit && compinit -u -D && source <(shedlight completion zsh)"},
		"fish": {args: []string{"--no-config", "-i"}, read: "shedlight completion fish | source"},
	} {
		path, err := exec.LookPath(shell)
		if err != nil {
			t.Logf("there is no %s", shell)
			continue
		}
		t.Run(shell, func(t *testing.T) {
			t.Parallel()
			h := newHome(t)
			call := h.command(start.args...)
			call.Path, call.Args[0] = path, shell
			call.Env = append(call.Env, "PATH="+filepath.Dir(binary)+":"+os.Getenv("PATH"))
			c := h.open(size{cols: 200, rows: 24}, call)
			c.typed(start.read + " && echo re''ady\r")
			c.shows("\nready")
			for typed, want := range map[string]string{
				"shedlight rev\t": "shedlight review", "shedlight listen --cent\t": "shedlight listen --centre",
				"shedlight completion fi\t": "shedlight completion fish",
			} {
				c.typed(typed)
				c.shows(want)
				c.typed("\x15") // the line is cleared
			}
			c.typed("exit\r")
			c.wait()
		})
	}
}
