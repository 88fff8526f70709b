//go:build !unix

package take

// noFollow: this system has no such mode.
const noFollow = 0
