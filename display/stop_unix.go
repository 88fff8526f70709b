//go:build unix

package display

import (
	"os"
	"os/signal"
	"time"

	"golang.org/x/sys/unix"
)

// canStop: the process can be stopped and continued from the keyboard.
const canStop = true

// stopWait is how long the stop may take to come after it was asked for. It is
// there within microseconds; the time stopped does not count.
const stopWait = 200 * time.Millisecond

// stops hears of the process being stopped and continued. A raw terminal makes
// no signal of Ctrl-Z, and a stop from elsewhere must not leave it raw.
type stops struct {
	tstp, cont chan os.Signal
}

func watchStops() *stops {
	s := &stops{tstp: make(chan os.Signal, 1), cont: make(chan os.Signal, 1)}
	signal.Notify(s.tstp, unix.SIGTSTP)
	signal.Notify(s.cont, unix.SIGCONT)
	return s
}

func (s *stops) end() {
	signal.Stop(s.tstp)
	signal.Stop(s.cont)
}

func (s *stops) asked() <-chan os.Signal   { return s.tstp }
func (s *stops) resumed() <-chan os.Signal { return s.cont }

// stop stops the whole process group, as the terminal itself does for Ctrl-Z,
// and returns when it has been continued. Where no shell with job control is
// there to continue it, the group being that of the session's leader, it
// returns at once. The signal is SIGSTOP: the Go runtime does not give SIGTSTP
// its default action back once it has been listened for.
func (s *stops) stop() {
	session, err := unix.Getsid(0)
	if err != nil || session == unix.Getpgrp() {
		return
	}
	if unix.Kill(0, unix.SIGSTOP) != nil {
		return
	}
	wait := time.NewTimer(stopWait)
	defer wait.Stop()
	select {
	case <-s.cont:
	case <-wait.C:
	}
}
