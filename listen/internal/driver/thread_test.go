package driver

import (
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/assert"
)

func give(n int) func() (int, error) { return func() (int, error) { return n, nil } }

func TestThreadRunsCalls(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		calls := newThread()
		defer calls.stop()
		for n := range 3 {
			got, err := on(calls, time.Second, give(n))
			assert.NoError(t, err)
			assert.Equal(t, n, got)
		}
		_, err := on(calls, time.Second, func() (int, error) { return 0, NotOpened })
		assert.Equal(t, NotOpened, err)
	})
}

// On Windows a close may hang after an unplug.
func TestThreadLeavesACallThatHangs(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		calls := newThread()
		defer calls.stop()
		hang := make(chan struct{})
		begun := time.Now()
		_, err := on(calls, 2*time.Second, func() (int, error) { <-hang; return 0, nil })
		assert.Equal(t, Hung, err)
		assert.Equal(t, 2*time.Second, time.Since(begun))
		got, err := on(calls, time.Second, give(7))
		assert.NoError(t, err, "the next call has a thread")
		assert.Equal(t, 7, got)
		close(hang) // the bubble fails if the thread that hung stays
	})
}

func TestThreadPassesAPanicOn(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		calls := newThread()
		defer calls.stop()
		assert.PanicsWithError(t, "fault", func() {
			_, _ = on(calls, time.Second, func() (int, error) { panic("fault") })
		})
		got, err := on(calls, time.Second, give(1))
		assert.NoError(t, err)
		assert.Equal(t, 1, got)
	})
}
