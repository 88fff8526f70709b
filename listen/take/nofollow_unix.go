//go:build unix

package take

import "golang.org/x/sys/unix"

// noFollow keeps a lock from being made or taken where a link points.
const noFollow = unix.O_NOFOLLOW
