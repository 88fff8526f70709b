package take

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"syscall"

	"github.com/gofrs/flock"
)

const (
	takeExt    = ".mid"
	journalExt = ".journal"
	lockExt    = ".lock"
	partExt    = ".part"    // a take that is being written
	damagedExt = ".damaged" // a journal that could not be read to its end

	// What somebody practises is theirs alone.
	filePerm = 0o600
	dirPerm  = 0o700

	// maxNames bounds the search for a free name: NAME, NAME-2 to NAME-1000.
	maxNames = 1000
)

// Files is the file system as far as writing goes, so that a test can let it
// fail. Create and Link never touch a file that is there: they give
// fs.ErrExist. SyncDir makes the names in a folder durable, where the system
// can do that; it is no loss of the take where it cannot.
type Files interface {
	Create(path string) (File, error)
	Link(from, to string) error
	SyncDir(dir string)
}

// File is a file that is being written. What was written can be read again, and its
// Stat tells whether it is still the one of its name.
type File interface {
	io.Writer
	io.ReaderAt
	Stat() (fs.FileInfo, error)
	Truncate(size int64) error
	Sync() error
	Close() error
}

type osFiles struct{}

func (osFiles) Create(path string) (File, error) {
	return os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_RDWR, filePerm)
}

func (osFiles) Link(from, to string) error { return os.Link(from, to) }

func (osFiles) SyncDir(dir string) {
	if d, err := os.Open(dir); err == nil {
		_ = d.Sync()
		_ = d.Close()
	}
}

// numbered returns the nth choice for a name, n from 1.
func numbered(base string, n int) string {
	if n == 1 {
		return base
	}
	return fmt.Sprintf("%s-%d", base, n)
}

// lock takes the lock that marks a journal as live; false where another process
// has it. It is released by unlock, or by the system when the process ends.
func lock(base string) (*flock.Flock, bool, error) {
	l := flock.New(base+lockExt, flock.SetPermissions(filePerm), flock.SetFlag(os.O_CREATE|os.O_RDONLY|noFollow))
	ok, err := l.TryLock()
	if err != nil || !ok {
		return nil, false, err
	}
	// The file may have been removed between opening and locking it: then this
	// is a lock on nothing.
	held, err := l.Stat()
	if err == nil {
		var there fs.FileInfo
		if there, err = os.Lstat(l.Path()); err == nil && os.SameFile(held, there) {
			return l, true, nil
		}
	}
	return nil, false, errors.Join(ignoreMissing(err), l.Unlock())
}

// isGone reports whether an error says that a file or a folder above it is not there.
func isGone(err error) bool {
	return errors.Is(err, fs.ErrNotExist) || errors.Is(err, syscall.ENOTDIR)
}

func ignoreMissing(err error) error {
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	return err
}

// unlock removes the lock file while it is still held, or, on a system that
// does not remove open files, after that.
func unlock(l *flock.Flock) error {
	removed := os.Remove(l.Path())
	err := l.Unlock()
	if removed != nil {
		err = errors.Join(err, ignoreMissing(os.Remove(l.Path())))
	}
	return err
}

// place gives a finished file its name, or the next free one, and returns it.
// No file is ever replaced: a hard link fails where the name is taken. On a
// file system without links the file is renamed after a look whether the name
// is free. A file of the same content under the name is the work of an earlier
// attempt that was cut off behind this step, and is left as it is.
func place(files Files, from, base, ext string, content []byte) (string, error) {
	for n := 1; n <= maxNames; n++ {
		to := numbered(base, n) + ext
		err := files.Link(from, to)
		if err != nil && !errors.Is(err, fs.ErrExist) {
			if _, err = os.Lstat(to); err == nil {
				err = fs.ErrExist
			} else if errors.Is(err, fs.ErrNotExist) {
				err = os.Rename(from, to)
			}
		}
		if err == nil {
			return to, ignoreMissing(os.Remove(from))
		}
		if !errors.Is(err, fs.ErrExist) {
			return "", err
		}
		if there, err := os.ReadFile(to); err == nil && bytes.Equal(there, content) {
			return to, os.Remove(from)
		}
	}
	return "", fmt.Errorf("%s%s: this name and the %d after it are taken", base, ext, maxNames-1)
}

// save writes a file under its name, or the next free one, and returns it.
func save(files Files, base, ext string, content []byte) (string, error) {
	part := base + partExt
	if err := ignoreMissing(os.Remove(part)); err != nil { // left by a crash
		return "", err
	}
	file, err := files.Create(part)
	if err != nil {
		return "", err
	}
	_, err = file.Write(content)
	if err == nil {
		err = file.Sync()
	}
	err = errors.Join(err, file.Close())
	path := ""
	if err == nil {
		path, err = place(files, part, base, ext, content)
	}
	if err != nil {
		return "", errors.Join(err, ignoreMissing(os.Remove(part)))
	}
	files.SyncDir(filepath.Dir(base))
	return path, nil
}
