package crash_test

import (
	"errors"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse/crash"
)

// guarded runs something as a goroutine of the session does.
func guarded(do func()) (caught *crash.Crash) {
	defer crash.Guard(func(c *crash.Crash) { caught = c })
	do()
	return nil
}

func broken() { panic("no such colour") }

// What is caught says what it was and where it was; carried on by another panic it
// still says so.
func TestGuard(t *testing.T) {
	require.Nil(t, guarded(func() {}))
	first := guarded(broken)
	require.EqualError(t, first, "no such colour")
	require.Contains(t, string(first.Stack), "crash_test.broken")
	require.Same(t, first, guarded(func() { panic(first) }))

	var none []int
	index := guarded(func() { none[len(none)]++ })
	require.EqualError(t, index, "runtime error: index out of range [0] with length 0")

	var found *crash.Crash
	require.ErrorAs(t, errors.Join(errors.New("the disk is full"), first), &found)
	require.Same(t, first, found)
}
