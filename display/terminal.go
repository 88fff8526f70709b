package display

import (
	"fmt"
	"os"
	"time"

	"github.com/gdamore/tcell/v2"
	"github.com/gdamore/tcell/v2/encoding"
	"golang.org/x/term"

	"shedlight/analyse/crash"
)

const (
	// LeaveLimit is how long a terminal may take to show its last picture and to be
	// given back before it is taken for one that nobody reads.
	LeaveLimit = 5 * time.Second
	// finiLimit is how much of that tcell may take to give it back.
	finiLimit = 2 * time.Second
	// farewellLimit is how long the last signs to such a terminal may take.
	farewellLimit = 100 * time.Millisecond
)

// Terminal is the terminal of the process, for NewScreen.
type Terminal struct {
	tcell.Screen
	before *term.State // its modes when it was opened
}

// OpenTerminal returns the terminal of the process. It fails where TERM names none
// that a screen can be drawn on; plain lines still work.
func OpenTerminal() (*Terminal, error) {
	encoding.Register()
	before, err := term.GetState(int(os.Stdin.Fd()))
	if err != nil {
		return nil, fmt.Errorf("standard input is no terminal: %w", err)
	}
	ts, err := openScreen()
	if err != nil {
		// tcell's own text speaks of terminfo and of a program that it ran.
		return nil, fmt.Errorf("no screen can be drawn on this terminal (TERM is %q); try --plain", Clean(os.Getenv("TERM")))
	}
	return &Terminal{Screen: ts, before: before}, nil
}

// Fini gives the terminal back, after finiLimit by GiveBack. What is typed
// meanwhile is thrown away: tcell waits for somebody to take it.
func (t *Terminal) Fini() {
	var typed <-chan tcell.Event
	if q, ok := t.Screen.(interface{ EventQ() chan tcell.Event }); ok {
		typed = q.EventQ()
	}
	done := make(chan struct{})
	var fault *crash.Crash // before done
	go func() {
		defer close(done)
		defer crash.Guard(func(c *crash.Crash) { fault = c })
		t.Screen.Fini()
	}()
	limit := time.NewTimer(finiLimit)
	defer limit.Stop()
	for {
		select {
		case <-done:
			if fault != nil {
				t.GiveBack()
				panic(fault)
			}
			return
		case <-typed:
		case <-limit.C:
			t.GiveBack()
			return
		}
	}
}

// GiveBack restores the modes of the terminal without asking tcell, which may be
// waiting for it, and the screen that was there before where the terminal takes
// that at once. May be called from any goroutine; nothing is drawn well after it.
func (t *Terminal) GiveBack() {
	_ = term.Restore(int(os.Stdin.Fd()), t.before) // a terminal that has gone needs nothing
	info, err := tcell.LookupTerminfo(os.Getenv("TERM"))
	if err != nil {
		return
	}
	said := make(chan struct{})
	go func() {
		defer close(said)
		defer crash.Guard(func(*crash.Crash) {}) // nothing is left to be tried
		for _, sequence := range []string{info.AttrOff, info.ShowCursor, info.ExitKeypad, info.ExitCA} {
			info.TPuts(os.Stdout, sequence)
		}
	}()
	select {
	case <-said:
	case <-time.After(farewellLimit):
	}
}
