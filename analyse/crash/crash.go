// Package crash carries a fault of ours from the goroutine where it happened to the
// one that ends the program, which gives the terminal back, saves the take and says
// where the report is. Every goroutine that the session starts has a Guard: a panic
// that nobody catches would end the process as it stands.
package crash

import (
	"fmt"
	"runtime/debug"
)

// Crash is a fault of ours that was caught. As an error it is found by errors.As.
type Crash struct {
	Fault any    // what was panicked with
	Stack []byte // of the goroutine where it was, as the runtime prints it
}

func (c *Crash) Error() string { return fmt.Sprint(c.Fault) }

// Guard is deferred, and by nothing but a defer statement: it catches a panic and
// calls crashed with it, on the same goroutine. Where there is none it does nothing.
// A panic with a Crash, which is one that was carried here, is not wrapped again. It
// is deferred behind what tells others that the goroutine has ended, so that crashed
// comes before that.
func Guard(crashed func(*Crash)) {
	switch fault := recover().(type) {
	case nil:
	case *Crash:
		crashed(fault)
	default:
		crashed(&Crash{Fault: fault, Stack: debug.Stack()})
	}
}
