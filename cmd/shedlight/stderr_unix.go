//go:build unix

package main

import (
	"os"

	"golang.org/x/sys/unix"
)

// divertStderr points file descriptor 2 at a log, so that what the MIDI
// libraries write there by themselves does not reach the terminal, and returns
// the descriptor that was there before. undo puts it back.
func divertStderr(log *os.File) (before *os.File, undo func(), err error) {
	saved, err := unix.FcntlInt(uintptr(unix.Stderr), unix.F_DUPFD_CLOEXEC, unix.Stderr+1)
	if err != nil {
		return nil, nil, err
	}
	if err := unix.Dup2(int(log.Fd()), unix.Stderr); err != nil {
		unix.Close(saved)
		return nil, nil, err
	}
	before = os.NewFile(uintptr(saved), "stderr")
	return before, func() {
		unix.Dup2(saved, unix.Stderr)
		before.Close()
	}, nil
}
