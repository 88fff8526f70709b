//go:build unix

package take_test

import (
	"bufio"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/listen/take"
)

// The test program plays the recording process too: childMode says how, and
// its value starts the folder.
const (
	childMode   = "SHEDLIGHT_TEST_RECORD"
	childPlay   = "play:"  // record until killed, telling what was written
	childLimit  = "limit:" // record with files of at most sizeLimit bytes
	sizeLimit   = 600      // bytes
	childEvents = 20_000   // enough to be killed at any point of
	batch       = 10       // events a second
)

func TestMain(m *testing.M) {
	mode := os.Getenv(childMode)
	switch {
	case strings.HasPrefix(mode, childPlay):
		record(strings.TrimPrefix(mode, childPlay))
	case strings.HasPrefix(mode, childLimit):
		limit := syscall.Rlimit{Cur: sizeLimit, Max: sizeLimit}
		if err := syscall.Setrlimit(syscall.RLIMIT_FSIZE, &limit); err != nil {
			fail(err)
		}
		recordLimited(strings.TrimPrefix(mode, childLimit))
	default:
		os.Exit(m.Run())
	}
}

func fail(err error) {
	fmt.Fprintln(os.Stderr, err)
	os.Exit(1)
}

// record plays the phrase, a batch a second, and says how many events are
// written after each.
func record(dir string) {
	ticks := make(chan time.Time)
	r, err := take.Start(dir, take.Settings{}, start, take.Options{Ticks: ticks})
	if err != nil {
		fail(err)
	}
	for i, e := range phrase(childEvents / 2) {
		r.Add(e)
		if n := i + 1; n%batch == 0 {
			second(ticks)
			fmt.Println(n)
		}
	}
	select {} // to be killed
}

func recordLimited(dir string) {
	ticks := make(chan time.Time)
	// The chart stands in the take twice, so that the take would be too long.
	chart := strings.Repeat("| Cm7 F7 ", 25)
	r, err := take.Start(dir, take.Settings{Chart: chart}, start, take.Options{Ticks: ticks})
	if err != nil {
		fail(err)
	}
	for i, e := range phrase(200) {
		r.Add(e)
		if i%batch == 0 {
			second(ticks)
		}
	}
	fmt.Println(r.Status().Err)
	_, err = r.Close(0)
	fmt.Println(err)
}

func child(t *testing.T, mode string) *exec.Cmd {
	program, err := os.Executable()
	require.NoError(t, err)
	command := exec.Command(program)
	command.Env = append(os.Environ(), childMode+"="+mode)
	command.Stderr = os.Stderr
	return command
}

// Killed at any moment, a recording loses at most its last second.
func TestKilled(t *testing.T) {
	for _, seconds := range []int{1, 2, 17, 230} {
		dir := t.TempDir()
		recording := child(t, childPlay+dir)
		output, err := recording.StdoutPipe()
		require.NoError(t, err)
		require.NoError(t, recording.Start())
		lines := bufio.NewScanner(output)
		written := 0
		for range seconds {
			require.True(t, lines.Scan())
			_, err = fmt.Sscan(lines.Text(), &written)
			require.NoError(t, err)
		}
		// Still alive, or the loop above had ended early.
		paths, err := take.Recover(dir, nil)
		require.NoError(t, err)
		require.Empty(t, paths, "a live journal is left alone")
		require.NoError(t, recording.Process.Kill())
		for lines.Scan() { // what it still said before it was killed
			_, err = fmt.Sscan(lines.Text(), &written)
			require.NoError(t, err)
		}
		assert.ErrorContains(t, recording.Wait(), "killed")

		require.Equal(t, []string{startName + ".journal", startName + ".lock"}, names(t, dir))
		got := recovered(t, dir)
		assert.GreaterOrEqual(t, len(got), written)
		assert.True(t, isPrefix(got, phrase(childEvents/2)))
		t.Logf("%d events written when killed, %d recovered", written, len(got))
	}
}

// A file that may not grow is like a full disk. (The system also sends SIGXFSZ,
// which must not end the program.)
func TestFileSizeLimit(t *testing.T) {
	dir := t.TempDir()
	output, err := child(t, childLimit+dir).Output()
	require.NoError(t, err)
	status, closing, _ := strings.Cut(string(output), "\n")
	assert.Contains(t, status, "file too large")
	assert.Contains(t, closing, "the take stays in "+filepath.Join(dir, startName+".journal")+": ")
	assert.Contains(t, closing, "file too large")
	require.Equal(t, []string{startName + ".journal"}, names(t, dir))
	info, err := os.Stat(filepath.Join(dir, startName+".journal"))
	require.NoError(t, err)
	assert.Equal(t, int64(sizeLimit), info.Size())

	got := recovered(t, dir)
	assert.Greater(t, len(got), batch)
	assert.True(t, isPrefix(got, phrase(200)))
}
