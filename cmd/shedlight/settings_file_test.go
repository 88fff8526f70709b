package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/pelletier/go-toml/v2"
	"github.com/stretchr/testify/require"
)

// An empty file says nothing, and one that cannot be read is told.
func TestFilesOfSettings(t *testing.T) {
	for _, text := range []string{"", "\n\n", "# nothing\r\n", "\xef\xbb\xbf"} {
		configured(t, text)
		c, _ := under(t)
		require.Equal(t, listens(t), *c)
	}
	path := configured(t, "")
	require.NoError(t, os.Remove(path))
	require.NoError(t, os.Mkdir(path, 0o700))
	_, said, code := runHere(t, "settings")
	require.Equal(t, exitFailed, code)
	require.Equal(t, "shedlight: "+path+": a folder, expected a file\n", said)

	path = configured(t, strings.Repeat("#", 1<<20)+"\n")
	_, said, code = runHere(t, "settings")
	require.Equal(t, exitFailed, code)
	require.Contains(t, said, path+": longer than")
}

// The file is written once, for the player alone, and never over another.
func TestSettingsAreWrittenOnce(t *testing.T) {
	path := configured(t, "")
	folder := filepath.Dir(path)
	require.NoError(t, os.RemoveAll(folder))
	first, said, code := runHere(t, "settings")
	require.Equal(t, exitDone, code, said)
	require.Equal(t, "written: "+path+"\n", said)
	for name, want := range map[string]os.FileMode{path: 0o600, folder: 0o700} {
		info, err := os.Stat(name)
		require.NoError(t, err)
		require.Equal(t, want, info.Mode().Perm(), name)
	}
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	require.NoError(t, toml.Unmarshal(text, &map[string]any{}))
	again, said, code := runHere(t, "settings")
	require.Equal(t, exitDone, code, said)
	require.Empty(t, said)
	require.Equal(t, first, again)

	require.NoError(t, os.WriteFile(path, nil, 0o600))
	_, _, code = runHere(t, "settings")
	require.Equal(t, exitDone, code)
	text, err = os.ReadFile(path)
	require.NoError(t, err)
	require.Empty(t, text, "a file that is there is left alone")

	require.NoError(t, os.RemoveAll(folder))
	require.NoError(t, os.WriteFile(folder, nil, 0o600)) // no folder can be made there
	_, said, code = runHere(t, "settings")
	require.Equal(t, exitFailed, code)
	require.Contains(t, said, folder)
	_, said, code = runHere(t, "changes", "blues")
	require.Equal(t, exitDone, code, said)
}
