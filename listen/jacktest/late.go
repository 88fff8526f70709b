//go:build jack

package jacktest

import "testing"

// Late is a player in this process whose port stands in the list before its client
// is active, as it is with programs that take their time to start: until Activate
// JACK connects nothing to it.
type Late struct {
	Port string // client:out
	t    testing.TB
	out  *output
}

// NewLate makes the port. It ends with the test.
func NewLate(t testing.TB, client string) *Late {
	t.Helper()
	out, err := openOutput(client)
	if err != nil {
		t.Fatal(err)
	}
	l := &Late{Port: client + ":" + outputPort, t: t, out: out}
	t.Cleanup(l.Vanish)
	return l
}

// Activate makes the client ready.
func (l *Late) Activate() {
	l.t.Helper()
	if err := l.out.activate(); err != nil {
		l.t.Fatal(err)
	}
}

// Strike sends a note in the next period.
func (l *Late) Strike(key byte) {
	l.t.Helper()
	if err := l.out.send([]byte{0x90, key, 80}); err != nil {
		l.t.Fatal(err)
	}
}

// Vanish takes the port away.
func (l *Late) Vanish() { l.out.close() }
