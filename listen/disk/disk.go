// Package disk reads files that somebody has named.
package disk

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
)

// Read returns what a file holds, of one longer than most the first most+1 bytes, so
// that the caller sees it. What is no regular file is refused unopened, with what it
// is: a pipe keeps its reader waiting, a device may never end. Links are followed.
func Read(path string, most int) ([]byte, error) {
	info, err := os.Stat(path)
	if err != nil {
		return nil, plainly(path, err)
	}
	if !info.Mode().IsRegular() {
		return nil, fmt.Errorf("%s: %s, expected a file", path, kind(info.Mode()))
	}
	file, err := os.Open(path)
	if err != nil {
		return nil, plainly(path, err)
	}
	defer file.Close()
	size := int(min(info.Size(), int64(most)))
	buffer := bytes.NewBuffer(make([]byte, 0, size+bytes.MinRead))
	_, err = buffer.ReadFrom(io.LimitReader(file, int64(most)+1))
	return buffer.Bytes(), err
}

// plainly says of a file what is wrong, without what was asked of the system: a player
// knows no stat.
func plainly(path string, err error) error {
	var failed *fs.PathError
	if errors.As(err, &failed) {
		err = failed.Err
	}
	return fmt.Errorf("%s: %w", path, err)
}

func kind(mode fs.FileMode) string {
	switch {
	case mode.IsDir():
		return "a folder"
	case mode&fs.ModeNamedPipe != 0:
		return "a pipe"
	case mode&fs.ModeSocket != 0:
		return "a socket"
	case mode&fs.ModeDevice != 0:
		return "a device"
	}
	return "something else"
}
