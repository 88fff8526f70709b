package main

import (
	"bytes"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/alecthomas/kong"
	"github.com/stretchr/testify/require"

	"shedlight/analyse/changes"
	"shedlight/cmd/shedlight/internal/settings"
)

// readme is the page for players, block by block: what is set in by four is a picture
// or a call.
func readme(t *testing.T) (page string, blocks []string) {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("..", "..", "README.md"))
	require.NoError(t, err)
	for part := range strings.SplitSeq(string(text), "\n\n") {
		var block []string
		for line := range strings.Lines(part) {
			if set, is := strings.CutPrefix(line, "    "); is {
				block = append(block, set)
			}
		}
		if len(block) > 0 {
			blocks = append(blocks, strings.Join(block, ""))
		}
	}
	return string(text), blocks
}

// Each line of the picture of a review is one of the review of the built-in take, in
// its order; the example of a chart is a chart.
func TestPicturesOfTheREADME(t *testing.T) {
	folder := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(folder, "demo.mid"), demoTake, 0o600))
	_, blocks := readme(t)
	t.Setenv("COLUMNS", "80")
	review, said, code := typedIn(t, folder, "review", "demo.mid")
	require.Zero(t, code, said)
	pictures, charts := 0, 0
	for _, block := range blocks {
		switch {
		case strings.HasPrefix(block, "Played "):
			pictures++
			rest := review
			for line := range strings.Lines(block) {
				_, after, is := strings.Cut(rest, strings.TrimSuffix(line, "\n")+"\n")
				require.True(t, is, "not in the review, or not there:\n%s\n%s", line, review)
				rest = after
			}
		case strings.HasPrefix(block, "title: "):
			charts++
			_, err := changes.Read(strings.NewReader(block))
			require.NoError(t, err)
		}
	}
	require.Equal(t, []int{1, 1}, []int{pictures, charts})
}

var (
	calls   = regexp.MustCompile("(?m)(?:^    bin/|`(?:bin/)?)shedlight ([^`\n]*)")
	stands  = regexp.MustCompile(`[A-Z]{2,}`) // for something, in a call
	flags   = regexp.MustCompile("[^a-z-](--[a-z][a-z-]*)")
	targets = regexp.MustCompile("(?:^    |`)make ([a-z]+)")
)

// The README names no command, flag, page of the manual and target that is not there,
// and every command.
func TestCallsOfTheREADME(t *testing.T) {
	page, _ := readme(t)
	var cli commands
	parser, err := kong.New(&cli, append(settings.Parsing(), kong.Vars{"topics": "", "version": ""})...)
	require.NoError(t, err)
	named := map[string]bool{"version": true} // of which there is nothing to say
	for _, call := range calls.FindAllStringSubmatch(page, -1) {
		args := strings.Fields(strings.ReplaceAll(call[1], "...", ""))
		named[args[0]] = true
		if strings.Contains(call[1], `"`) { // --centre "F major"
			args = strings.Fields(strings.ReplaceAll(strings.ReplaceAll(call[1], "F major", "F"), `"`, ""))
		}
		if !stands.MatchString(strings.Join(args, " ")) {
			_, err := parser.Parse(helpArgs(args))
			require.NoError(t, err, call[0])
		}
		if args[0] == "help" && len(args) > 1 && !stands.MatchString(args[1]) {
			require.Contains(t, topicNames(), args[1], call[0])
		}
	}
	for _, name := range commandNames() {
		require.True(t, named[name], "nothing is said of %s", name)
	}
	known := map[string]bool{}
	for _, command := range parser.Model.Children {
		for _, flag := range command.Flags {
			known["--"+flag.Name] = true
		}
	}
	for _, flag := range flags.FindAllStringSubmatch(page, -1) {
		require.True(t, known[flag[1]], flag[1])
	}
	makefile, err := os.ReadFile(filepath.Join("..", "..", "Makefile"))
	require.NoError(t, err)
	for _, target := range targets.FindAllStringSubmatch(page, -1) {
		require.True(t, bytes.Contains(makefile, []byte("\n"+target[1]+":")), target[0])
	}
}
