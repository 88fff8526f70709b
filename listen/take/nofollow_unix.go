//go:build unix

package take

import "golang.org/x/sys/unix"

// noFollow keeps a lock from being made or taken where a link points, and from waiting
// where it is a pipe.
const noFollow = unix.O_NOFOLLOW | unix.O_NONBLOCK
