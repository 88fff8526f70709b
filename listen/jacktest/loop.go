//go:build jack

package jacktest

import (
	"slices"
	"testing"
	"time"

	"shedlight/listen/internal/driver"
)

// Loop is an output port of this process with a bare input on it, to measure
// what the driver itself takes: from the hand-over of a message to the entry of
// the callback. Others can listen to Port meanwhile; JACK calls all who do back
// in the same period.
type Loop struct {
	Port    string // client:out
	t       testing.TB
	out     *output
	entries chan time.Time
}

// NewLoop makes the port and waits until messages come through. It ends with
// the test.
func NewLoop(t testing.TB, client string) *Loop {
	t.Helper()
	l := &Loop{Port: client + ":" + outputPort, t: t, entries: make(chan time.Time, 1024)}
	var err error
	if l.out, err = openOutput(client); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(l.out.close)
	if err := l.out.activate(); err != nil {
		t.Fatal(err)
	}
	system, err := driver.Load(driver.JACK)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(system.Close)
	inputs, err := system.Inputs()
	if err != nil {
		t.Fatal(err)
	}
	input, err := system.Open(slices.Index(inputs, l.Port), l.Port, func([]byte, float64) {
		l.entries <- time.Now()
	})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(input.Close)
	Until(t, startLimit, "the loop is closed", func() bool {
		l.Send([]byte{0xB0, 7, 0})
		return len(l.entries) > 0
	})
	return l
}

// Send hands a message to the driver and returns when it did.
func (l *Loop) Send(message []byte) time.Time {
	l.t.Helper()
	now := time.Now()
	if err := l.out.send(message); err != nil {
		l.t.Fatal(err)
	}
	return now
}

// Entered returns when the callback was entered that received the last message
// sent, the earliest after a moment.
func (l *Loop) Entered(after time.Time) time.Time {
	l.t.Helper()
	limit := time.After(startLimit)
	for {
		select {
		case at := <-l.entries:
			if at.After(after) {
				return at
			}
		case <-limit:
			l.t.Fatal("a message did not come back")
		}
	}
}
