//go:build !unix

package main

import "os"

// divertStderr does nothing here: the libraries of this system are not known to
// write to standard error.
func divertStderr(*os.File) (before *os.File, undo func(), err error) {
	return os.Stderr, func() {}, nil
}
