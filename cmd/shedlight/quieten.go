package main

import (
	"os"
	"runtime/debug"

	"github.com/adrg/xdg"
)

// driverLog takes what the MIDI libraries write to standard error by
// themselves; crashLog what the runtime says when the program dies.
const (
	driverLog = "shedlight/driver.log"
	crashLog  = "shedlight/crash.log"
)

// quieten keeps the MIDI libraries' own noise off the terminal: descriptor 2
// goes to a log, and our messages to where it pointed before. restore undoes
// it. Where that cannot be done the noise stays, and nothing else changes.
func (p *program) quieten() (restore func()) {
	keepCrashes()
	log, err := openLog(driverLog, os.O_TRUNC)
	if err != nil {
		return func() {}
	}
	defer log.Close() // the descriptor that matters is its copy
	before, undo, err := divertStderr(log)
	if err != nil {
		return func() {}
	}
	messages := p.messages
	p.messages = before
	return func() {
		p.messages = messages
		undo()
	}
}

// keepCrashes has the runtime write what it says when the program dies to a log
// as well: standard error is diverted then.
func keepCrashes() {
	if log, err := openLog(crashLog, os.O_APPEND); err == nil {
		_ = debug.SetCrashOutput(log, debug.CrashOptions{}) // it keeps a copy
		log.Close()
	}
}

// openLog opens a log under the user's state folder, emptied or to be continued
// as mode says, or the null device where there is none, or no file has its name: a pipe
// would keep us waiting.
func openLog(name string, mode int) (*os.File, error) {
	path, err := xdg.StateFile(name)
	if there, missing := os.Stat(path); err == nil && (missing != nil || there.Mode().IsRegular()) {
		if f, err := os.OpenFile(path, os.O_CREATE|os.O_WRONLY|mode, 0o600); err == nil {
			return f, nil
		}
	}
	return os.OpenFile(os.DevNull, os.O_WRONLY, 0)
}
