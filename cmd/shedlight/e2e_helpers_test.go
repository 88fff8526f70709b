//go:build unix

package main

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/adrg/xdg"
	"github.com/charmbracelet/x/vt"
	"github.com/creack/pty"
	"github.com/stretchr/testify/require"
	"golang.org/x/term"

	"shedlight/listen/sound"
)

// These tests run the built program as a player does: in a terminal of its own,
// with pipes, with files. A terminal is a real pty, read by an emulator.

const (
	// stateLimit is how long a state is waited for that comes within a second
	// or two on a quiet machine.
	stateLimit = 20 * time.Second
	// lookEvery is how often a file or a process is looked at.
	lookEvery = 5 * time.Millisecond

	binaryVariable = "SHEDLIGHT_TEST_BINARY" // where the program under test is
	noiseVariable  = "SHEDLIGHT_TEST_NOISE"  // asks the test program to be a noisy driver
	limitVariable  = "SHEDLIGHT_TEST_LIMIT"  // asks it to be the program with files of so many bytes at most
	crashVariable  = "SHEDLIGHT_TEST_CRASH"  // asks it to be a session with a fault in one of its threads
)

func TestMain(m *testing.M) {
	if isSound() {
		os.Exit(sound.Main(os.Args[2]))
	}
	asPlayer()
	if _, ok := os.LookupEnv(noiseVariable); ok {
		os.Exit(beNoisy())
	}
	if bytes, ok := os.LookupEnv(limitVariable); ok {
		panic(beLimited(bytes))
	}
	if where, ok := os.LookupEnv(crashVariable); ok {
		os.Exit(beFaulty(where))
	}
	os.Exit(withProgram(m.Run))
}

// withProgram builds the program, runs the tests and removes it.
func withProgram(tests func() int) int {
	dir, err := os.MkdirTemp("", "shedlight")
	if err != nil {
		panic(err)
	}
	defer os.RemoveAll(dir)
	binary := filepath.Join(dir, "shedlight")
	build := exec.Command("go", "build", "-o", binary, ".")
	build.Env = append(os.Environ(), buildEnvironment()...)
	if said, err := build.CombinedOutput(); err != nil {
		panic(string(said))
	}
	if err := errors.Join(os.Setenv(binaryVariable, binary), os.Setenv("LC_ALL", "C.UTF-8"), os.Setenv("XDG_DATA_HOME", filepath.Join(dir, "data")),
		os.Setenv("XDG_CONFIG_HOME", filepath.Join(dir, "config"))); err != nil {
		panic(err)
	}
	xdg.Reload() // no test looks for the takes or the settings of whoever runs it
	return tests()
}

// home is a player's home folder, empty at the start.
type home struct {
	t   testing.TB
	dir string
}

func newHome(t testing.TB) home { return home{t: t, dir: t.TempDir()} }

// takes is the folder of takes that is used unless told otherwise.
func (h home) takes() string { return filepath.Join(h.dir, "data", "shedlight", "takes") }

func (h home) command(args ...string) *exec.Cmd {
	c := exec.Command(os.Getenv(binaryVariable), args...)
	c.Dir = h.dir
	c.Env = append(os.Environ(), "HOME="+h.dir, "XDG_DATA_HOME="+filepath.Join(h.dir, "data"),
		"XDG_STATE_HOME="+filepath.Join(h.dir, "state"), "XDG_CONFIG_HOME="+filepath.Join(h.dir, "config"),
		"TERM=xterm-256color", "COLORTERM=", "NO_COLOR=", "LC_ALL=", "LC_CTYPE=", "LANG=C.UTF-8", "COLUMNS=", "LINES=")
	return c
}

// result is what a run without a terminal came to.
type result struct {
	code     int
	out, err string
}

// run runs the program to its end, with pipes in place of a terminal.
func (h home) run(args ...string) result {
	h.t.Helper()
	return h.runs(h.command(args...))
}

func (h home) runs(c *exec.Cmd) result {
	h.t.Helper()
	var out, messages bytes.Buffer
	c.Stdout, c.Stderr = &out, &messages
	p := h.start(c)
	return result{code: p.wait(), out: out.String(), err: messages.String()}
}

// process is a running program. It does not outlive its test.
type process struct {
	t       testing.TB
	command *exec.Cmd
	ended   chan struct{}
}

func (h home) start(c *exec.Cmd) *process {
	h.t.Helper()
	require.NoError(h.t, c.Start())
	p := &process{t: h.t, command: c, ended: make(chan struct{})}
	go func() {
		defer close(p.ended)
		_ = c.Wait() // its state is looked at instead
	}()
	h.t.Cleanup(func() {
		if p.running() {
			_ = c.Process.Kill()
			<-p.ended
		}
	})
	return p
}

func (p *process) running() bool {
	select {
	case <-p.ended:
		return false
	default:
		return true
	}
}

func (p *process) signal(s os.Signal) {
	p.t.Helper()
	require.NoError(p.t, p.command.Process.Signal(s))
}

// wait waits for the end and returns the exit code, -1 after a signal.
func (p *process) wait() int {
	p.t.Helper()
	select {
	case <-p.ended:
	case <-time.After(stateLimit):
		p.t.Fatalf("%v does not end", p.command.Args)
	}
	return p.command.ProcessState.ExitCode()
}

// until waits for a state.
func until(t testing.TB, what string, met func() bool) time.Duration {
	t.Helper()
	begun := time.Now()
	ticker := time.NewTicker(lookEvery)
	defer ticker.Stop()
	for !met() {
		if time.Since(begun) > stateLimit {
			t.Fatalf("waited %v in vain: %s", stateLimit, what)
		}
		<-ticker.C
	}
	return time.Since(begun)
}

// console is a program in a terminal of its own.
type console struct {
	*process
	master, slave *os.File
	before        *term.State
	changed       chan struct{} // holds a token while the screen has changed

	mu       sync.Mutex
	emulator *vt.Emulator
	raw      []byte
	titles   []string                // what the terminal was told to call itself
	watch    func(arrived time.Time) // called when a piece of output is on the screen; nil for nothing
}

// size is a terminal's, in cells.
type size struct{ cols, rows int }

func (s size) winsize() *pty.Winsize { return &pty.Winsize{Cols: uint16(s.cols), Rows: uint16(s.rows)} }

// sizes are those the screen is made for.
func sizes() []size { return []size{{cols: 80, rows: 24}, {cols: 120, rows: 40}} }

// open starts a program in a terminal.
func (h home) open(s size, c *exec.Cmd) *console {
	h.t.Helper()
	return h.openUnread(s, c).read()
}

// openUnread starts a program in a terminal that takes nothing once its buffer
// is full.
func (h home) openUnread(s size, c *exec.Cmd) *console {
	h.t.Helper()
	master, slave, err := pty.Open()
	require.NoError(h.t, err)
	require.NoError(h.t, pty.Setsize(slave, s.winsize()))
	con := &console{master: master, slave: slave, changed: make(chan struct{}, 1), emulator: vt.NewEmulator(s.cols, s.rows)}
	con.emulator.SetCallbacks(vt.Callbacks{Title: func(title string) { con.titles = append(con.titles, title) }})
	h.t.Cleanup(con.close)
	con.before = con.modes(h.t)
	c.Stdin, c.Stdout, c.Stderr = slave, slave, slave
	c.SysProcAttr = &syscall.SysProcAttr{Setsid: true, Setctty: true}
	con.process = h.start(c)
	return con
}

func (c *console) close() {
	c.master.Close()
	c.slave.Close()
	c.emulator.InputPipe().(interface{ Close() error }).Close()
}

// read begins to read the terminal, and to answer what it is asked.
func (c *console) read() *console {
	go func() {
		buffer := make([]byte, 64<<10)
		for {
			n, err := c.master.Read(buffer)
			if err != nil {
				return
			}
			arrived := time.Now()
			c.mu.Lock()
			c.raw = append(c.raw, buffer[:n]...)
			_, _ = c.emulator.Write(buffer[:n]) // it fails when it is closed
			if c.watch != nil {
				c.watch(arrived)
			}
			c.mu.Unlock()
			select {
			case c.changed <- struct{}{}:
			default:
			}
		}
	}()
	go func() {
		answer := make([]byte, 1024)
		for {
			n, err := c.emulator.Read(answer)
			if err != nil {
				return
			}
			_, _ = c.master.Write(answer[:n]) // it fails when it is closed
		}
	}()
	return c
}

func (c *console) modes(t testing.TB) *term.State {
	t.Helper()
	modes, err := term.GetState(int(c.slave.Fd()))
	require.NoError(t, err)
	return modes
}

func (c *console) resize(s size) {
	c.t.Helper()
	c.mu.Lock()
	c.emulator.Resize(s.cols, s.rows)
	c.mu.Unlock()
	require.NoError(c.t, pty.Setsize(c.slave, s.winsize()))
}

func (c *console) typed(keys string) {
	c.t.Helper()
	_, err := c.master.WriteString(keys)
	require.NoError(c.t, err)
}

// playing waits until so many notes have been counted.
func (c *console) playing(notes int) {
	c.t.Helper()
	c.until(fmt.Sprintf("%d notes are counted", notes), func(screen string) bool {
		return counted(screen) >= notes
	})
}

// counted returns the number of notes that the running summary shows.
func counted(screen string) (notes int) {
	if found := regexp.MustCompile(`(?m)(\d+) notes?(  |$)`).FindStringSubmatch(screen); found != nil {
		notes, _ = strconv.Atoi(found[1])
	}
	return notes
}

// rows returns what is on the screen.
func (c *console) rows() []string {
	c.mu.Lock()
	defer c.mu.Unlock()
	rows := make([]string, c.emulator.Height())
	for y := range rows {
		rows[y] = c.row(y)
	}
	return rows
}

// row returns one row of the screen, which is locked.
func (c *console) row(y int) string {
	var row strings.Builder
	for x := range c.emulator.Width() {
		if cell := c.emulator.CellAt(x, y); cell != nil {
			row.WriteString(cell.Content)
		}
	}
	return strings.TrimRight(row.String(), " ")
}

func (c *console) text() string { return strings.Join(c.rows(), "\n") }

// until waits until the screen meets a condition.
func (c *console) until(what string, met func(screen string) bool) {
	c.t.Helper()
	limit := time.After(stateLimit)
	for !met(c.text()) {
		select {
		case <-c.changed:
		case <-limit:
			c.t.Fatalf("waited %v in vain: %s. The screen:\n%s", stateLimit, what, c.text())
		}
	}
}

// shows waits until the screen holds all of these.
func (c *console) shows(texts ...string) {
	c.t.Helper()
	c.until("the screen shows "+strings.Join(texts, ", "), func(screen string) bool {
		for _, text := range texts {
			if !strings.Contains(screen, text) {
				return false
			}
		}
		return true
	})
}

// taken reports whether the program has the terminal: the alternate screen, no
// cursor, keys one by one.
func (c *console) taken() bool {
	modes := c.modes(c.t)
	c.mu.Lock()
	defer c.mu.Unlock()
	return c.emulator.IsAltScreen() && c.emulator.CursorHidden() && *modes != *c.before
}

// restored waits until the terminal is as it was before the program.
func (c *console) restored() {
	c.t.Helper()
	c.until("the terminal is as before", func(string) bool {
		c.mu.Lock()
		defer c.mu.Unlock()
		return !c.emulator.IsAltScreen() && !c.emulator.CursorHidden()
	})
	require.Equal(c.t, c.before, c.modes(c.t), "the modes of the terminal")
}

// list returns the names in a folder; none where there is no folder.
func list(t testing.TB, dir string) []string {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if !errors.Is(err, os.ErrNotExist) {
		require.NoError(t, err)
	}
	var names []string
	for _, e := range entries {
		if !strings.HasSuffix(e.Name(), notesExt) { // kept beside a take
			names = append(names, e.Name())
		}
	}
	return names
}

// takeSaved waits until a session in this home has saved its take, and returns
// its path.
func (h home) takeSaved() (path string) {
	h.t.Helper()
	until(h.t, "the take is saved", func() bool {
		names := list(h.t, h.takes())
		return len(names) == 1 && filepath.Ext(names[0]) == ".mid"
	})
	return theTake(h.t, h.takes())
}

// theTake returns the path of the only file in a folder, which is a take.
func theTake(t testing.TB, dir string) string {
	t.Helper()
	names := list(t, dir)
	require.Len(t, names, 1)
	require.Equal(t, ".mid", filepath.Ext(names[0]))
	return filepath.Join(dir, names[0])
}
