package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"runtime"
	"strings"
	"sync"
	"syscall"
	"time"

	"golang.org/x/term"

	"shedlight/analyse"
	"shedlight/analyse/crash"
	"shedlight/cmd/shedlight/internal/reviews"
	"shedlight/cmd/shedlight/internal/settings"
	"shedlight/cmd/shedlight/internal/tunes"
	"shedlight/display"
	"shedlight/listen"
	"shedlight/listen/take"
)

// sessionPlan is what a session is made of, before it starts.
type sessionPlan struct {
	tune   *tunes.Tune
	source listen.Source
	name   string // of the instrument or the file
	limit  *limit // nil: it goes on until somebody ends it
	coming *coming

	sound  *sounding                   // nil: it is silent
	press  func(key rune) (taken bool) // what a key on the screen does; nil: nothing
	played bool                        // somebody plays, and may ask for something

	command     any // whose settings the take holds: see settings.Tell
	look        settings.Look
	quiet       bool
	plain, json bool
	noTake      bool
	takes       string     // folder; empty for the usual one
	files       take.Files // what it is written on; nil: the disk
	recovered   []string   // takes of sessions that were cut off
	warnings    []string
}

// play runs a planned session to its end: it keeps the take, shows what is
// heard, and ends with the summary.
func (p *program) play(plan *sessionPlan) error {
	defer plan.source.Close()
	letGo := sync.OnceValue(func() error { return plan.sound.close(p) })
	defer letGo()
	analyser, err := analyse.New(plan.tune.Setup)
	if err != nil {
		return err
	}
	// The first signal ends the session well. One that comes while that is done
	// changes nothing, and none is let go by default until the program has ended:
	// HUP comes twice by itself, from the system and from the shell, and a hurried
	// hand presses Ctrl-C twice.
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	defer atSignal(stop)()
	s := &session{analyser: analyser, source: plan.source, limit: plan.limit, coming: plan.coming, sound: plan.sound, slips: reviews.NewSlips()}
	s.status = display.Status{Source: plan.name, Quiet: plan.quiet, Goal: plan.tune.Goal()}
	for _, w := range plan.warnings {
		p.say("%s", w)
	}
	p.startTake(s, plan)
	p.startOutput(s, plan, stop)
	screenDone := p.startScreen(ctx, s, stop)
	left := false
	defer func() {
		plan.sound.hush()
		if !left { // a panic below is printed on a terminal that was given back
			stop()
			leave(s, screenDone)
		}
	}()
	failed := s.play(ctx)
	if failed == nil && s.limit.reached(s.now) {
		plan.sound.ring(ctx)
	}
	plan.sound.hush() // first: a disk or a terminal may take its time
	stop()
	takeErr := s.closeTake(s.now) // first: a terminal that nobody reads holds the screen up
	read, screenErr := leave(s, screenDone)
	left = true
	soundErr := letGo()
	if s.screen != nil && (!read || !term.IsTerminal(int(p.out.Fd()))) { // nobody reads the rest
		return errors.Join(failed, takeErr, soundErr)
	}
	defer p.endAtSignal(errors.Join(failed, takeErr, screenErr, soundErr))()
	return errors.Join(failed, screenErr, soundErr, p.endTake(s, takeErr), p.endOutput(s, plan, failed))
}

// endAtSignal lets a signal end the program from now on, as well as it has gone so
// far: all is kept by now, but a reader of standard output that takes nothing holds
// up the end. done undoes it.
func (p *program) endAtSignal(soFar error) (done func()) {
	code := exitDone
	if soFar != nil {
		code = exitFailed
	}
	return atSignal(func() { os.Exit(code) })
}

// atSignal has something done at the first signal that asks the program to end. done
// undoes that, but the signals are taken for good, so that none ends the program
// otherwise.
func atSignal(do func()) (done func()) {
	asked := make(chan os.Signal, 1)
	signal.Notify(asked, endings()...)
	over := make(chan struct{})
	go func() {
		select {
		case <-asked:
			do()
		case <-over:
		}
	}()
	return func() { close(over) }
}

// leave waits until the screen has given the terminal back. read is false where the
// terminal takes nothing any more: its modes were restored then.
func leave(s *session, done <-chan error) (read bool, err error) {
	limit := time.NewTimer(display.LeaveLimit)
	defer limit.Stop()
	select {
	case err = <-done:
		return true, err
	case <-limit.C:
	}
	if s.terminal != nil {
		s.terminal.GiveBack()
	}
	return false, nil
}

// recoverTakes makes takes of what sessions that were cut off have left in a folder,
// says so, and returns their paths.
func (p *program) recoverTakes(dir string) (recovered []string) {
	recovered, err := take.Recover(dir, tunes.Markers)
	for _, path := range recovered {
		p.say("recovered the take of a session that was cut off: %s", path)
	}
	if err != nil {
		p.fail("%v", err)
	}
	return recovered
}

// folder is where the takes go.
func (plan *sessionPlan) folder() string {
	if plan.takes == "" {
		return settings.TakesFolder()
	}
	return plan.takes
}

// startTake opens the new take. Where nothing can be kept, that is said and playing
// goes on.
func (p *program) startTake(s *session, plan *sessionPlan) {
	if plan.noTake {
		return
	}
	s.status.Recovered, s.status.RecoveredAt = len(plan.recovered), plan.folder()
	if len(plan.recovered) == 1 {
		s.status.RecoveredAt = plan.recovered[0]
	}
	var err error
	var under take.Settings
	settings.Tell(plan.command, &under)
	plan.tune.Tell(&under)
	under.Source, under.Program = plan.name, version()
	s.recorder, err = take.Start(plan.folder(), under, time.Now(), take.Options{Files: plan.files, Markers: tunes.Markers})
	if err != nil { // shown while it is played; the whole of it is said at the end
		s.refused, s.status.SaveError = err, reason(err)
	}
}

// endTake says what became of the take. The error says why there is none.
func (p *program) endTake(s *session, failed error) error {
	if s.recorder == nil {
		if s.refused != nil {
			return fmt.Errorf("this session was not saved: %w", s.refused)
		}
		return nil
	}
	kept := s.recorder.Status()
	if kept.Path != "" {
		p.say("saved %s", kept.Path)
	}
	if kept.Unsaved > 0 {
		return errors.Join(fmt.Errorf("%d events are not in the take", kept.Unsaved), cmp.Or(failed, kept.Err))
	}
	return failed
}

// startOutput chooses between lines and the screen.
func (p *program) startOutput(s *session, plan *sessionPlan, stop func()) {
	options := p.pageOptions(plan.look)
	plain := func(w io.Writer) lineFormat {
		lines := display.NewLines(w, options)
		if plan.quiet && plan.plain {
			lines.OnlySentences()
		}
		return lines
	}
	switch {
	case plan.json:
		s.lines = startLines(p.out, func(w io.Writer) lineFormat {
			return jsonLines{w: w, Lines: display.NewLines(p.messages, options)}
		}, stop)
		return
	case plan.plain || !term.IsTerminal(int(p.out.Fd())) || !term.IsTerminal(int(p.in.Fd())):
		s.lines, s.plain = startLines(p.out, plain, stop), true
		return
	}
	terminal, err := display.OpenTerminal()
	if err != nil { // TERM is empty, dumb or unknown
		p.say("shedlight: no screen on this terminal (%v): plain lines instead", err)
		s.lines, s.plain = startLines(p.out, plain, stop), true
		return
	}
	screen := display.NewScreen(terminal, plan.look.Options()) // it knows the terminal's signs by itself
	screen.Press, screen.Played = plan.press, plan.played
	s.terminal, s.screen = terminal, screen
}

// textOptions are the options of all that is printed and not drawn: ASCII too where
// the locale has no other signs.
func textOptions(look settings.Look) display.Options {
	options := look.Options()
	options.ASCII = options.ASCII || !unicodeLocale()
	return options
}

// unicodeLocale reports whether the locale says that the terminal reads UTF-8
// (POSIX: the first of these that is set counts). Windows has none: there the
// terminal does.
func unicodeLocale() bool {
	for _, name := range []string{"LC_ALL", "LC_CTYPE", "LANG"} {
		if value := os.Getenv(name); value != "" {
			value = strings.ToUpper(value)
			return strings.Contains(value, "UTF-8") || strings.Contains(value, "UTF8")
		}
	}
	return runtime.GOOS == "windows"
}

// startScreen runs the screen, if there is one. Leaving it stops the session.
func (p *program) startScreen(ctx context.Context, s *session, stop func()) <-chan error {
	done := make(chan error, 1)
	if s.screen == nil {
		close(done)
		return done
	}
	go func() {
		defer close(done)
		defer stop()
		// The terminal was given back on the way here. The session ends and saves.
		defer crash.Guard(func(c *crash.Crash) { done <- c })
		done <- s.screen.Run(ctx)
	}()
	return done
}

// endOutput ends the lines with the summary, or prints it where the screen was. After
// a crash there is none: what the judge or the lines then hold is not to be relied on.
// That nobody reads it any more is no failure.
func (p *program) endOutput(s *session, plan *sessionPlan, failed error) error {
	var fault *crash.Crash
	err := p.endLines(s)
	if !errors.As(errors.Join(failed, err), &fault) {
		err = p.writeSummary(s, plan)
	}
	if errors.Is(err, syscall.EPIPE) || errors.Is(err, syscall.EIO) { // a pipe, a terminal
		return nil
	}
	return err
}

// endLines waits until all lines are written.
func (p *program) endLines(s *session) error {
	if s.lines == nil {
		return nil
	}
	dropped, err := s.lines.close()
	if dropped > 0 && err == nil {
		p.say("shedlight: %d lines were dropped: standard output was read too slowly", dropped)
	}
	return err
}

func (p *program) writeSummary(s *session, plan *sessionPlan) error {
	taken := ""
	if s.recorder != nil {
		taken = s.recorder.Status().Path
	}
	reached := reviews.Conclude(s.analyser.Summary(), plan.tune, taken)
	if twice := plan.tune.Twice(&s.doubles); plan.played && twice != "" { // of a file it was said before
		p.say("shedlight: %s", twice)
	}
	if plan.json {
		var line summaryJSON
		line.Summary.Outcome, line.Summary.Damage = reached, []reviews.Damage{}
		return writeJSON(p.out, line)
	}
	shown := reached.Shown()
	shown.SlipNames, shown.Unsplit = s.slips.Names(reached.Forgotten), plan.tune.Unsplit()
	shown.Goal, shown.Kept = plan.tune.Goal(), taken != ""
	return display.WriteSummary(p.out, shown, p.pageOptions(plan.look))
}
