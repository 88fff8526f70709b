//go:build unix

package sound

import (
	"bufio"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The test program plays the other processes too. fakeLog names the file in which
// a sound process with a fake instrument writes what it sends; sessionMode makes
// it a session that strikes a note and waits.
const (
	fakeLog      = "SHEDLIGHT_TEST_SOUND"
	sessionMode  = "SHEDLIGHT_TEST_SESSION"
	sessionLimit = 20 * time.Second
	// soon is long enough for a command to cross a busy machine.
	soon = 300 * time.Millisecond
)

func TestMain(m *testing.M) {
	switch {
	case len(os.Args) > 2 && os.Args[1] == Argument && os.Getenv(fakeLog) != "":
		os.Exit(fakeMain(os.Getenv(fakeLog)))
	case len(os.Args) > 2 && os.Args[1] == Argument:
		os.Exit(Main(os.Args[2]))
	case os.Getenv(sessionMode) != "":
		sessionMain()
	}
	runTests(m)
}

// fakeMain is Main with an instrument that is a file.
func fakeMain(path string) int {
	log, err := os.OpenFile(path, os.O_CREATE|os.O_APPEND|os.O_WRONLY, 0o600)
	if err != nil {
		return 1
	}
	ignoreSignals()
	begun := time.Now()
	send := newReports(os.Stdout)
	serve(os.Stdin, begun, send, newMIDI(begun, send, func() (port, string, error) {
		return filePort{log: log}, "Fake", nil
	}, channelsOf(Options{})))
	return 0
}

// filePort writes each message and its time on the wall clock, one a line.
type filePort struct{ log *os.File }

func (p filePort) Send(b []byte) error {
	_, err := fmt.Fprintf(p.log, "%d %s\n", time.Now().UnixMicro(), hex(b))
	return err
}

func (p filePort) Leads() bool { return true }

func (p filePort) Close() {}

// sessionMain holds a note, tells the number of its sound process, and waits to
// be killed.
func sessionMain() {
	p, err := Start(Options{MIDI: true}, func(Report) {})
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	zero := time.Now()
	p.Begin(zero)
	p.SetLevel(MaxLevel)
	fmt.Println(p.command.Process.Pid)
	for time.Since(zero) < sessionLimit { // until one is not too late
		p.Send(Command{Kind: Strike, Voice: Piano, Key: 60, Velocity: 90, At: time.Since(zero) + soon, For: time.Minute})
		<-time.After(2 * soon)
	}
	os.Exit(1)
}

// sounding is a running sound process with a fake instrument.
type sounding struct {
	*Process
	t    *testing.T
	log  string
	zero time.Time
	mu   sync.Mutex
	said []Report
}

func startProcess(t *testing.T) *sounding {
	s := &sounding{t: t, log: filepath.Join(t.TempDir(), "sent")}
	t.Setenv(fakeLog, s.log)
	var err error
	s.Process, err = Start(Options{MIDI: true}, func(r Report) {
		s.mu.Lock()
		defer s.mu.Unlock()
		s.said = append(s.said, r)
	})
	require.NoError(t, err)
	t.Cleanup(func() { _ = s.Close() }) // where it counts it is checked
	s.zero = time.Now()
	s.Begin(s.zero)
	s.SetLevel(MaxLevel)
	return s
}

func (s *sounding) news() []News {
	s.mu.Lock()
	defer s.mu.Unlock()
	var list []News
	for _, r := range s.said {
		list = append(list, r.News)
	}
	return list
}

// sent returns what the instrument got, without sensing, and when.
func sent(t *testing.T, log string) (messages []string, times []time.Time) {
	text, err := os.ReadFile(log)
	if os.IsNotExist(err) {
		return nil, nil
	}
	require.NoError(t, err)
	for line := range strings.Lines(string(text)) {
		at, message, whole := strings.Cut(strings.TrimSuffix(line, "\n"), " ")
		if micros, err := strconv.ParseInt(at, 10, 64); whole && err == nil && message != "FE" {
			messages, times = append(messages, message), append(times, time.UnixMicro(micros))
		}
	}
	return messages, times
}

// eventually waits for a condition.
func eventually(t *testing.T, what string, met func() bool) {
	t.Helper()
	require.Eventually(t, met, sessionLimit, 2*time.Millisecond, what)
}

func holds(t *testing.T, log, message string) func() bool {
	return func() bool {
		messages, _ := sent(t, log)
		return slices.Contains(messages, message)
	}
}

// letGo are the messages that let everything go.
func letGo() []string {
	var list []string
	for channel := range byte(midiChannels) {
		list = append(list, hex([]byte{control | channel, allNotesOff, 0}))
	}
	return list
}

func TestProcessPlaysAndEnds(t *testing.T) {
	s := startProcess(t)
	eventually(t, "the instrument is there", holds(t, s.log, "C2 04"))
	s.Send(Command{Kind: Strike, Voice: Piano, Key: 60, Velocity: 90, At: time.Since(s.zero) + soon, For: time.Minute})
	eventually(t, "the note sounds", holds(t, s.log, "92 3C 5A"))
	require.NoError(t, s.Close())
	messages, _ := sent(t, s.log)
	want := []string{"C1 20", "C2 04", "92 3C 5A"}
	for range 2 { // what is lost once is heard the second time
		want = append(append(want, "82 3C 00"), letGo()...)
	}
	assert.Equal(t, want, messages)
	assert.Equal(t, []News{Sounding}, s.news(), "the end that was asked for is no loss")
	require.NoError(t, s.Close(), "a second time")
}

// The two processes count from the same moment: a note comes when it is due, and
// never before.
func TestProcessesAgreeOnTime(t *testing.T) {
	s := startProcess(t)
	eventually(t, "the instrument is there", holds(t, s.log, "C2 04"))
	begun := time.Since(s.zero) + soon
	var late []time.Duration
	for n := range 20 {
		s.Send(Command{Kind: Strike, Voice: Piano, Key: uint8(60 + n), Velocity: 90, At: begun + time.Duration(n)*20*time.Millisecond, For: time.Minute})
	}
	eventually(t, "the last note sounds", holds(t, s.log, "92 4F 5A"))
	_, times := sent(t, s.log)
	for n, at := range times[2:22] {
		late = append(late, at.Sub(s.zero.Round(0))-begun-time.Duration(n)*20*time.Millisecond)
	}
	slices.Sort(late)
	t.Logf("late: %v to %v, median %v", late[0], late[19], late[10])
	assert.Greater(t, late[0], -time.Millisecond)
}

func TestSignalsDoNotEndIt(t *testing.T) {
	s := startProcess(t)
	eventually(t, "it is there", holds(t, s.log, "C2 04"))
	for i, signal := range []syscall.Signal{syscall.SIGTERM, syscall.SIGINT, syscall.SIGHUP, syscall.SIGQUIT, syscall.SIGTERM} {
		require.NoError(t, s.command.Process.Signal(signal))
		key := uint8(60 + i)
		s.Send(Command{Kind: Strike, Voice: Piano, Key: key, Velocity: 90, At: time.Since(s.zero) + soon, For: time.Minute})
		eventually(t, signal.String(), holds(t, s.log, hex([]byte{noteOn | pianoChannel, key, 90})))
	}
	require.NoError(t, s.Close())
}

// A session that is killed takes everything that sounds with it.
func TestAKilledSessionLeavesNothingSounding(t *testing.T) {
	log := filepath.Join(t.TempDir(), "sent")
	binary, err := os.Executable()
	require.NoError(t, err)
	session := exec.Command(binary)
	session.Env = append(os.Environ(), fakeLog+"="+log, sessionMode+"=1")
	out, err := session.StdoutPipe()
	require.NoError(t, err)
	require.NoError(t, session.Start())
	line, err := bufio.NewReader(out).ReadString('\n')
	require.NoError(t, err)
	child, err := strconv.Atoi(strings.TrimSpace(line))
	require.NoError(t, err)
	eventually(t, "the note sounds", holds(t, log, "92 3C 5A"))
	killed := time.Now()
	require.NoError(t, session.Process.Kill())
	_ = session.Wait() // killed, as it should be
	last := letGo()[midiChannels-1]
	eventually(t, "all is let go", holds(t, log, last))
	messages, times := sent(t, log)
	end := len(messages) - midiChannels - 2
	assert.Equal(t, append([]string{"92 3C 5A", "82 3C 00"}, letGo()...), messages[end:])
	t.Logf("let go %v to %v after the kill", times[end+1].Sub(killed), times[len(times)-1].Sub(killed))
	eventually(t, "the sound process has ended", func() bool { return gone(child) })
}

// gone reports whether a process has ended, waited for or not.
func gone(pid int) bool {
	if syscall.Kill(pid, 0) != nil {
		return true
	}
	stat, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", pid))
	return err == nil && strings.Contains(string(stat), ") Z ")
}

// A sound process that stands still costs the session nothing but what it is
// sent; it is ended at the end.
func TestAProcessThatStandsStill(t *testing.T) {
	s := startProcess(t)
	eventually(t, "it is there", holds(t, s.log, "C2 04"))
	require.NoError(t, s.command.Process.Signal(syscall.SIGSTOP))
	many := make([]Command, 1000)
	for i := range many {
		many[i] = Command{Kind: Forget, At: time.Hour}
	}
	for range 500 { // far more than the pipe holds, and none of it waits
		s.Send(many...)
	}
	assert.NotZero(t, s.Dropped())
	assert.ErrorIs(t, s.Close(), errHung)
	assert.True(t, gone(s.command.Process.Pid))
}

func TestAProcessThatDiesIsSaid(t *testing.T) {
	s := startProcess(t)
	eventually(t, "it is there", holds(t, s.log, "C2 04"))
	require.NoError(t, s.command.Process.Kill())
	eventually(t, "its end is said", func() bool { return slices.Contains(s.news(), LostSound) })
	s.Send(Command{Kind: Quiet}) // nobody is there, and nothing happens
	require.EqualError(t, s.Close(), "signal: killed")
}

// A crash of what takes the reports ends nothing but that; the end tells it.
func TestACrashOfWhoIsTold(t *testing.T) {
	t.Setenv(fakeLog, filepath.Join(t.TempDir(), "sent"))
	p, err := Start(Options{MIDI: true}, func(Report) { panic("no such luck") })
	require.NoError(t, err)
	eventually(t, "it has crashed", func() bool { return p.fault.Load() != nil })
	p.SetLevel(MaxLevel)
	require.EqualError(t, p.Close(), "no such luck")
	require.NoError(t, p.command.Wait(), "the sound process ends by itself")
}

// A process that dies while it is told to end did not end well.
func TestABadEndIsSaid(t *testing.T) {
	s := startProcess(t)
	eventually(t, "it is there", holds(t, s.log, "C2 04"))
	require.NoError(t, s.command.Process.Signal(syscall.SIGSTOP))
	s.End()
	require.NoError(t, s.command.Process.Kill())
	assert.EqualError(t, s.Close(), "signal: killed")
}

// A session that reads no reports: the pipe is full, and notes still come.
func TestASessionThatReadsNothing(t *testing.T) {
	log := filepath.Join(t.TempDir(), "sent")
	binary, err := os.Executable()
	require.NoError(t, err)
	command := exec.Command(binary, Argument, "{}")
	command.Env = append(os.Environ(), fakeLog+"="+log)
	in, err := command.StdinPipe()
	require.NoError(t, err)
	out, err := command.StdoutPipe() // and nobody reads it
	require.NoError(t, err)
	defer out.Close()
	require.NoError(t, command.Start())
	now := time.Now()
	epoch := Command{Kind: Epoch, At: time.Duration(now.UnixNano())}.encode(nil)
	for range 4000 { // each makes a report of some 40 bytes; a pipe holds 64 KB
		_, err := in.Write(append([]byte("garbage"), epoch...))
		require.NoError(t, err)
	}
	_, err = in.Write(Command{Kind: Volume, Velocity: MaxLevel}.encode(nil))
	require.NoError(t, err)
	sounds := holds(t, log, "92 3C 5A")
	struck := time.Duration(0)
	eventually(t, "a note sounds", func() bool {
		if at := time.Since(now); at > struck+soon { // a busy machine may read the one before too late
			struck = at + soon
			_, err := in.Write(Command{Kind: Strike, Voice: Piano, Key: 60, Velocity: 90, At: struck, For: soon}.encode(nil))
			require.NoError(t, err)
		}
		return sounds()
	})
	require.NoError(t, in.Close())
	require.NoError(t, command.Wait())
}

func TestManyProcessesLeaveNothing(t *testing.T) {
	const cycles = 50
	cycle := func() {
		p, err := Start(Options{MIDI: true}, func(Report) {})
		require.NoError(t, err)
		p.Begin(time.Now())
		require.NoError(t, p.Close())
	}
	t.Setenv(fakeLog, filepath.Join(t.TempDir(), "sent"))
	for range 5 {
		cycle()
	}
	threads, descriptors := count(t, "/proc/self/task"), count(t, "/proc/self/fd")
	for range cycles {
		cycle()
	}
	assert.LessOrEqual(t, count(t, "/proc/self/task"), threads+8)
	assert.LessOrEqual(t, count(t, "/proc/self/fd"), descriptors)
}

func TestWrongOptions(t *testing.T) {
	binary, err := os.Executable()
	require.NoError(t, err)
	err = exec.Command(binary, Argument, "no options").Run()
	var exit *exec.ExitError
	require.ErrorAs(t, err, &exit)
	assert.Equal(t, exitUsage, exit.ExitCode())
}
