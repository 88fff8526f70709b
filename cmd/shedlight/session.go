package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"time"

	"shedlight/analyse"
	"shedlight/analyse/crash"
	"shedlight/analyse/feel"
	"shedlight/analyse/fit"
	"shedlight/analyse/song"
	"shedlight/cmd/shedlight/internal/reviews"
	"shedlight/display"
	"shedlight/listen"
	"shedlight/listen/beat"
	"shedlight/listen/hands"
	"shedlight/listen/take"
)

// The threads of a session, and who loses what when something is slow:
//
//	driver callback   stamps, copies, one non-blocking send into the source's
//	                  queue. Full queue: notes are lost, counted, shown.
//	this goroutine    owns the analyser: takes events from the source in order,
//	                  hands each to the recorder, judges it, hands findings to
//	                  the lines. It waits for nobody. A frame costs as much as
//	                  ten events, so one is made at the event where the screen
//	                  is free to draw it; else the screen wakes the source when
//	                  it has become free, and the frame is made in that turn.
//	recorder          owns the journal. Slow disk: its queue fills, what does not
//	                  fit is "not saved", counted, shown; playing goes on.
//	sound             a process of its own, told by the conductor's goroutine what
//	                  is beat. Slow: what does not fit is dropped and counted;
//	                  playing goes on.
//	lines             owns standard output with --json and --plain. A slow
//	                  reader: its queue fills, lines are dropped and counted.
//	screen            owns the terminal. Slow terminal: it asks for frames less
//	                  often; the next one it draws is the newest.
//	watcher, signals  the instrument's presence and the end reach the session as
//	                  events and as the end of the context.

// session is one source, judged from its first event to its last.
type session struct {
	analyser *analyse.Analyser
	source   listen.Source
	recorder *take.Recorder    // nil: nothing is kept
	refused  error             // why nothing is kept, where it was to be
	lines    *lines            // nil: no findings on standard output
	screen   screen            // nil: no screen
	terminal *display.Terminal // what it draws on, where that is one
	limit    *limit            // nil: it goes on until somebody ends it
	coming   *coming           // nil: nothing comes by itself
	now      int64             // the tick of the last event
	status   display.Status
	shown    display.Status // what the lines know of it
	plain    bool           // the lines tell of phrases and choruses too
	told     analyse.Over   // what they know of these
	unseen   bool           // something has happened since the last frame
	made     time.Time      // that was
	slips    reviews.Slips
	doubles  take.Doubles
	sound    *sounding // nil: it is silent
	returned feel.Return
	noticed  time.Time // when the status has its notice from
}

// screen is a display.Screen as a session needs it.
type screen interface {
	Run(context.Context) error
	Post(display.Frame)
	Free() bool
	Freed() <-chan struct{}
}

// play runs the session until the source ends or ctx is done, and settles what
// is open. The error is the source's, or a crash on the way.
func (s *session) play(ctx context.Context) (err error) {
	defer crash.Guard(func(c *crash.Crash) { err = c })
	var wake <-chan struct{}
	if s.screen != nil {
		wake = s.screen.Freed()
		s.screen.Post(s.frame())
	}
	s.show()
	begun := false
	for e, failure := range s.source.Events(ctx, wake) {
		if !begun && s.sound != nil {
			s.sound.begin()
		}
		begun = true
		if failure != nil {
			err = failure
			break
		}
		if e.Kind == analyse.Advance && e.Tick == s.now { // only a turn
			s.checkSound()
			s.checkClock()
			s.draw()
			continue
		}
		s.now = e.Tick
		if s.status.Notice != "" && time.Since(s.noticed) > noticeFor {
			s.status.Notice = ""
		}
		if s.recorder != nil {
			s.recorder.Add(e)
		}
		if e.Kind == analyse.Advance {
			findings := s.analyser.AdvanceTo(e.Tick)
			s.unseen = s.unseen || len(findings) > 0 || time.Since(s.made) >= passing
			s.tell(findings)
		} else {
			s.unseen = true
			s.doubles.Add(e)
			s.follow(e)
			s.tell(s.analyser.Add(e))
			s.answerJudged(e.Kind)
		}
		s.playBack()
		s.show()
		if s.limit.reached(s.now) {
			break
		}
	}
	s.tell(s.analyser.Finish(s.now))
	s.show()
	if s.screen != nil {
		s.screen.Post(s.frame())
	}
	return err
}

// tell hands findings on. They are the analyser's until the next call, so each
// is copied.
func (s *session) tell(findings []analyse.Finding) {
	for i := range findings {
		s.slips.Add(&findings[i])
		if f := &findings[i]; s.canEcho() && f.Stage == analyse.Heard {
			s.sound.echo.heard(f, s.sound.line())
		}
		if s.lines != nil {
			s.lines.finding(findings[i])
		}
	}
	if s.lines == nil {
		return
	}
	for _, v := range s.analyser.Verdicts() {
		if v.Claims() && v.Span != fit.Phrase { // phrases are for the review
			s.lines.fit(v)
		}
	}
}

// follow keeps the status of the listening side.
func (s *session) follow(e analyse.Event) {
	if s.canEcho() {
		s.sound.echo.released(e)
	}
	switch e.Kind {
	case analyse.Release:
		s.status.Gone = s.status.Gone || analyse.Reason(e.Value) == analyse.Unplugged
	case analyse.Found:
		s.status.Gone = false
		if port, ok := s.source.(interface{ Name() string }); ok { // it may come back under another
			s.status.Source = port.Name()
		}
	case analyse.Lost:
		s.status.Lost += e.Value
	case analyse.Asked:
		s.answer(beat.Action(e.Value))
	}
}

// answer answers what the player asks for, by a word and a blip.
func (s *session) answer(a beat.Action) {
	s.notice(hands.Word(a))
	if (a == beat.Faster || a == beat.Slower) && s.coming.follows() {
		s.notice("the tempo is the clock's")
	}
	if a == beat.PhraseBack && !s.sound.on() {
		s.notice("no sound: no phrase is played back")
	}
	if s.sound == nil {
		return
	}
	switch a {
	case beat.PhraseBack:
		if s.canEcho() {
			s.sound.echo.wanted = s.sound.on()
		}
	case beat.Louder:
		s.sound.turn(1)
	case beat.Softer:
		s.sound.turn(-1)
	}
	s.sound.blip()
}

// answerJudged answers what the judge has to be asked about.
func (s *session) answerJudged(k analyse.Kind) {
	switch k {
	case analyse.Forget:
		s.notice(forgot(s.analyser.Forgotten()))
	case analyse.NextView:
		s.notice(turned(s.analyser.View()))
	}
}

// turned says which view holds.
func turned(view song.View, is bool) string {
	switch {
	case !is:
		return "no chart: there is one view"
	case view == song.ChordView:
		return "in each chord"
	}
	return "in one key"
}

// canEcho reports whether phrases can be sounded again: somebody plays, and it sounds.
func (s *session) canEcho() bool { return s.sound != nil && s.sound.echo != nil }

// playBack sounds the last phrase again, once that is asked for and nothing is played.
func (s *session) playBack() {
	if !s.canEcho() || !s.sound.echo.wanted {
		return
	}
	over := s.analyser.Over()
	if over.InPhrase {
		return
	}
	s.sound.echo.wanted = false
	p, ok := s.analyser.Phrase(over.Phrase)
	if !ok {
		s.notice("no phrase yet")
		return
	}
	s.sound.playBack(&p, s.now)
}

// forgot says which chorus is forgotten.
func forgot(chorus int, anew bool) string {
	switch {
	case chorus == 0:
		return "no chorus to forget"
	case !anew:
		return fmt.Sprintf("chorus %d is forgotten already", chorus)
	}
	return fmt.Sprintf("chorus %d forgotten", chorus)
}

// noticeFor is how long the answer to the player stands: long enough to be read
// between two phrases.
const noticeFor = 4 * time.Second

// notice shows a word for a while.
func (s *session) notice(text string) { s.status.Notice, s.noticed = text, time.Now() }

// show hands the state on: to the lines where it has changed, to a screen where it
// is free.
func (s *session) show() {
	s.checkSound()
	s.checkClock()
	s.checkComing()
	if s.lines != nil {
		s.checkTake()
		if s.status != s.shown {
			s.lines.status(s.status)
			s.shown = s.status
		}
	}
	if s.plain {
		if over := s.analyser.Over(); over != s.told {
			s.lines.snapshot(s.analyser.Snapshot())
			s.told = over
		}
	}
	s.draw()
}

// passing is how old a frame is when the passing of time alone makes another: a beat is
// seen on time, and most that were made more often would show nothing new.
const passing = time.Second / 40

// draw gives the screen a frame where there is something new and it can be drawn.
func (s *session) draw() {
	if s.screen != nil && s.unseen && s.screen.Free() {
		s.screen.Post(s.frame())
	}
}

// checkSound keeps the status of the sound.
func (s *session) checkSound() {
	if s.sound == nil {
		return
	}
	lost, news := s.sound.told()
	s.unseen = s.unseen || lost != s.status.NoSound || news != ""
	if s.status.NoSound = lost; news != "" {
		s.notice(news)
	}
}

// checkClock keeps whether the clock that is followed is lost.
func (s *session) checkClock() {
	if port, ok := s.source.(interface{ ClockLost() bool }); ok {
		lost := port.ClockLost()
		s.unseen = s.unseen || lost != s.status.ClockLost
		s.status.ClockLost = lost
	}
}

// checkComing keeps what is about to happen by itself, and tells how the player came
// through the bars without a click.
func (s *session) checkComing() {
	was := s.status
	s.status.Coming = both(turns(s.analyser.Turns()), s.coming.at(s.now))
	s.status.Key, s.status.NextKey = s.keys()
	s.unseen = s.unseen || s.status != was
	if r, ok := s.analyser.Returned(); ok && r != s.returned {
		s.returned = r
		s.notice("back with the click: " + display.Drift(r.DriftMS))
	}
}

// keys are the key of the chorus, where that changes, and that of the next one, where it is
// to be told.
func (s *session) keys() (now, next string) {
	now, next, left := s.analyser.Keys()
	if left > barsAhead || s.limit.last(s.now) { // then no other comes
		return now, ""
	}
	return now, next
}

// checkTake keeps the status of the take.
func (s *session) checkTake() {
	if s.recorder == nil {
		return
	}
	r := s.recorder.Status()
	s.status.TakePath, s.status.TakeAnew, s.status.Unsaved, s.status.SaveError = r.Path, r.Anew, r.Unsaved, ""
	if r.Err != nil {
		s.status.SaveError = reason(r.Err)
	}
}

// frame is what the screen is to show now.
func (s *session) frame() display.Frame {
	s.checkTake()
	s.unseen, s.made = false, time.Now()
	f := display.Frame{Snapshot: s.analyser.Snapshot(), Status: s.status}
	f.Ending, f.LastChorus = s.limit.ending(f.Snapshot.Tick), s.limit.last(f.Snapshot.Tick)
	return f
}

// reason is why a file could not be written, without its path, which would
// leave no room for it on the screen.
func reason(err error) string {
	var failed *fs.PathError
	if errors.As(err, &failed) {
		return failed.Err.Error()
	}
	return err.Error()
}

// closeTake ends the take at a tick. What became of it is in its status.
func (s *session) closeTake(end int64) error {
	if s.recorder == nil {
		return nil
	}
	_, err := s.recorder.Close(end)
	return err
}
