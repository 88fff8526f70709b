//go:build unix

package disk_test

import (
	"net"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/sys/unix"

	"shedlight/listen/disk"
)

func TestRead(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "file")
	require.NoError(t, os.WriteFile(file, []byte("abc"), 0o600))
	link := filepath.Join(dir, "link")
	require.NoError(t, os.Symlink(file, link))
	for _, path := range []string{file, link} {
		text, err := disk.Read(path, 3)
		require.NoError(t, err)
		require.Equal(t, "abc", string(text))
		text, err = disk.Read(path, 1)
		require.NoError(t, err)
		require.Equal(t, "ab", string(text), "one byte more than asked for")
	}
	_, err := disk.Read(filepath.Join(dir, "none"), 3)
	require.ErrorIs(t, err, os.ErrNotExist)
}

// What is no file is refused at once: none of these would ever end.
func TestWhatIsNoFile(t *testing.T) {
	dir := t.TempDir()
	pipe := filepath.Join(dir, "pipe")
	require.NoError(t, unix.Mkfifo(pipe, 0o600))
	t.Chdir(dir)
	const socket = "socket" // the name of one may have some hundred bytes at most
	listening, err := net.Listen("unix", socket)
	require.NoError(t, err)
	defer listening.Close()
	for path, is := range map[string]string{
		pipe: "a pipe", socket: "a socket", dir: "a folder", "/dev/zero": "a device",
	} {
		_, err := disk.Read(path, 3)
		require.EqualError(t, err, path+": "+is+", expected a file")
	}
}
