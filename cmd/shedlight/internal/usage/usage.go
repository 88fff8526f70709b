// Package usage is mistakes in how the program was called: the command ends with
// exit 2 in place of 1.
package usage

import "fmt"

// Error is such a mistake. Its text says in one line which flag or argument is
// wrong and what was expected.
type Error struct{ Err error }

func (e Error) Error() string { return e.Err.Error() }

// Unwrap returns what was found wrong.
func (e Error) Unwrap() error { return e.Err }

// Errorf is fmt.Errorf for a mistake in how the program was called.
func Errorf(format string, args ...any) error { return Error{Err: fmt.Errorf(format, args...)} }
