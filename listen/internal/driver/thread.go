package driver

import (
	"runtime"
	"time"

	"shedlight/analyse/crash"
)

// thread runs calls one after another on one locked thread of the system: the
// lists of macOS go stale unless they are asked for where they were first asked
// for, and a call may hang for ever on Windows, so none is waited for without a
// limit. A thread that hung is left behind with its call; the next call gets a
// fresh one.
type thread struct {
	calls chan func()
}

func newThread() *thread {
	t := &thread{}
	t.start()
	return t
}

func (t *thread) start() {
	calls := make(chan func())
	t.calls = calls
	go func() {
		runtime.LockOSThread()
		defer runtime.UnlockOSThread()
		for call := range calls {
			call()
		}
	}()
}

// outcome is what became of a call: its result, or the crash that ended it.
type outcome[T any] struct {
	value T
	err   error
	fault *crash.Crash
}

// on runs f on the thread and returns what it returns, or Hung if it took
// longer than the limit. A panic in f goes on in the caller.
func on[T any](t *thread, limit time.Duration, f func() (T, error)) (T, error) {
	done := make(chan outcome[T], 1)
	call := func() {
		var o outcome[T]
		defer func() { done <- o }()
		defer crash.Guard(func(c *crash.Crash) { o.fault = c })
		o.value, o.err = f()
	}
	timer := time.NewTimer(limit)
	defer timer.Stop()
	t.calls <- call
	select {
	case o := <-done:
		if o.fault != nil {
			panic(o.fault)
		}
		return o.value, o.err
	case <-timer.C:
		t.stop()
		t.start()
		var none T
		return none, Hung
	}
}

// stop ends the thread after the call it is in.
func (t *thread) stop() { close(t.calls) }
