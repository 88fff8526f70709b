package sound

import (
	"encoding/json"
	"fmt"
	"io"
	"os"
	"os/signal"
	"syscall"
	"time"
)

// Argument is the first argument of a process that is to be a sound process; the
// second is its Options.
const Argument = "sound-process"

// Options say what a sound process sounds on.
type Options struct {
	// MIDI sends notes to a MIDI output instead of making sound.
	MIDI bool `json:"midi,omitempty"`
	// API is the sound system: "jack", or "" for this machine's usual one.
	API string `json:"api,omitempty"`
	// Speaker is the name of the audio device; "" for the usual one.
	Speaker string `json:"speaker,omitempty"`
	// Out is the name of the MIDI output.
	Out string `json:"out,omitempty"`
	// Bass and Piano are their channels there, from 1; 0 for the usual ones.
	Bass  uint8 `json:"bass,omitempty"`
	Piano uint8 `json:"piano,omitempty"`
}

// Main is a sound process from its start to its end: the end of its standard
// input. It returns the exit code. What a terminal sends to all its processes, and
// what ends the session, does not end this one before it has let go of what
// sounds.
func Main(options string) int {
	ignoreSignals()
	var o Options
	if err := json.Unmarshal([]byte(options), &o); err != nil {
		fmt.Fprintf(os.Stderr, "shedlight: %s is not for the command line\n", Argument)
		return exitUsage
	}
	send := newReports(os.Stdout)
	begun := time.Now()
	var e engine
	if o.MIDI {
		e = newMIDI(begun, send, openerOfPort(o), channelsOf(o))
	} else {
		e = newAudio(begun, send, openerOfDevice(o))
	}
	serve(os.Stdin, begun, send, e)
	return 0
}

const exitUsage = 2

// ignoreSignals ignores what would end the process, a pipe that nobody reads
// among them.
func ignoreSignals() {
	signal.Ignore(syscall.SIGINT, syscall.SIGTERM, syscall.SIGHUP, syscall.SIGQUIT, syscall.SIGPIPE)
}

// engine is what sounds: an audio device, or a MIDI output. ask is called by the
// reader, the others by the supervisor.
type engine interface {
	// ask takes a command, with times since the process began. It never waits.
	ask(c Command)
	// look sees after the device: opens it, watches it, opens it again.
	look()
	// finish lets go of everything. It takes at most endLimit.
	finish()
}

const (
	// lookEvery is how often the device is seen after.
	lookEvery = 100 * time.Millisecond
	// endLimit is how long the end may take: a tenth of a second, less what the
	// system takes to end the process.
	endLimit = 80 * time.Millisecond
)

// serve reads commands until the pipe ends, and looks after the engine.
func serve(pipe io.Reader, begun time.Time, send reports, e engine) {
	ended := make(chan struct{})
	go func() {
		defer close(ended)
		read(pipe, begun, send, e)
	}()
	ticker := time.NewTicker(lookEvery)
	defer ticker.Stop()
	e.look()
	for {
		select {
		case <-ended:
			e.finish()
			return
		case <-ticker.C:
			e.look()
		}
	}
}

// read hands commands on, with times since this process began.
func read(pipe io.Reader, begun time.Time, send reports, e engine) {
	r := newReader(pipe)
	var offset time.Duration // of the session's time 0
	known := false
	garbled := 0
	for {
		c, err := r.next()
		if r.garbled > garbled {
			garbled = r.garbled
			send.send(Report{News: Garbled, Count: int64(garbled)})
		}
		if err != nil {
			return
		}
		switch c.Kind {
		case Epoch:
			now := time.Now()
			known, offset = true, c.At-time.Duration(now.UnixNano())+now.Sub(begun)
			continue
		case Strike, Forget, Hold:
			if !known {
				continue
			}
			c.At += offset
		}
		e.ask(c)
	}
}

// retry says when something that failed is tried again: each try may cost
// descriptors and threads of the sound system, so the pause doubles.
type retry struct {
	next  time.Time
	pause time.Duration
}

const (
	retryFirst = 2 * time.Second
	retryMost  = 30 * time.Second
)

func (r *retry) due(now time.Time) bool { return !now.Before(r.next) }

func (r *retry) failed(now time.Time) {
	r.pause = min(max(2*r.pause, retryFirst), retryMost)
	r.next = now.Add(r.pause)
}

func (r *retry) worked() { *r = retry{} }

// within runs something that may hang and reports whether it ended in time. What
// hangs is left behind.
func within(limit time.Duration, f func()) bool {
	done := make(chan struct{})
	go func() {
		defer close(done)
		f()
	}()
	timer := time.NewTimer(limit)
	defer timer.Stop()
	select {
	case <-done:
		return true
	case <-timer.C:
		return false
	}
}
