//go:build unix

package main

import (
	"bufio"
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"
)

// fullVariable asks for the tests that take minutes.
const fullVariable = "SHEDLIGHT_FULL"

// full reports whether everything is to be tested.
func full() bool { return os.Getenv(fullVariable) != "" }

// Bytes on the keyboard that are no UTF-8 (an 8-bit Meta key, a paste in Latin-1,
// noise on the line) are no keys; those behind them are.
func TestAnyBytesTyped(t *testing.T) {
	t.Parallel()
	noise := make([]byte, 4096)
	random := rand.New(rand.NewPCG(1, 2))
	for i := range noise {
		// High bytes: a q or an escape among them would be a key.
		noise[i] = 0x80 | byte(random.UintN(0x80))
	}
	for name, bytes := range map[string]string{
		"FF": "\xff", "80": "\x80", "E9 61": "\xe9a", "half a sign": "\xe2\x99", "noise": string(noise),
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			h := newHome(t)
			c := h.open(sizes()[0], h.command("listen", "--in", long(1000).save(t, h.dir, "long.mid")))
			c.playing(3)
			c.typed(bytes)
			c.playing(6)
			c.typed(bytes + "?")
			c.shows("leave; the take is kept")
			c.typed(bytes + "q")
			assert.Zero(t, c.wait())
			c.restored()
			theTake(t, h.takes())
		})
	}
}

// A flood of keys while the program leaves holds nothing up.
func TestTypedWhileLeaving(t *testing.T) {
	t.Parallel()
	h := newHome(t)
	c := h.open(sizes()[0], h.command("listen", "--in", long(1000).save(t, h.dir, "long.mid")))
	c.playing(3)
	c.signal(syscall.SIGINT)
	go func() {
		for c.running() { // it fails when the program reads no more
			assert.NoError(t, c.master.SetWriteDeadline(time.Now().Add(lookEvery)))
			_, _ = c.master.WriteString(strings.Repeat("x\xff", 64))
		}
	}()
	assert.Zero(t, c.wait())
	c.restored()
	theTake(t, h.takes())
}

// Signals in any pair, up to 50 ms apart: the session ends as with one.
func TestTwoSignals(t *testing.T) {
	t.Parallel()
	const apart = 50 // milliseconds at most
	pairs := 8
	if full() {
		pairs = 200
	}
	all := []syscall.Signal{syscall.SIGINT, syscall.SIGTERM, syscall.SIGHUP, syscall.SIGQUIT}
	random := rand.New(rand.NewPCG(3, 4))
	for i := range pairs {
		first, second := all[i%len(all)], all[i/len(all)%len(all)]
		gap := time.Duration(random.IntN(apart*1000)) * time.Microsecond
		if i%3 == 0 {
			gap = time.Duration(random.IntN(5000)) * time.Microsecond // where it was worst
		}
		t.Run(fmt.Sprintf("%v, %v, %v", first, gap, second), func(t *testing.T) {
			h := newHome(t)
			c := h.open(sizes()[0], h.command("listen", "--in", long(1000).save(t, h.dir, "long.mid")))
			c.playing(3)
			c.signal(first)
			select {
			case <-c.process.ended:
			case <-time.After(gap):
				_ = c.command.Process.Signal(second) // it may have ended by now
			}
			assert.Zero(t, c.wait())
			c.restored()
			h.takeSaved()
		})
	}
}

// What is no file is refused at once wherever a file is named.
func TestWhatIsNoFile(t *testing.T) {
	t.Parallel()
	h := newHome(t)
	take := sung(60, 62, 64).save(t, h.dir, "three.mid")
	pipe := filepath.Join(h.dir, "pipe.mid")
	require.NoError(t, unix.Mkfifo(pipe, 0o600))
	folder := filepath.Join(h.dir, "folder.mid")
	require.NoError(t, os.Mkdir(folder, 0o700))
	device := filepath.Join(h.dir, "device.mid")
	require.NoError(t, os.Symlink("/dev/zero", device))
	for path, is := range map[string]string{pipe: "a pipe", folder: "a folder", device: "a device"} {
		for _, args := range [][]string{
			{"listen", "--in", path}, {"review", take, "--chart", path}, {"changes", path},
		} {
			r := h.run(args...)
			assert.Equal(t, exitFailed, r.code, args)
			assert.Equal(t, "shedlight: "+path+": "+is+", expected a file\n", r.err, args)
		}
	}
	assert.Equal(t, "shedlight: "+pipe+": a pipe, expected a file\n", h.run("review", pipe).err)
	all := h.run("review", h.dir)
	assert.Zero(t, all.code)
	assert.Equal(t, 1, strings.Count(all.out, ".mid"), "a folder's review passes over what is no file: %s", all.out)
}

// What the program keeps for itself is no way to hold it up either: a session, and its
// review, where each of its own files is a pipe.
func TestOwnFilesArePipes(t *testing.T) {
	t.Parallel()
	h := newHome(t)
	take := sung(60, 62, 64).save(t, h.dir, "three.mid")
	for _, name := range []string{
		filepath.Join("state", "shedlight", "last.json"), filepath.Join("state", "shedlight", "lags.json"),
		filepath.Join("state", driverLog), filepath.Join("state", crashLog), "three" + notesExt,
	} {
		path := filepath.Join(h.dir, name)
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o700))
		require.NoError(t, unix.Mkfifo(path, 0o600))
	}
	for _, args := range [][]string{{"settings"}, {"listen", "--in", take, "--plain"}, {"review", take}} {
		r := h.run(args...)
		assert.Zero(t, r.code, "%s: %s", args, r.err)
	}
}

// A review of many files that is stopped says how far it came, and as JSON ends the
// line that it has begun.
func TestReviewStopped(t *testing.T) {
	t.Parallel()
	h := newHome(t)
	folder := filepath.Join(h.dir, "many")
	require.NoError(t, os.Mkdir(folder, 0o700))
	m := long(3000)
	for i := range 400 {
		m.save(t, folder, fmt.Sprintf("%03d.mid", i))
	}
	for _, args := range [][]string{{"review", folder}, {"review", folder, "--json"}} {
		command := h.command(args...)
		out, writer, err := os.Pipe()
		require.NoError(t, err)
		defer out.Close()
		var messages bytes.Buffer
		command.Stdout, command.Stderr = writer, &messages
		p := h.start(command)
		require.NoError(t, writer.Close())
		reader := bufio.NewReader(out)
		first, err := reader.ReadBytes('\n')
		require.NoError(t, err)
		p.signal(syscall.SIGINT)
		rest, err := io.ReadAll(reader)
		require.NoError(t, err)
		assert.Equal(t, exitStopped, p.wait())
		assert.Regexp(t, `^stopped after \d+ of 400 files\n$`, messages.String())
		if len(args) > 2 {
			for line := range bytes.Lines(append(first, rest...)) {
				assert.True(t, json.Valid(line), "a line that is begun is ended")
			}
		}
	}
}

// Where a file cannot be reviewed, the object says so and nothing else is written.
func TestReviewJSONThatFails(t *testing.T) {
	t.Parallel()
	h := newHome(t)
	bad := filepath.Join(h.dir, "bad.mid")
	require.NoError(t, os.WriteFile(bad, []byte("no MIDI at all"), 0o600))
	for _, args := range [][]string{
		{"review", bad, "--json"}, {"review", "none.mid", "--json"},
		{"review", long(50).save(t, h.dir, "long.mid"), "--chart", "blues", "--meant", "99", "--json"},
	} {
		r := h.run(args...)
		assert.Equal(t, exitFailed, r.code, args)
		assert.Empty(t, r.out, args)
		assert.True(t, strings.HasPrefix(r.err, `{"schema":1,"error":`) && json.Valid([]byte(r.err)), "%s: %s", args, r.err)
	}
}

// The folder of the takes is moved while a session plays: that is shown, and the
// last sentence names where the take is.
func TestTakesFolderMoved(t *testing.T) {
	t.Parallel()
	h := newHome(t)
	c := h.open(sizes()[1], h.command("listen", "--in", long(1000).save(t, h.dir, "long.mid")))
	c.playing(5)
	before := journal(t, h.takes())
	require.NoError(t, os.Rename(h.takes(), h.takes()+"-moved"))
	c.shows("the take had gone and is written anew")
	c.typed("q")
	assert.Zero(t, c.wait())
	c.restored()
	kept := h.takeSaved()
	assert.Equal(t, strings.TrimSuffix(before, ".journal"), strings.TrimSuffix(kept, ".mid"))
	findings, _ := h.reviewed(kept)
	assert.GreaterOrEqual(t, len(findings), 5)
}

// What a killed session left is a take for whatever runs next, and one that is being
// played is told of.
func TestWhateverRunsNextRecovers(t *testing.T) {
	t.Parallel()
	for name, next := range map[string][]string{
		"review of a file":     {"review", "short.mid"},
		"review of the takes":  {"review", filepath.Join("data", "shedlight", "takes")},
		"listen without ports": {"listen", "--in", "no such port"},
		"listen to a file":     {"listen", "--in", "short.mid", "--no-take", "--plain"},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			h := newHome(t)
			sung(60, 62).save(t, h.dir, "short.mid")
			slow := h.start(h.command("listen", "--in", long(2000).save(t, h.dir, "slow.mid"), "--json"))
			until(t, "a note is written", func() bool {
				found, err := filepath.Glob(filepath.Join(h.takes(), "*.journal"))
				require.NoError(t, err)
				if len(found) == 0 {
					return false
				}
				data, err := os.ReadFile(found[0])
				return err == nil && bytes.Count(data, []byte(`{"watermark":`)) >= 2
			})
			cut := strings.TrimSuffix(journal(t, h.takes()), ".journal")
			assert.Contains(t, h.run("review", h.takes()).err, cut+".journal: not a take yet, a session is writing it\n")
			require.NoError(t, slow.command.Process.Kill())
			slow.wait()
			r := h.run(next...)
			assert.Contains(t, r.err, "recovered the take of a session that was cut off: ")
			assert.Equal(t, cut+".mid", theTake(t, h.takes()))
			if name == "review of the takes" {
				assert.Contains(t, r.out, filepath.Base(cut)+".mid")
			}
		})
	}
}
