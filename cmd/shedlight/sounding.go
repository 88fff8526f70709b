package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"os/exec"
	"sync"
	"time"

	"github.com/adrg/xdg"

	"shedlight/analyse/backing"
	"shedlight/analyse/crash"
	"shedlight/analyse/phrase"
	"shedlight/analyse/song"
	"shedlight/cmd/shedlight/internal/settings"
	"shedlight/cmd/shedlight/internal/tunes"
	"shedlight/listen/beat"
	"shedlight/listen/sound"
)

const (
	// soundWithin is how long a session waits for its sound before it begins
	// without: an audio server takes a tenth of it.
	soundWithin = time.Second
	// clickWithin is the same where nothing can be done without a click.
	clickWithin = 6 * time.Second
	// soundAhead is how long before its first click a count-in is known: what the
	// way to the sound process and its device's buffer take, and some more.
	soundAhead = 150 * time.Millisecond
)

// sounding is the sound of a session. The sound process is beside it: what it
// says comes on a goroutine of its own (hear), and it is told what is beat by
// another, the conductor's. The session asks how it stands (told).
type sounding struct {
	process *sound.Process
	click   sound.Pattern
	gaps    song.Gaps         // bars without a click
	parts   []sound.Part      // beside the click
	line    func() *beat.Line // what is beat, from any goroutine
	zero    func() time.Time  // when tick 0 was, once the source has begun

	first func()        // ends the wait for the process's first word
	stop  func()        // ends the conductor; nil before begin
	ended chan struct{} // the conductor has ended
	fault *crash.Crash  // by a crash, before that

	mu     sync.Mutex
	name   string // of what it sounds on; empty while it sounds on nothing
	lost   string // why it sounds no more
	news   string // what the player is to be told, once
	level  uint8
	missed int64 // notes that came too late

	cautioned bool // that was said

	echo *echo // the session's goroutine has it; the conductor's plays its part; nil: nobody plays
}

// startSound starts the sound that a player wants, and waits for it so long.
// timed says that there is a tempo: by default there is no sound without one. It
// returns nil where no sound is wanted, and says why where there can be none.
func (p *program) startSound(wanted settings.Sound, api string, timed bool, within time.Duration) *sounding {
	if wanted.Silent(timed) {
		return nil
	}
	options := sound.Options{MIDI: wanted.MIDI(), Speaker: wanted.Speaker, Out: wanted.Out}
	if options.MIDI || api == "jack" {
		options.API = api
	}
	spoken := make(chan struct{})
	s := &sounding{
		click: pattern(wanted.Click), level: sound.DefaultLevel,
		first: sync.OnceFunc(func() { close(spoken) }),
	}
	process, err := sound.Start(options, s.hear)
	if err != nil {
		p.say("no sound: %v", err)
		return nil
	}
	s.process = process
	select {
	case <-spoken:
	case <-time.After(within):
	}
	return s
}

func pattern(click string) sound.Pattern {
	switch click {
	case "off":
		return sound.Off
	case "2-4":
		return sound.Offbeats
	}
	return sound.Beats
}

// join lets a band play along over the tune's chart, and the click fall silent as it says.
func (s *sounding) join(wanted settings.Band, tune *tunes.Tune) {
	s.gaps = tune.Setup.Gaps
	if wanted.Plays() {
		seed := uint64(time.Now().Unix()) // another line each evening
		band := backing.New(tune.Setup.Timeline, seed, tune.Setup.Keys.Timelines()...)
		s.parts = append(s.parts, sound.Backing(band, wanted.Backing == "full"))
	}
}

// caution is said with the first sound. A screen of 80 columns shows all but the
// name.
const caution = "volume %d of %d (+ -); keep it low enough to talk over. On %s"

// hear takes what the sound process says.
func (s *sounding) hear(r sound.Report) {
	s.mu.Lock()
	defer s.mu.Unlock()
	switch r.News {
	case sound.Sounding:
		switch {
		case !s.cautioned:
			s.cautioned = true
			s.news = fmt.Sprintf(caution, s.level, sound.MaxLevel, r.Name)
		case s.lost != "":
			s.news = "sound again: " + r.Name
		} // else with another buffer, which is said already
		s.name, s.lost = r.Name, ""
	case sound.LostSound:
		s.name, s.lost = "", cmp.Or(r.Text, "the audio device is gone")
	case sound.Refused:
		s.name = ""
		if s.lost == "" { // else it is said already
			s.news = "no sound: " + r.Text
		}
	case sound.NoDevice:
		s.name = ""
		s.news = "no sound device: nobody hears " + r.Name
	case sound.Enlarged:
		s.news = fmt.Sprintf("the sound has stumbled: it comes %d ms later now", r.Buffer.Milliseconds()/2)
	case sound.Missed:
		s.missed = r.Count
	case sound.Underrun, sound.Garbled: // nothing that a player could do
		return
	}
	s.first()
}

// on reports whether it sounds.
func (s *sounding) on() bool { return s.output() != "" }

// output returns the name of what it sounds on; empty where it is silent.
func (s *sounding) output() string {
	if s == nil {
		return ""
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.name
}

// begin lets it sound, once the source has begun.
func (s *sounding) begin() {
	zero := s.zero()
	s.process.Begin(zero)
	s.mu.Lock() // a key may turn it already
	s.process.SetLevel(s.level)
	s.mu.Unlock()
	ctx, stop := context.WithCancel(context.Background())
	s.stop, s.ended = stop, make(chan struct{})
	go func() {
		defer close(s.ended)
		defer crash.Guard(func(c *crash.Crash) { // judging goes on
			s.fault = c
			s.hear(sound.Report{News: sound.LostSound, Text: c.Error()})
		})
		s.process.Conduct(ctx, zero, sound.NewConductor(append(s.parts, s.click.Part(s.gaps))...), s.line)
	}()
}

// blip answers something that the player asked for.
func (s *sounding) blip() { s.process.Blip(time.Since(s.zero())) }

// echoes lets phrases be sounded again, before it begins. line can be asked by any
// goroutine.
func (s *sounding) echoes() {
	s.echo = &echo{}
	s.parts = append(s.parts, s.echo.part)
}

// playBack sounds a phrase again, asked for at a tick.
func (s *sounding) playBack(p *phrase.Phrase, now int64) {
	s.echo.start(p, now, s.line(), time.Since(s.zero()))
}

// press turns the volume by a key of the screen, where nobody plays.
func (s *sounding) press(key rune) (taken bool) {
	switch volumeKeys()[key] {
	case beat.Louder:
		s.turn(1)
	case beat.Softer:
		s.turn(-1)
	default:
		return false
	}
	return true
}

// turn changes the volume by some steps.
func (s *sounding) turn(steps int) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.level = uint8(min(max(int(s.level)+steps, 0), sound.MaxLevel))
	s.news = fmt.Sprintf("volume %d of %d", s.level, sound.MaxLevel)
	s.process.SetLevel(s.level)
}

// told returns why it sounds no more, and what there is to tell once.
// A nil sounding tells nothing.
func (s *sounding) told() (lost, news string) {
	if s == nil {
		return "", ""
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	news, s.news = s.news, ""
	return s.lost, news
}

// hush lets go of everything that sounds, for good. It waits for no other process.
// A nil sounding has nothing to let go of.
func (s *sounding) hush() {
	if s == nil {
		return
	}
	if s.stop != nil {
		s.stop()
		<-s.ended
	}
	s.process.End()
}

// close hushes, waits for the sound process, and says what was not heard. The error
// is a crash on this side of the pipe.
func (s *sounding) close(p *program) error {
	if s == nil {
		return nil
	}
	s.hush()
	err := s.process.Close()
	var fault *crash.Crash
	switch {
	case s.fault != nil:
		err = s.fault
	case err != nil && !errors.As(err, &fault):
		p.say("shedlight: the sound process did not end well: %v", err)
		var ended *exec.ExitError
		if log, failed := xdg.SearchStateFile(crashLog); failed == nil && errors.As(err, &ended) && ended.ExitCode() == exitCrashed {
			p.say(sendIt, log)
		}
		err = nil
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if unheard := s.missed + s.process.Dropped(); unheard > 0 {
		p.say("shedlight: %d clicks or notes came too late to be heard", unheard)
	}
	return err
}
