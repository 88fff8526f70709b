//go:build unix

package main

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"unicode"

	"github.com/alecthomas/kong"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/cmd/shedlight/internal/settings"
	"shedlight/display"
)

// mistakes are calls of every command that go wrong, with the exit code. TAKE and
// CHART stand for files that are there.
var mistakes = map[string]struct {
	code int
	args []string
}{
	"listen, a wrong flag":     {code: exitUsage, args: []string{"listen", "--nothing"}},
	"listen, no value":         {code: exitUsage, args: []string{"listen", "--chart"}},
	"listen, a missing file":   {code: exitFailed, args: []string{"listen", "--in", "none.mid"}},
	"listen, an empty name":    {code: exitUsage, args: []string{"listen", "--in", ""}},
	"listen, a wrong system":   {code: exitUsage, args: []string{"listen", "--api", "foo"}},
	"review, a wrong flag":     {code: exitUsage, args: []string{"review", "--nothing"}},
	"review, no file":          {code: exitUsage, args: []string{"review"}},
	"review, a missing file":   {code: exitFailed, args: []string{"review", "none.mid"}},
	"review, an empty name":    {code: exitUsage, args: []string{"review", ""}},
	"review, an empty chart":   {code: exitUsage, args: []string{"review", "TAKE", "--chart="}},
	"review, a missing chart":  {code: exitUsage, args: []string{"review", "TAKE", "--chart", "none"}},
	"demo, a wrong flag":       {code: exitUsage, args: []string{"demo", "--nothing"}},
	"changes, a wrong flag":    {code: exitUsage, args: []string{"changes", "--nothing"}},
	"changes, a missing file":  {code: exitUsage, args: []string{"changes", "none"}},
	"changes, an empty name":   {code: exitUsage, args: []string{"changes", ""}},
	"changes, an empty key":    {code: exitUsage, args: []string{"changes", "CHART", "--key", ""}},
	"expand, a wrong flag":     {code: exitUsage, args: []string{"expand", "--nothing"}},
	"expand, no chord":         {code: exitUsage, args: []string{"expand"}},
	"expand, an empty name":    {code: exitUsage, args: []string{"expand", ""}},
	"lines, no chord":          {code: exitUsage, args: []string{"lines"}},
	"lines, a wrong chord":     {code: exitUsage, args: []string{"lines", "H2O"}},
	"lines, a wrong range":     {code: exitUsage, args: []string{"lines", "C6", "--range", "banjo"}},
	"etude, a missing chart":   {code: exitUsage, args: []string{"etude", "none"}},
	"etude, a wrong level":     {code: exitUsage, args: []string{"etude", "CHART", "--level", "6"}},
	"ports, a wrong flag":      {code: exitUsage, args: []string{"ports", "--nothing"}},
	"ports, a wrong system":    {code: exitUsage, args: []string{"ports", "--api", "foo"}},
	"lag, a wrong system":      {code: exitUsage, args: []string{"lag", "--api", "foo"}},
	"settings, a wrong flag":   {code: exitUsage, args: []string{"settings", "--nothing"}},
	"completion, a wrong one":  {code: exitUsage, args: []string{"completion", "nothing"}},
	"help, a missing page":     {code: exitUsage, args: []string{"help", "nothing"}},
	"help, an empty name":      {code: exitUsage, args: []string{"help", ""}},
	"no such command":          {code: exitUsage, args: []string{"nothing"}},
	"no such command, by flag": {code: exitUsage, args: []string{"--nothing"}},
}

// outputs are calls of every command that print.
var outputs = map[string][]string{
	"listen":           {"listen", "--in", "TAKE", "--plain", "--no-take"},
	"listen, JSON":     {"listen", "--in", "TAKE", "--json", "--no-take"},
	"review":           {"review", "TAKE"},
	"review, a table":  {"review", "TAKE", "--chart", "CHART", "--by", "bar"},
	"review, habits":   {"review", "TAKE", "--by", "habit"},
	"review, JSON":     {"review", "TAKE", "--json"},
	"review, several":  {"review", "TAKE", "TAKE"},
	"demo":             {"demo", "--fast"},
	"demo, plain":      {"demo", "--fast", "--plain"},
	"demo, JSON":       {"demo", "--fast", "--json"},
	"changes":          {"changes", "CHART"},
	"changes, JSON":    {"changes", "CHART", "--json"},
	"changes, a list":  {"changes"},
	"expand":           {"expand", "Cm6"},
	"expand, JSON":     {"expand", "Cm6", "--json"},
	"lines":            {"lines", "Cm6"},
	"lines, JSON":      {"lines", "Cm6", "--json"},
	"etude":            {"etude", "CHART"},
	"settings":         {"settings"},
	"settings, JSON":   {"settings", "--json"},
	"help":             {"help"},
	"help, a page":     {"help", "changes"},
	"help, a command":  {"help", "expand"},
	"help, the JSON":   {"help", "json"},
	"help, by flag":    {"--help"},
	"completion":       {"completion", "bash"},
	"version":          {"version"},
	"version, by flag": {"--version"},
	"version, short":   {"-V"},
}

// here fills in the files that a call names.
func (h home) here(args []string) []string {
	h.t.Helper()
	chart := filepath.Join(h.dir, "quay.chart")
	require.NoError(h.t, os.WriteFile(chart, []byte("title: Là-bas, ñandú ♯\nkey: Bb\n\n| Bb6 | Cm7 F7 |\n"), 0o600))
	files := map[string]string{"TAKE": sung(60, 61, 62, 64, 65).save(h.t, h.dir, "five.mid"), "CHART": chart}
	var out []string
	for _, arg := range args {
		if file, ok := files[arg]; ok {
			arg = file
		}
		out = append(out, arg)
	}
	return out
}

// A wrong call gets one line that names the program, on standard error, and nothing
// of the words of the parser or the runtime.
func TestMistakes(t *testing.T) {
	t.Parallel()
	h := newHome(t)
	for name, m := range mistakes {
		r := h.run(h.here(m.args)...)
		assert.Equal(t, m.code, r.code, name)
		assert.Empty(t, r.out, name)
		assert.Regexp(t, `^shedlight: .+\n$`, r.err, name)
		for _, inner := range []string{"EOL", "panic", "goroutine", "%!", "<nil>", "kong"} {
			assert.NotContains(t, r.err, inner, name)
		}
	}
}

// Every flag of every command that takes a value wants one, and every command refuses
// a flag that it has not, and an empty name: in one line, and with what to do.
func TestEveryCallRefuses(t *testing.T) {
	var cli commands
	parser, err := kong.New(&cli, append(settings.Parsing(), kong.Vars{"topics": "", "version": ""})...)
	require.NoError(t, err)
	folder := t.TempDir()
	refused := func(args ...string) {
		t.Helper()
		out, said, code := typedIn(t, folder, args...)
		require.Equal(t, exitUsage, code, args)
		require.Empty(t, out, args)
		require.Regexp(t, `^shedlight: [^\n]+\n$`, said, args)
		require.NotRegexp(t, `EOL|panic|goroutine|%!|<nil>|kong|strconv`, said, args)
	}
	seen := 0
	for _, command := range parser.Model.Children {
		seen++
		refused(command.Name, "--nothing")
		refused(command.Name, "")
		for _, flag := range command.Flags {
			refused(command.Name, "--"+flag.Name+"=")
			if !flag.IsBool() {
				refused(command.Name, "--"+flag.Name)
				refused(command.Name, "--"+flag.Name, "")
			}
		}
	}
	require.Len(t, commandNames(), seen)
}

// What is said of a name keeps to ASCII too where the locale has no other signs.
func TestMessagesInASCII(t *testing.T) {
	t.Parallel()
	h := newHome(t)
	for _, args := range [][]string{{"changes", "là"}, {"review", "là.mid"}, {"help", "là"}, {"changes", "--là"}, {"expand", "là"}, {"listen", "--in", "là.mid"}} {
		c := h.command(args...)
		c.Env = append(c.Env, "LC_ALL=C")
		r := h.runs(c)
		assert.NotZero(t, r.code, args)
		assert.Contains(t, r.err, "l?", args)
		assert.NotContains(t, r.err, "à", args)
	}
}

// Every command that prints fails where nothing can be written, and prints in ASCII
// where the locale has no other signs, without colour, in lines of 40 cells. The ports
// and the lag need instruments: they are tested over JACK.
func TestOutputs(t *testing.T) {
	t.Parallel()
	h := newHome(t)
	printing := map[string]bool{"ports": true, "lag": true}
	for _, args := range outputs {
		printing[args[0]] = true
	}
	for _, name := range commandNames() {
		assert.True(t, printing[name], name)
	}
	for name, args := range outputs {
		c := h.command(h.here(args)...)
		full, err := os.OpenFile("/dev/full", os.O_WRONLY, 0)
		require.NoError(t, err)
		var said strings.Builder
		c.Stdout, c.Stderr = full, &said
		assert.Equal(t, exitFailed, h.start(c).wait(), name)
		require.NoError(t, full.Close())
		assert.Contains(t, said.String(), "no space left on device", name)

		// A reader that has gone ends what only prints, as it ends every program,
		// and a session well.
		c = h.command(h.here(args)...)
		reader, writer, err := os.Pipe()
		require.NoError(t, err)
		require.NoError(t, reader.Close())
		said.Reset()
		c.Stdout, c.Stderr = writer, &said
		closed := h.start(c)
		code := closed.wait()
		require.NoError(t, writer.Close())
		if isSession := args[0] == "listen" || args[0] == "demo"; isSession {
			assert.Zero(t, code, "%s: %s", name, &said)
		} else {
			assert.Equal(t, syscall.SIGPIPE, closed.command.ProcessState.Sys().(syscall.WaitStatus).Signal(), "%s: %s", name, &said)
		}
		assert.NotContains(t, said.String(), "pipe", name)

		c = h.command(h.here(args)...)
		c.Env = append(c.Env, "LC_ALL=C", "COLUMNS=40", "NO_COLOR=1")
		r := h.runs(c)
		assert.Zero(t, r.code, name)
		assert.NotEmpty(t, r.out, name)
		assert.NotContains(t, r.out, "\x1b", name)
		if !strings.HasSuffix(name, "JSON") {
			assert.Equal(t, -1, strings.IndexFunc(r.out, func(sign rune) bool { return sign > unicode.MaxASCII }), "%s: %s", name, r.out)
			if args[0] != "completion" && args[0] != "version" { // what programs read stays a line
				for line := range strings.Lines(r.out) {
					words := strings.Fields(line)
					assert.True(t, len(strings.TrimSuffix(line, "\n")) <= display.LeastWidth || len(words) == 1, "%s: %q", name, line)
				}
			}
		}
	}
}

// Standard input in place of a file.
func TestStandardInput(t *testing.T) {
	t.Parallel()
	h := newHome(t)
	for name, args := range map[string][]string{"review": {"review", "-"}, "changes": {"changes", "-"}} {
		file := h.here([]string{map[string]string{"review": "TAKE", "changes": "CHART"}[name]})[0]
		in, err := os.Open(file)
		require.NoError(t, err)
		defer in.Close()
		c := h.command(args...)
		c.Stdin = in
		r := h.runs(c)
		assert.Zero(t, r.code, r.err)
		c = h.command(name, filepath.Base(file)) // a long path is cut
		c.Dir = filepath.Dir(file)
		named := h.runs(c)
		assert.Zero(t, named.code, named.err)
		assert.Equal(t, strings.TrimPrefix(named.out, filepath.Base(file)), strings.TrimPrefix(r.out, "-"), name)
	}
	_, err := os.Stat(filepath.Join(h.dir, "-"+notesExt))
	assert.ErrorIs(t, err, os.ErrNotExist, "nothing is kept beside it")
}

// Each shell asks in COMP_LINE how a line goes on, by what completion prints.
func TestCompletion(t *testing.T) {
	t.Parallel()
	h := newHome(t)
	for line, want := range map[string]string{
		"shedlight re": "review", "shedlight listen --cent": "--centre", "shedlight completion f": "fish",
		"shedlight changes --view ch": "chord",
		"shedlight se":                "settings", "shedlight settings --j": "--json",
	} {
		c := h.command()
		c.Env = append(c.Env, "COMP_LINE="+line)
		r := h.runs(c)
		assert.Zero(t, r.code, line)
		assert.Equal(t, want+"\n", r.out, line)
	}
	for shell := range completions {
		r := h.run("completion", shell)
		assert.Zero(t, r.code, shell)
		assert.Contains(t, r.out, os.Getenv(binaryVariable), shell)
	}
	bash, err := exec.LookPath("bash")
	if err != nil {
		t.Skip("there is no bash")
	}
	c := h.command()
	c.Path, c.Args = bash, []string{"bash", "-c", `source <("$1" completion bash) && complete -p shedlight`, "bash", os.Getenv(binaryVariable)}
	r := h.runs(c)
	assert.Equal(t, "complete -o default -C '"+os.Getenv(binaryVariable)+"' shedlight\n", r.out, r.err)
}
