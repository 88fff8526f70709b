package main

import (
	"errors"
	"os"
	"slices"
	"sync"

	"golang.org/x/term"

	"shedlight/analyse/crash"
	"shedlight/cmd/shedlight/internal/settings"
	"shedlight/cmd/shedlight/internal/tunes"
	"shedlight/display"
	"shedlight/listen/beat"
)

// starting is what is chosen before a session: the start screen, over a call of listen
// that says what was said the last time. What is chosen there is said in the call as if
// it were typed, so that it is read, refused and repeated as that is.
//
// Keys come on the screen's goroutine, what the instrument does on the scout's; each
// changes what is below under the lock and posts a frame.
type starting struct {
	command *listenCommand
	call    *settings.Call
	charts  []string // those to choose from, as --chart names them
	scout   *scout
	post    func(display.Frame)
	stop    func() // ends the start screen

	mu     sync.Mutex
	chosen int    // a row
	typing bool   // its value is being typed
	typed  []rune // so far
	wrong  string // why it cannot begin so
	tune   *tunes.Tune
	seen   sighting
	play   bool // it is to begin
}

// startTerminal returns the terminal for a start screen where the program was called
// with nothing, by somebody who sits at one; nil elsewhere. One that no screen can be
// drawn on is told so.
func (p *program) startTerminal(args []string) *display.Terminal {
	if len(args) > 0 || p.in == nil || !term.IsTerminal(int(p.in.Fd())) || !term.IsTerminal(int(p.out.Fd())) {
		return nil
	}
	terminal, err := display.OpenTerminal()
	if err != nil {
		p.say("shedlight: no start screen on this terminal (TERM is %q); these are the commands:", os.Getenv("TERM"))
		return nil
	}
	return terminal
}

// ask lets the player choose, and reports whether a session is to begin.
func (p *program) ask(c *listenCommand) (play bool, err error) {
	restore := p.quieten()
	defer restore()
	ctx, cancel := untilSignal()
	defer cancel()
	screen := display.NewScreen(p.start, c.Look.Options())
	s := &starting{command: c, call: p.said, charts: recentCharts(c), post: screen.Post, stop: cancel}
	s.scout = newScout(c, s.sighted)
	s.begin()
	screen.Press, screen.Played = s.press, true
	scouted := make(chan error, 1)
	go func() {
		defer close(scouted)
		defer cancel()
		defer crash.Guard(func(c *crash.Crash) { scouted <- c })
		s.scout.run(ctx)
	}()
	err = screen.Run(ctx)
	cancel()
	err = errors.Join(err, <-scouted) // the port is closed: the session opens it
	return s.play && err == nil, err
}

// begin shows what there is before anything is heard.
func (s *starting) begin() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.chosen = slices.IndexFunc(choices(), func(c choice) bool { return c.name == "chart" })
	s.scout.choose(s.command.In, s.command.API)
	s.read()
	s.show()
}

// read reads what is played over, and says what is wrong with it.
func (s *starting) read() {
	tune, err := tunes.Of(s.command.Tune, s.command.Hand, nil)
	s.tune, s.wrong = tune, ""
	if err != nil {
		s.tune = nil
	}
	if unfit := s.command.check(); unfit != nil {
		err = unfit
	}
	if err != nil {
		s.wrong = s.call.Blame(err).Error()
	}
}

// sighted takes what the scout tells.
func (s *starting) sighted(seen sighting) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.seen = seen
	switch seen.asked { // by a pedal
	case beat.Again:
		s.enter()
	case beat.BarOn:
		s.step(1)
	case beat.BarBack:
		s.step(-1)
	}
	s.show()
}

// press takes a key.
func (s *starting) press(key rune) (taken bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.typing {
		s.typeOn(key)
		s.show()
		return true
	}
	switch key {
	case display.KeyUp:
		s.chosen = max(s.chosen-1, 0)
	case display.KeyDown:
		s.chosen = min(s.chosen+1, len(choices())-1)
	case display.KeyForward:
		s.step(1)
	case display.KeyBack:
		s.step(-1)
	case display.KeyErase:
		s.say("")
	case display.KeyEnter:
		s.enter()
	case 'e':
		s.typing, s.typed = true, nil
		if words, from := s.call.Said(s.flag()); from != settings.BuiltIn {
			s.typed = []rune(words[0])
		}
	default:
		return false
	}
	s.show()
	return true
}

// typeOn takes a key while a value is typed.
func (s *starting) typeOn(key rune) {
	switch {
	case key == display.KeyEnter && s.say(string(s.typed)), key == display.KeyEsc:
		s.typing = false
		s.read()
	case key == display.KeyErase:
		s.typed = s.typed[:max(len(s.typed)-1, 0)]
	case key >= ' ' && key != display.KeyUp && key != display.KeyDown:
		s.typed = append(s.typed, key)
	}
}

// flag is the flag that the chosen row stands for.
func (s *starting) flag() string { return choices()[s.chosen].flag(s) }

// step goes to the next value of the chosen row.
func (s *starting) step(by int) { s.say(choices()[s.chosen].next(s, by)) }

// say says the chosen row in the call; nothing takes back what was said. Where the flag
// refuses it that is shown, and nothing else changes.
func (s *starting) say(word string) (fit bool) {
	name := s.flag()
	if word == "" {
		s.call.Unsay(name)
	} else if err := s.call.Say(name, word); err != nil {
		s.wrong = err.Error()
		return false
	}
	switch name {
	case "chart": // these were of the one before
		s.call.Unsay("key", "centre", "bars", "voicing", "tempo", "goal")
		if word == "" {
			s.call.Unsay("choruses", "backing", "faster", "gaps", "trade", "move")
		}
	case "in":
		s.call.UnderAnew() // what is for an instrument alone goes with no file
		s.scout.choose(s.command.In, s.command.API)
	}
	s.read()
	return true
}

// enter lets the session begin, where it can.
func (s *starting) enter() {
	s.read()
	if s.wrong == "" && s.seen.err != nil && s.seen.wanted == s.command.In && !isMIDIFile(s.command.In) {
		s.wrong = s.seen.err.Error()
	}
	if s.wrong == "" {
		s.play = true
		s.stop()
	}
}

// show posts a frame.
func (s *starting) show() {
	shown := &display.Start{Chosen: s.chosen, Typing: s.typing, Wrong: s.wrong}
	for i, one := range choices() {
		row := display.StartRow{Name: one.name, Value: one.shown(s)}
		_, from := s.call.Said(one.flag(s))
		row.From = fromWord(from)
		switch {
		case s.typing && i == s.chosen:
			row.Value = string(s.typed)
		case one.name == "instrument" && s.seen.name != "":
			row.Heard = &display.Heard{Name: s.seen.note, Level: s.seen.level}
		case one.name == "chart":
			row.Bars = firstLine(s.tune)
		}
		shown.Rows = append(shown.Rows, row)
	}
	s.post(display.Frame{Start: shown})
}

// fromWord says who said a value.
func fromWord(from settings.Source) string {
	switch from {
	case settings.InFile:
		return "settings"
	case settings.LastTime:
		return "as last time"
	case settings.OnLine:
		return "chosen now"
	}
	return ""
}

// firstLine is the chords of the first bars of a tune, as many as a page of the screen
// has.
func firstLine(tune *tunes.Tune) (bars [][]string) {
	const most = 4
	if tune == nil || tune.Setup.Timeline == nil {
		return nil
	}
	line := tune.Setup.Timeline
	bars = make([][]string, min(most, len(line.Bars)))
	for i := range line.Slots {
		for b := range bars {
			if at := &line.Bars[b]; line.Slots[i].Start < at.Start+at.Meter.Bar() && line.Slots[i].End > at.Start {
				bars[b] = append(bars[b], line.Slots[i].Symbol)
			}
		}
	}
	return bars
}
