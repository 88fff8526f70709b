//go:build unix

package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// What the demo shows in its first bar: the chord in large
// letters, the labels of both rails, the notes by name on them, the counts.
func TestDemoScreen(t *testing.T) {
	t.Parallel()
	for _, s := range sizes() {
		t.Run(fmt.Sprintf("%dx%d", s.cols, s.rows), func(t *testing.T) {
			t.Parallel()
			h := newHome(t)
			c := h.open(s, h.command("demo"))
			c.shows("▄██", "░░░░") // the count-in
			assert.True(t, c.taken())
			// All at once while the first bar is played, or again in the third.
			letters := []string{"███████ ▄████▀", "██      ██", "█████   █████▄", "██      ██  ██", "██      ▀████▀"}
			c.shows(append(letters, "of 16", "(A)", "▴(C)", "▴(D)", "▴B♭", "▴D♭")...)
			rows := c.rows()
			first := rowWith(rows, letters[0])
			for i, part := range letters {
				assert.Contains(t, rows[first+i], part, "F6, in large letters")
			}
			upper, lower := rowWith(rows, "┷"), rowWith(rows, "┯")
			require.Less(t, upper, lower, "two rails")
			// A row for each tone of F6 dim, the higher above: F A C D, then G Bb Db E.
			for i, name := range []string{"F", "(A)", "▴(C)", "▴(D)"} {
				assert.Contains(t, rows[upper-1-i], name, "the home half stands on the upper rail")
			}
			for i, name := range []string{"E", "▴D♭", "▴B♭", "G"} {
				assert.Contains(t, rows[lower+1+i], name, "the dim half hangs on the lower rail")
			}
			c.until("its notes are counted", func(screen string) bool { return counted(screen) >= 5 })
			c.typed("q")
			assert.Zero(t, c.wait())
			c.restored()
			c.shows("Lanterns on the Quay", "Fitted")
			assert.Empty(t, c.titles)
		})
	}
}

// rowWith returns the first row that holds a text, -1 for none.
func rowWith(rows []string, text string) int {
	for y, row := range rows {
		if strings.Contains(row, text) {
			return y
		}
	}
	return -1
}

// leavings are the ways to end a session: all of them save and exit 0.
func leavings() map[string]func(*console) {
	sent := func(s os.Signal) func(*console) { return func(c *console) { c.signal(s) } }
	return map[string]func(*console){
		"q":      func(c *console) { c.typed("q") },
		"Ctrl-C": func(c *console) { c.typed("\x03") },
		"INT":    sent(syscall.SIGINT),
		"TERM":   sent(syscall.SIGTERM),
		"HUP":    sent(syscall.SIGHUP),
		"QUIT":   sent(syscall.SIGQUIT),
	}
}

func TestLeaving(t *testing.T) {
	t.Parallel()
	for name, leave := range leavings() {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			h := newHome(t)
			c := h.open(sizes()[0], h.command("listen", "--in", long(1000).save(t, h.dir, "long.mid"), "--centre", "C major"))
			c.playing(5)
			assert.True(t, c.taken())
			leave(c)
			assert.Zero(t, c.wait())
			c.restored()
			kept := theTake(t, h.takes())
			c.shows("saved " + kept[:20])
			findings, summary := h.reviewed(kept)
			assert.GreaterOrEqual(t, len(findings), 5)
			c.shows(fmt.Sprintf("%d notes in", len(findings)))
			assert.Equal(t, "C major", findings[0].(object)["centre"])
			assert.EqualValues(t, len(findings), summary["notes"])
		})
	}
}

// The terminal itself goes: the take is kept all the same.
func TestTerminalGone(t *testing.T) {
	t.Parallel()
	h := newHome(t)
	c := h.open(sizes()[0], h.command("listen", "--in", long(1000).save(t, h.dir, "long.mid")))
	c.playing(5)
	c.slave.Close()
	c.master.Close() // the system sends HUP to the program
	assert.Zero(t, c.wait())
	findings, _ := h.reviewed(theTake(t, h.takes()))
	assert.GreaterOrEqual(t, len(findings), 5)
}

func TestResize(t *testing.T) {
	t.Parallel()
	h := newHome(t)
	c := h.open(sizes()[0], h.command("demo"))
	c.shows("F6 dim")
	for _, s := range []size{{cols: 1, rows: 1}, {cols: 17, rows: 3}, {cols: 300, rows: 2}, {cols: 2, rows: 100}} {
		c.resize(s)
		c.until("something is shown", func(screen string) bool { return strings.TrimSpace(screen) != "" })
	}
	c.resize(sizes()[1])
	c.shows("F6 dim", "q leave  ? help", "████")
	c.resize(sizes()[0])
	c.shows("F6 dim", "q leave  ? help", "████")
	c.typed("q")
	assert.Zero(t, c.wait())
	c.restored()
}

// A terminal without a screen gets plain lines, and stays as it is.
func TestDumbTerminal(t *testing.T) {
	t.Parallel()
	for _, name := range []string{"dumb", ""} {
		h := newHome(t)
		command := h.command("listen", "--in", sung(60, 61, 62).save(t, h.dir, "three.mid"), "--centre", "C major")
		command.Env = append(command.Env, "TERM="+name)
		c := h.open(sizes()[0], command)
		assert.Zero(t, c.wait())
		c.shows("-- listening to three.mid", "(C4)", "C♯4", "outside", "3 notes in 0:00", "plain lines instead")
		c.restored()
		assert.NotContains(t, string(c.raw), "\x1b", "no escapes")
		theTake(t, h.takes())
	}
}

// A terminal that nobody reads holds up neither the playing nor the take, and the
// program does not wait for it for ever.
func TestSlowTerminal(t *testing.T) {
	t.Parallel()
	m := long(20)
	for name, end := range map[string]func(*console){
		"read at last": func(c *console) {
			c.read()
			assert.Zero(t, c.wait())
			c.restored()
			c.shows("20 notes in")
		},
		"never read": func(c *console) {
			assert.Zero(t, c.wait())
			assert.Equal(t, c.before, c.modes(t), "the modes of the terminal")
		},
	} {
		h := newHome(t)
		c := h.openUnread(sizes()[1], h.command("listen", "--in", m.save(t, h.dir, "slow.mid")))
		findings, _ := h.reviewed(h.takeSaved())
		assert.Len(t, findings, m.notes())
		assert.True(t, c.running(), "%s: the terminal still holds up the screen, or it was never slow", name)
		end(c)
	}
}

// What is called after an escape sequence shows harmless text.
func TestHostileNames(t *testing.T) {
	t.Parallel()
	const evil = "\x1b]0;owned\x07\x1b[2J\x1b[31m\u009b5m\u202eevil"
	h := newHome(t)
	m := sung(60, 61, 62, 64)
	m.title = evil
	file := m.save(t, h.dir, evil+".mid")
	chart := filepath.Join(h.dir, "evil.chart")
	require.NoError(t, os.WriteFile(chart, []byte("title: "+evil+"\nkey: C\n\n[A]\n| C6 | G7 |\n"), 0o600))

	c := h.open(sizes()[1], h.command("listen", "--in", file, "--no-take"))
	c.shows("?]0;owned??[2J")
	assert.Zero(t, c.wait())
	c.restored()
	assert.Empty(t, c.titles, "the title of the terminal")
	assert.NotContains(t, string(c.raw), "\x1b]0;owned")
	assert.NotContains(t, string(c.raw), "\x1b[31m")

	shown := 0
	for name, args := range map[string][]string{
		"plain lines":   {"listen", "--in", file, "--plain", "--no-take"},
		"JSON lines":    {"listen", "--in", file, "--json", "--no-take"},
		"review":        {"review", file},
		"review, JSON":  {"review", "--json", file},
		"a chart":       {"review", file, "--chart", chart},
		"a wrong flag":  {"listen", "--" + evil},
		"a wrong file":  {"review", evil},
		"a wrong chart": {"review", file, "--chart", evil},
		"a wrong track": {"review", file, "--track", "9"},
		"a wrong port":  {"listen", "--in", evil},
		"a bad centre":  {"review", file, "--centre", evil},
	} {
		r := h.run(args...)
		for _, text := range []string{r.out, r.err} {
			shown += strings.Count(text, "owned")
			for _, sign := range strings.ReplaceAll(text, "\n", "") {
				assert.False(t, sign < ' ' || sign >= 0x7f && sign < 0xa0 || sign == '\u202e', "%s: %q in %q", name, sign, text)
			}
		}
	}
	assert.Greater(t, shown, 8, "what is left of the names is shown")
}
