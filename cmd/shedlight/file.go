package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

// writeNew writes a whole file or none, and never over one that is there: the
// content is written beside it and then given the name, by a hard link, which
// fails where the name is taken. A file system without links (most memory
// sticks) gets the name by renaming, after a look whether it is free.
func writeNew(path string, content []byte) error {
	const readable = 0o644
	return writeNewAs(path, content, readable)
}

// writeNewAs is writeNew for a file with other rights.
func writeNewAs(path string, content []byte, rights fs.FileMode) error {
	taken := fmt.Errorf("%s is there already and is left alone: give another name", path)
	if _, err := os.Lstat(path); err == nil {
		return taken
	}
	part, err := os.CreateTemp(filepath.Dir(path), ".shedlight-*")
	if err != nil { // its own name says nothing
		return fmt.Errorf("%s cannot be written: %s: %s", path, filepath.Dir(path), reason(err))
	}
	defer os.Remove(part.Name()) // gone already where it was renamed
	_, err = part.Write(content)
	if err = errors.Join(err, part.Chmod(rights), part.Sync(), part.Close()); err != nil {
		return err
	}
	err = os.Link(part.Name(), path)
	switch {
	case err == nil:
		return nil
	case errors.Is(err, fs.ErrExist):
		return taken
	}
	if _, err := os.Lstat(path); err == nil {
		return taken
	}
	return os.Rename(part.Name(), path)
}
