//go:build unix

package main

import (
	"context"
	"io"
	"iter"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/cmd/shedlight/internal/settings"
	"shedlight/cmd/shedlight/internal/tunes"
	"shedlight/listen/beat"
	"shedlight/listen/hands"
	"shedlight/listen/sound"
	"shedlight/listen/take"
)

// fault is what the faulty parts below panic with.
const fault = "no such luck"

// faultAfter is the note with which they do.
const faultAfter = 20

// steady is a source that plays a note every 40 ms until it is ended, and asks for a
// mark with faultAfter, when it calls what may be broken.
type steady struct{ broken func() }

func (s steady) Events(ctx context.Context, wake <-chan struct{}) iter.Seq2[analyse.Event, error] {
	return func(yield func(analyse.Event, error) bool) {
		ticker := time.NewTicker(20 * time.Millisecond)
		defer ticker.Stop()
		tick := int64(0)
		for n := 0; ; {
			e := analyse.Event{Tick: tick, Kind: analyse.Advance}
			select {
			case <-ctx.Done():
				return
			case <-wake:
			case <-ticker.C:
				tick += 40
				e = analyse.Event{Tick: tick, Kind: analyse.NoteOn, Key: 60, Velocity: uint8(n % 2 * 80)}
				if n++; n == 2*faultAfter {
					e = analyse.Event{Tick: tick, Kind: analyse.Asked, Value: int64(beat.Mark)}
					if s.broken != nil {
						s.broken()
					}
				}
			}
			if !yield(e, nil) {
				return
			}
		}
	}
}

func (steady) Close() error { return nil }

// faultyFiles are written on until the second flush.
type faultyFiles struct{ take.Files }

type faultyFile struct {
	*os.File
	writes *int
}

func (faultyFiles) Create(path string) (take.File, error) {
	file, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_RDWR, 0o600)
	return faultyFile{File: file, writes: new(int)}, err
}

func (f faultyFile) Write(b []byte) (int, error) {
	if *f.writes++; *f.writes > 2 && strings.Contains(f.Name(), ".journal") {
		panic(fault)
	}
	return f.File.Write(b)
}

func (faultyFiles) Link(from, to string) error { return os.Link(from, to) }
func (faultyFiles) SyncDir(string)             {}

// faultyWriter cannot be told of a mark.
type faultyWriter struct{ io.Writer }

func (w faultyWriter) Write(b []byte) (int, error) {
	if strings.HasPrefix(string(b), "-- "+hands.Word(beat.Mark)) {
		panic(fault)
	}
	return w.Writer.Write(b)
}

// beFaulty becomes a session of which one thread has a fault.
func beFaulty(where string) int {
	p := &program{in: os.Stdin, out: os.Stdout, messages: os.Stderr}
	broken := func() { panic(fault) }
	return p.guarded(func() int {
		tune, err := tunes.Of(settings.Tune{Centre: "F major"}, settings.Hand{}, nil)
		if err != nil {
			return p.exitCode(err)
		}
		plan := &sessionPlan{tune: tune, source: steady{}, name: "Keys", command: &listenCommand{}}
		switch where {
		case "session":
			plan.source = steady{broken: broken}
		case "screen":
			plan.press = func(rune) bool { broken(); return true }
		case "lines":
			plan.json, p.messages = true, faultyWriter{os.Stderr}
		case "recorder":
			plan.files = faultyFiles{}
		case "conductor":
			plan.sound = p.startSound(settings.Sound{Sound: "midi", Out: "no such instrument", Click: "beats"}, settings.BandChannels{}, "", true, soundWithin)
			zero := time.Now()
			plan.sound.zero = func() time.Time { return zero }
			plan.sound.line = func() *beat.Line { panic(fault) }
		}
		return p.exitCode(p.play(plan))
	})
}

// A fault of ours, in whichever thread of a session, gives the terminal back, saves
// the take, and is told with where its report is, which names the thread's own
// function. A fault of the recorder or of the conductor is seen, and playing goes on.
func TestAnyThreadCrashes(t *testing.T) {
	t.Parallel()
	self, err := os.Executable()
	require.NoError(t, err)
	for where, test := range map[string]struct {
		cause func(c *console)
		stack string
	}{
		"session": {stack: "steady.Events"},
		"screen": {stack: "display.(*Screen).Run", cause: func(c *console) {
			c.playing(faultAfter)
			c.typed("x")
		}},
		"lines": {stack: "faultyWriter.Write"},
		"recorder": {stack: "faultyFile.Write", cause: func(c *console) {
			c.shows("not saved: the recorder has stopped: " + fault)
			c.playing(counted(c.text()) + 5)
			c.typed("q")
		}},
		"conductor": {stack: "(*Process).Conduct", cause: func(c *console) {
			c.shows("no sound: " + fault)
			c.playing(faultAfter)
			c.typed("q")
		}},
	} {
		t.Run(where, func(t *testing.T) {
			t.Parallel()
			h := newHome(t)
			command := h.command()
			command.Path = self
			command.Env = append(command.Env, crashVariable+"="+where)
			c := h.open(sizes()[1], command)
			if test.cause != nil {
				test.cause(c)
			}
			assert.Equal(t, exitFailed, c.wait(), c.text())
			c.restored()
			log := filepath.Join(h.dir, "state", crashLog)
			c.until("the crash is told", func(screen string) bool {
				said := strings.Join(strings.Fields(screen), "") // folded by the terminal
				return strings.Contains(said, "shedlighthascrashed:") && strings.Contains(said, strings.Join(strings.Fields(fault), "")) &&
					strings.Contains(said, "Thereportisin"+log+":pleasesendittous.")
			})
			report, err := os.ReadFile(log)
			require.NoError(t, err)
			assert.Contains(t, string(report), test.stack)
			findings, _ := h.reviewed(h.takeSaved())
			assert.GreaterOrEqual(t, len(findings), faultAfter-1)
		})
	}
}

// soundProcess returns the number of the process in which a session sounds.
func (c *console) soundProcess() int {
	c.t.Helper()
	// Any thread may have started it.
	lists, err := filepath.Glob(filepath.Join("/proc", strconv.Itoa(c.command.Process.Pid), "task", "*", "children"))
	require.NoError(c.t, err)
	for _, list := range lists {
		children, _ := os.ReadFile(list) // of a thread that has ended: none
		for _, child := range strings.Fields(string(children)) {
			words, _ := os.ReadFile(filepath.Join("/proc", child, "cmdline"))
			if strings.Contains(string(words), sound.Argument) {
				pid, err := strconv.Atoi(child)
				require.NoError(c.t, err)
				return pid
			}
		}
	}
	c.t.Fatal("the session has no sound process")
	return 0
}

// A sound process that crashes is told of while the session goes on, and at its end
// with where the report is.
func TestTheSoundCrashes(t *testing.T) {
	t.Parallel()
	if runtime.GOOS != "linux" {
		t.Skip("there is no list of a process's children")
	}
	h := newHome(t)
	c := h.open(sizes()[1], h.command("demo", "--sound", "midi", "--out", "no such instrument"))
	c.playing(1)
	require.NoError(t, syscall.Kill(c.soundProcess(), syscall.SIGSEGV))
	c.shows("no sound: the sound process has ended: exit status 2")
	c.playing(counted(c.text()) + 1)
	c.typed("q")
	assert.Zero(t, c.wait())
	c.restored()
	log := filepath.Join(h.dir, "state", crashLog)
	c.until("the crash is told", func(screen string) bool {
		return strings.Contains(strings.Join(strings.Fields(screen), ""), "Thereportisin"+log+":")
	})
	report, err := os.ReadFile(log)
	require.NoError(t, err)
	assert.Contains(t, string(report), "SIGSEGV")
}
