//go:build unix

package take_test

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"

	"shedlight/listen/smf"
	"shedlight/listen/take"
)

// The folder of the takes goes while one is written: the next flush writes all of it
// anew, in its old place.
func TestFolderGoes(t *testing.T) {
	for name, goes := range map[string]func(dir string) error{
		"deleted": os.RemoveAll,
		"moved":   func(dir string) error { return os.Rename(dir, dir+"-elsewhere") },
		"emptied": func(dir string) error {
			names, err := filepath.Glob(filepath.Join(dir, "*"))
			for _, name := range names {
				if err == nil && !strings.HasSuffix(name, ".lock") { // which comes and goes
					err = os.Remove(name)
				}
			}
			return err
		},
		"its journal deleted": func(dir string) error { return os.Remove(filepath.Join(dir, startName+".journal")) },
	} {
		t.Run(name, func(t *testing.T) {
			dir := filepath.Join(t.TempDir(), "takes")
			r, ticks := begin(t, dir, take.Settings{}, nil)
			events := phrase(40)
			addAll(r, events[:40])
			second(ticks)
			require.Zero(t, r.Status().Anew)
			require.NoError(t, goes(dir))
			second(ticks)
			require.Equal(t, 1, r.Status().Anew)
			require.NoError(t, r.Status().Err)
			addAll(r, events[40:])
			path, err := r.Close(events[len(events)-1].Tick)
			require.NoError(t, err)
			require.Equal(t, dir, filepath.Dir(path))
			kept, err := take.Load(path, smf.Selection{})
			require.NoError(t, err)
			require.Equal(t, events, slices.Collect(kept.Events))
			for _, folder := range []string{dir, dir + "-elsewhere"} {
				recovered, err := take.Recover(folder, nil)
				require.NoError(t, err)
				require.Empty(t, recovered, "there is no second take of it")
			}
			require.Len(t, listed(t, dir), 1)
		})
	}
}

// Where the folder cannot be made again the take is lost, and that is said.
func TestFolderGoesForGood(t *testing.T) {
	above := filepath.Join(t.TempDir(), "above")
	r, ticks := begin(t, filepath.Join(above, "takes"), take.Settings{}, nil)
	addAll(r, phrase(4))
	second(ticks)
	require.Eventually(t, func() bool { // the write that is under way may make the folder anew
		return os.RemoveAll(above) == nil && os.WriteFile(above, nil, 0o600) == nil
	}, time.Minute, time.Millisecond)
	second(ticks)
	require.Error(t, r.Status().Err)
	_, err := r.Close(4000)
	require.ErrorContains(t, err, "the take is lost")
}

// Nobody else reads what is practised.
func TestTakesArePrivate(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "above", "takes")
	r, ticks := begin(t, dir, take.Settings{}, nil)
	addAll(r, phrase(4))
	second(ticks)
	private := func() {
		names := listed(t, dir)
		require.NotEmpty(t, names)
		for _, name := range names {
			info, err := os.Lstat(filepath.Join(dir, name))
			require.NoError(t, err)
			require.Zero(t, info.Mode()&0o077, name)
		}
	}
	private()
	_, err := r.Close(4000)
	require.NoError(t, err)
	private()
	for _, folder := range []string{dir, filepath.Dir(dir)} {
		info, err := os.Stat(folder)
		require.NoError(t, err)
		require.Zero(t, info.Mode()&0o077, folder)
	}
}

// A link in the place of a lock is no way to another file.
func TestLockIsNoLink(t *testing.T) {
	dir := t.TempDir()
	target := filepath.Join(t.TempDir(), "target")
	lock := filepath.Join(dir, startName+".lock")
	require.NoError(t, os.Symlink(target, lock))
	_, err := take.Start(dir, take.Settings{}, start, take.Options{})
	require.Error(t, err)
	_, err = os.Lstat(target)
	require.ErrorIs(t, err, os.ErrNotExist, "nothing was made there")
}

// A pipe in the place of a lock keeps nobody waiting.
func TestLockIsAPipe(t *testing.T) {
	dir := t.TempDir()
	base := filepath.Join(dir, startName)
	require.NoError(t, os.WriteFile(base+".journal", nil, 0o600))
	require.NoError(t, unix.Mkfifo(base+".lock", 0o600))
	_, err := take.Recover(dir, nil)
	require.NoError(t, err)
	require.Empty(t, listed(t, dir), "it was held, and nothing was in the journal")
}

func listed(t *testing.T, dir string) (names []string) {
	t.Helper()
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	for _, e := range entries {
		names = append(names, e.Name())
	}
	return names
}
