package main

import (
	"bufio"
	"io"
	"os/signal"
	"sync/atomic"
	"syscall"

	"shedlight/analyse"
	"shedlight/analyse/crash"
	"shedlight/analyse/fit"
	"shedlight/cmd/shedlight/internal/reviews"
	"shedlight/display"
)

// linesQueue is how many lines may wait for a slow reader of standard output.
const linesQueue = 65_536

// lineFormat writes findings, what changed on the listening side and, at the end,
// what it kept back.
type lineFormat interface {
	Add(analyse.Finding) error
	Show(display.Status) error
	Follow(*analyse.Snapshot) error
	Fit(fit.Verdict) error
	End() error
}

// lines writes to standard output on a goroutine of its own, so that a slow
// reader never delays a verdict.
type lines struct {
	queue   chan line
	done    chan struct{}
	dropped atomic.Int64
	fault   *crash.Crash // that ended the writer, before done
}

// line is a finding, or a verdict, a status or a state of the playing where there is
// one.
type line struct {
	finding  analyse.Finding
	verdict  *fit.Verdict
	status   *display.Status
	snapshot *analyse.Snapshot
}

// startLines starts the writer. broken is called once when nobody reads any
// more; everything after that is thrown away.
func startLines(w io.Writer, format func(io.Writer) lineFormat, broken func()) *lines {
	// Writing to a pipe whose reader is gone gives an error then, and does not
	// end the process before the take is whole.
	signal.Ignore(syscall.SIGPIPE)
	l := &lines{queue: make(chan line, linesQueue), done: make(chan struct{})}
	buffered := bufio.NewWriter(w)
	go l.drain(buffered, format(buffered), broken)
	return l
}

func (l *lines) drain(w *bufio.Writer, format lineFormat, broken func()) {
	defer close(l.done)
	defer crash.Guard(func(c *crash.Crash) {
		l.fault = c
		broken()
	})
	ok := true
	for next := range l.queue {
		if !ok {
			continue
		}
		var err error
		switch {
		case next.status != nil:
			err = format.Show(*next.status)
		case next.verdict != nil:
			err = format.Fit(*next.verdict)
		case next.snapshot != nil:
			err = format.Follow(next.snapshot)
		default:
			err = format.Add(next.finding)
		}
		if err == nil && len(l.queue) == 0 {
			err = w.Flush()
		}
		if err != nil {
			ok = false
			broken()
		}
	}
	if ok && format.End() == nil {
		w.Flush()
	}
}

func (l *lines) finding(f analyse.Finding) { l.send(line{finding: f}) }

func (l *lines) fit(v fit.Verdict) { l.send(line{verdict: &v}) }

func (l *lines) status(s display.Status) { l.send(line{status: &s}) }

func (l *lines) snapshot(s analyse.Snapshot) { l.send(line{snapshot: &s}) }

func (l *lines) send(next line) {
	select {
	case l.queue <- next:
	default:
		l.dropped.Add(1)
	}
}

// close waits until everything is written and returns how many lines did not
// fit into the queue. The error is a crash of the writer.
func (l *lines) close() (dropped int64, err error) {
	close(l.queue)
	<-l.done
	if l.fault != nil {
		err = l.fault
	}
	return l.dropped.Load(), err
}

// jsonLines is the format of --json. The status goes to standard error as plain
// lines.
type jsonLines struct {
	w io.Writer
	*display.Lines
}

func (j jsonLines) Add(f analyse.Finding) error { return writeJSON(j.w, f) }

func (j jsonLines) Fit(v fit.Verdict) error {
	return writeJSON(j.w, fitJSON{Fit: v})
}

// fitJSON is the line of a verdict.
type fitJSON struct {
	Fit fit.Verdict `json:"fit"`
}

// summaryJSON is the last line: the review object without file and findings.
type summaryJSON struct {
	Summary struct {
		*reviews.Outcome
		Damage []reviews.Damage `json:"damage"`
	} `json:"summary"`
}
