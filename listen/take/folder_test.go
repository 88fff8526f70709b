package take_test

import (
	"os"
	"path/filepath"
	"slices"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/listen/take"
)

// A fault in the writer ends the recording, not the program.
func TestFaultInTheWriter(t *testing.T) {
	r, _ := begin(t, t.TempDir(), take.Settings{}, brokenFiles{&disk{}})
	_, err := r.Close(0)
	assert.NoError(t, err, "nothing was written, so nothing is there")
	assert.ErrorContains(t, r.Status().Err, "the recorder has stopped: no such luck")
}

type brokenFiles struct{ *disk }

type brokenFile struct{ *os.File }

func (brokenFiles) Create(path string) (take.File, error) {
	file, err := os.Create(path)
	return brokenFile{file}, err
}
func (brokenFile) Write([]byte) (int, error) { panic("no such luck") }

// On a file system without hard links a take is placed by renaming, and still
// replaces nothing.
func TestWithoutLinks(t *testing.T) {
	dir := t.TempDir()
	d := &disk{room: -1, link: syscall.EPERM}
	r, _ := begin(t, dir, take.Settings{}, d)
	require.NoError(t, os.WriteFile(filepath.Join(dir, startName+".mid"), nil, 0o644))
	addAll(r, phrase(3))
	path, err := r.Close(3000)
	require.NoError(t, err)
	assert.Equal(t, filepath.Join(dir, startName+"-2.mid"), path)
	assert.Equal(t, phrase(3), slices.Collect(load(t, path).Events))
	assert.Equal(t, []string{startName + "-2.mid", startName + ".mid"}, names(t, dir))
}

func TestUnderARegularFile(t *testing.T) {
	file := filepath.Join(t.TempDir(), "file")
	require.NoError(t, os.WriteFile(file, nil, 0o644))
	for _, dir := range []string{file, filepath.Join(file, "takes")} {
		_, err := take.Start(dir, take.Settings{}, start, take.Options{})
		assert.ErrorContains(t, err, "the takes folder: ")
		assert.ErrorContains(t, err, "not a directory")
		assert.NotContains(t, err.Error(), "\n")
		_, err = take.Recover(dir, nil)
		assert.Error(t, err)
	}
}
