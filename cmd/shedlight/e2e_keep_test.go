//go:build unix

package main

import (
	"bytes"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/listen/smf"
	"shedlight/listen/take"
)

// files returns every file of a folder with what is in it.
func files(t testing.TB, dir string) map[string]string {
	t.Helper()
	all := map[string]string{}
	for _, name := range list(t, dir) {
		data, err := os.ReadFile(filepath.Join(dir, name))
		require.NoError(t, err)
		all[name] = string(data)
	}
	return all
}

// journal returns the path of the only journal in a folder.
func journal(t testing.TB, dir string) string {
	t.Helper()
	found, err := filepath.Glob(filepath.Join(dir, "*.journal"))
	require.NoError(t, err)
	require.Len(t, found, 1)
	return found[0]
}

// A session that is killed is a take after the next start, which says so. A
// live one is left alone, and nothing that was there is touched.
func TestKilledAndRecovered(t *testing.T) {
	t.Parallel()
	h := newHome(t)
	short := sung(60).save(t, h.dir, "short.mid")
	require.Zero(t, h.run("listen", "--in", short).code)
	before := files(t, h.takes())
	require.Len(t, before, 1)

	m := long(2000)
	slow := h.start(h.command("listen", "--in", m.save(t, h.dir, "slow.mid"), "--centre", "G major", "--json"))
	watermarks := func() int {
		found, err := filepath.Glob(filepath.Join(h.takes(), "*.journal"))
		require.NoError(t, err)
		if len(found) == 0 {
			return 0
		}
		data, err := os.ReadFile(found[0])
		require.NoError(t, err)
		return bytes.Count(data, []byte(`{"watermark":`))
	}
	until(t, "two seconds are written", func() bool { return watermarks() >= 3 })
	other := h.run("listen", "--in", short, "--plain")
	assert.Zero(t, other.code)
	assert.NotContains(t, other.err, "recovered", "it is being played")
	assert.True(t, slow.running())
	cut := strings.TrimSuffix(journal(t, h.takes()), ".journal")

	require.NoError(t, slow.command.Process.Kill())
	assert.Equal(t, -1, slow.wait())
	next := h.run("listen", "--in", short, "--plain")
	assert.Zero(t, next.code)
	assert.Contains(t, next.err, "recovered the take of a session that was cut off: "+cut+".mid")
	assert.Contains(t, next.out, "-- recovered "+cut+".mid\n")
	again := h.run("listen", "--in", short, "--plain")
	assert.NotContains(t, again.err, "recovered", "once")

	after := files(t, h.takes())
	assert.Len(t, after, 5, "the first, the one that was killed, and three short ones: %v", list(t, h.takes()))
	for name, content := range before {
		assert.Equal(t, content, after[name], "nothing is overwritten")
	}
	recovered, err := take.Load(cut+".mid", smf.Selection{})
	require.NoError(t, err)
	require.Empty(t, recovered.Damage)
	assert.Greater(t, len(slices.Collect(recovered.Events)), 30, "more than a second of it")
	assert.Equal(t, m.events[:len(slices.Collect(recovered.Events))], slices.Collect(recovered.Events))
	findings, _ := h.reviewed(cut + ".mid")
	assert.Equal(t, "G major", findings[0].(object)["centre"], "it knows its settings")
	t.Logf("%d events of the killed session are there", len(slices.Collect(recovered.Events)))
}

// Where nothing can be kept that is shown, playing goes on, and the session
// ends as one that failed.
func TestUnwritableFolder(t *testing.T) {
	t.Parallel()
	h := newHome(t)
	m := sung(60, 62, 64)
	file := m.save(t, h.dir, "three.mid")
	below := filepath.Join(file, "takes")
	for _, flag := range []string{"--plain", "--json"} {
		r := h.run("listen", "--in", file, "--takes", below, flag)
		assert.Equal(t, exitFailed, r.code)
		assert.Contains(t, r.out+r.err, "-- not saved: not a directory\n", "while it is played")
		begins := "shedlight: "
		if flag == "--json" {
			begins = `{"schema":1,"error":"`
		}
		assert.Contains(t, r.err, begins+"this session was not saved: ")
		assert.Contains(t, r.err, "not a directory")
		assert.Contains(t, strings.ReplaceAll(r.out, `"notes":3`, "3 notes in"), "3 notes in", "it was played to its end")
	}
	c := h.open(sizes()[1], h.command("listen", "--in", long(1000).save(t, h.dir, "long.mid"), "--takes", below))
	c.playing(9)
	c.shows("not saved: not a directory")
	c.typed("q")
	assert.Equal(t, exitFailed, c.wait())
	c.restored()
	c.shows("notes in", "this session was not saved: ")
}

// beLimited becomes the program with files of so many bytes at most.
func beLimited(bytes string) error {
	most, err := strconv.ParseUint(bytes, 10, 64)
	if err != nil {
		return err
	}
	limit := syscall.Rlimit{Cur: most, Max: most}
	if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &limit); err != nil {
		return err
	}
	return syscall.Exec(os.Getenv(binaryVariable), os.Args, os.Environ())
}

// limited runs the program on a disk that is full after so many bytes.
func (h home) limited(bytes int, args ...string) result {
	h.t.Helper()
	self, err := os.Executable()
	require.NoError(h.t, err)
	c := h.command(args...)
	c.Path = self
	c.Env = append(c.Env, limitVariable+"="+strconv.Itoa(bytes))
	return h.runs(c)
}

// A disk that fills up while the session is played: that is shown, playing goes
// on, and what was written before that is there after the next start.
func TestFullDisk(t *testing.T) {
	t.Parallel()
	h := newHome(t)
	m := long(360).faster(8) // 2.3 seconds, 1.3 KB of journal each
	file := m.save(t, h.dir, "line.mid")
	r := h.limited(2000, "listen", "--in", file, "--plain")
	assert.Equal(t, exitFailed, r.code)
	assert.Contains(t, r.out, "-- not saved: file too large\n")
	assert.Contains(t, r.out, "360 notes in", "it was played to its end")
	assert.Regexp(t, `^saved .*\nshedlight: \d+ events are not in the take\nwrite .*: file too large\n$`, r.err)
	kept, err := take.Load(h.takeSaved(), smf.Selection{})
	require.NoError(t, err)
	assert.Greater(t, len(slices.Collect(kept.Events)), 100, "the first second")
	assert.Less(t, len(slices.Collect(kept.Events)), len(m.events))
	assert.Equal(t, m.events[:len(slices.Collect(kept.Events))], slices.Collect(kept.Events))
}

// Where there is no room for the take itself its journal stays, and the next
// start makes the take of it.
func TestFullDiskAtTheEnd(t *testing.T) {
	t.Parallel()
	h := newHome(t)
	chart := filepath.Join(h.dir, "long.chart") // in the take it stands twice: as text, and as markers
	require.NoError(t, os.WriteFile(chart, []byte("title: Long Pier\nkey: C\n\n[A]\n"+strings.Repeat("| C6 . G7 . |\n", 40)), 0o600))
	m := sung(60, 62, 64)
	args := []string{"listen", "--in", m.save(t, h.dir, "line.mid"), "--chart", chart, "--plain"}
	require.Zero(t, h.run(args...).code)
	whole, err := os.Stat(theTake(t, h.takes()))
	require.NoError(t, err)
	r := h.limited(int(whole.Size())-1, args...)
	assert.Equal(t, exitFailed, r.code)
	assert.Contains(t, r.out, "3 notes in")
	assert.Equal(t, "shedlight: the take stays in "+journal(t, h.takes())+": ", r.err[:strings.Index(r.err, "write ")])

	next := h.run("listen", "--in", sung(60).save(t, h.dir, "one.mid"), "--plain")
	require.Zero(t, next.code, next.err)
	_, path, found := strings.Cut(next.err, "recovered the take of a session that was cut off: ")
	require.True(t, found)
	path, _, _ = strings.Cut(path, "\n")
	findings, summary := h.reviewed(path)
	assert.Len(t, findings, m.notes())
	assert.Equal(t, "Long Pier", summary["title"])
}

// A disk that is full from the start: nothing is there, and that is said.
func TestFullDiskFromTheStart(t *testing.T) {
	t.Parallel()
	h := newHome(t)
	r := h.limited(100, "listen", "--in", long(60).faster(8).save(t, h.dir, "line.mid"), "--plain")
	assert.Equal(t, exitFailed, r.code)
	assert.Contains(t, r.out, "-- not saved: file too large\n")
	assert.Contains(t, r.out, "60 notes in")
	assert.Regexp(t, `^shedlight: 120 events are not in the take\nwrite .*: file too large\n$`, r.err)
}
