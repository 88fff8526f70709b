package take

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

// Recover turns the journals in a folder that no process is writing into takes,
// and returns the paths of these. A journal without a note is removed. One that
// cannot be read at all, or holds more than could be read, is kept under the
// extension .damaged. The error, if any, joins one for each journal that did
// not become a take; the others did. A missing folder holds none. markers may
// be nil.
func Recover(dir string, markers Markers) ([]string, error) {
	return recoverAll(osFiles{}, dir, markers)
}

func recoverAll(files Files, dir string, markers Markers) ([]string, error) {
	entries, err := os.ReadDir(dir)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	var paths []string
	var failed []error
	for _, e := range entries {
		name, ok := strings.CutSuffix(e.Name(), journalExt)
		if !ok || !e.Type().IsRegular() {
			continue
		}
		path, err := recoverOne(files, filepath.Join(dir, name), markers)
		if err != nil {
			failed = append(failed, err)
		}
		if path != "" {
			paths = append(paths, path)
		}
	}
	return paths, errors.Join(failed...)
}

// Open returns the paths of the journals in a folder that are no takes yet: after
// Recover those that a process is writing.
func Open(dir string) ([]string, error) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return nil, err
	}
	var paths []string
	for _, e := range entries {
		if filepath.Ext(e.Name()) == journalExt && e.Type().IsRegular() {
			paths = append(paths, filepath.Join(dir, e.Name()))
		}
	}
	return paths, nil
}

func recoverOne(files Files, base string, markers Markers) (string, error) {
	held, ok, err := lock(base)
	if err != nil || !ok {
		return "", err // not ok: it is live
	}
	path, err := finish(files, base, markers)
	if errors.Is(err, fs.ErrNotExist) { // another process was faster
		err = nil
	}
	return path, errors.Join(err, unlock(held))
}
