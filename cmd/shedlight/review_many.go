package main

import (
	"context"
	"fmt"
	"io"
	"iter"
	"os"
	"runtime"
	"strings"
	"time"

	"golang.org/x/term"

	"shedlight/analyse/crash"
	"shedlight/cmd/shedlight/internal/reviews"
	"shedlight/cmd/shedlight/internal/settings"
	"shedlight/display"
	"shedlight/listen/smf"
)

// listing is what became of one file among several.
type listing struct {
	report *reviews.Report
	err    error
}

// several reviews files on every core and writes them in order. One that fails
// is said and does not stop the others. Earlier takes are not looked up:
// each take stands for itself, and the trend compares them.
func (c *reviewCommand) several(p *program, files []string, sel smf.Selection) error {
	signalled, forget := untilSignal()
	defer forget()
	defer context.AfterFunc(signalled, forget)() // the line that is begun is written to its end; who asks twice is obeyed
	ctx, stop := context.WithCancel(signalled)
	defer stop()
	bar := newProgress(p.messages, len(files))
	failed, done := false, 0
	told := map[string]bool{}
	var trends reviews.Trends
	for res := range inOrder(ctx, len(files), func(i int) listing { return c.listed(p.said, files[i], sel) }) {
		bar.clear()
		done++
		if res.err != nil {
			p.fail("%v", res.err)
			failed = true
			continue
		}
		failed = failed || len(res.report.Damage) > 0
		for _, line := range res.report.Said {
			if !told[line] { // one chart over many takes is told of once
				p.say("shedlight: %s", line)
			}
			told[line] = true
		}
		var err error
		if c.JSON {
			err = writeReport(p.out, res.report)
		} else {
			err = display.WriteReviewLine(p.out, res.report.Shown(), p.pageOptions(res.report.Look))
			trends.Add(res.report)
		}
		if err != nil {
			return err
		}
		bar.show(done)
	}
	bar.clear()
	if !c.JSON {
		if err := display.WriteTrends(p.out, trends.Tunes, p.pageOptions(c.Look)); err != nil {
			return err
		}
	}
	if done < len(files) {
		p.say("stopped after %d of %d files", done, len(files))
		return &stopped{}
	}
	if failed {
		return &failedQuietly{}
	}
	return nil
}

// listed reviews one file of several.
func (c *reviewCommand) listed(said *settings.Call, file string, sel smf.Selection) listing {
	r, err := c.review(said, file, sel)
	if err != nil {
		return listing{err: err}
	}
	r.Alone()
	return listing{report: r}
}

// inOrder does work 0 to n-1 on every core and yields the results in order. At
// most two more than there are cores are under way or waiting to be taken.
func inOrder[T any](ctx context.Context, n int, work func(int) T) iter.Seq[T] {
	return func(yield func(T) bool) {
		ctx, stop := context.WithCancel(ctx)
		defer stop()
		queue := make(chan chan T, runtime.GOMAXPROCS(0))
		crashed := make(chan *crash.Crash, 1)
		go func() {
			defer close(queue)
			for i := range n {
				one := make(chan T, 1)
				select {
				case queue <- one:
					go func() {
						defer crash.Guard(func(c *crash.Crash) {
							select {
							case crashed <- c:
							default: // one is enough
							}
						})
						one <- work(i)
					}()
				case <-ctx.Done():
					return
				}
			}
		}()
		for one := range queue {
			if ctx.Err() != nil {
				return
			}
			select {
			case done := <-one:
				if !yield(done) {
					return
				}
			case c := <-crashed:
				panic(c)
			case <-ctx.Done(): // what is under way is left to the end of the program
				return
			}
		}
	}
}

const (
	// progressAfter is how long work may take before its progress is shown,
	// and progressEvery how often it is shown then.
	progressAfter = 500 * time.Millisecond
	progressEvery = 100 * time.Millisecond
)

// progress is a line on a terminal that says how far long work has come. nil
// shows nothing.
type progress struct {
	w     io.Writer
	total int
	next  time.Time
	width int // of what is shown
}

// newProgress returns nil where messages do not go to a terminal.
func newProgress(w io.Writer, total int) *progress {
	f, ok := w.(*os.File)
	if !ok || !term.IsTerminal(int(f.Fd())) {
		return nil
	}
	return &progress{w: w, total: total, next: time.Now().Add(progressAfter)}
}

func (b *progress) show(done int) {
	if b == nil || time.Now().Before(b.next) {
		return
	}
	text := fmt.Sprintf("%d of %d files", done, b.total)
	b.width = len(text)
	fmt.Fprint(b.w, text)
	b.next = time.Now().Add(progressEvery)
}

// clear takes the line away, so that other lines stand alone.
func (b *progress) clear() {
	if b == nil || b.width == 0 {
		return
	}
	fmt.Fprint(b.w, "\r"+strings.Repeat(" ", b.width)+"\r")
	b.width = 0
}
