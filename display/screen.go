// Package display is what the player sees: the live screen, plain lines for
// where there is no terminal, the summary and the review page. It is told what
// the analyser found and knows no instrument and no file.
package display

import (
	"context"
	"fmt"
	"sync/atomic"
	"time"

	"github.com/gdamore/tcell/v2"

	"shedlight/analyse/crash"
)

// minInterval is the least time between two pictures: 60 a second, the most
// that terminals show.
const minInterval = time.Second / 60

// Screen is the live screen.
//
//	any goroutine --Post--> newest frame --Run--> terminal
//	                   <--Free, Freed--
//
// Post leaves a frame where Run finds it; a newer one replaces it, so that a
// slow terminal costs pictures and never time elsewhere. A frame costs more than
// the event that it shows, so Free and Freed say when one is worth making: it is
// drawn at once then, and none in between would have been seen. Run is the one
// goroutine that draws and the only caller of Init, Show, Sync, Suspend, Resume
// and Fini: a Show after Fini would hang. tcell's own queue carries keys and
// sizes only. A channel of frames was refused: full, it would either block the
// sender or keep the older frame.
type Screen struct {
	// Press is called by Run for each key, and reports whether it took it: what it does
	// not take may be one of the screen's own, q and ?. Ctrl-C, Ctrl-Z and Ctrl-L it never
	// gets, nor a key that closes the help page. It must not wait. It is set before Run;
	// nil takes no keys.
	Press func(key rune) (taken bool)
	// Played says that somebody plays: the help page has what they can ask for. It is
	// set before Run.
	Played bool

	ts      tcell.Screen
	options Options

	newest atomic.Pointer[Frame]
	wake   chan struct{} // holds one token while newest has not been looked at
	free   atomic.Bool
	freed  chan struct{} // holds one token since free has become true

	// All below belong to Run.
	painter *painter
	palette *palette
	shown   canvas // what the terminal was last told
	stale   bool   // the terminal must be drawn whole
}

// NewScreen returns a screen on a tcell screen that is not initialised yet.
// The tcell screen then belongs to Run alone.
func NewScreen(ts tcell.Screen, o Options) *Screen {
	return &Screen{ts: ts, options: o, wake: make(chan struct{}, 1), freed: make(chan struct{}, 1)}
}

// Post shows a frame, at the latest when the terminal has taken the picture
// before it and a sixtieth of a second has passed. A frame that comes before
// that replaces it. Post never blocks and may be called from any goroutine,
// also before and after Run; the frame must not be changed afterwards.
func (s *Screen) Post(f Frame) {
	s.free.Store(false)
	s.newest.Store(&f)
	select {
	case s.wake <- struct{}{}:
	default:
	}
}

// Free reports whether a frame that is posted now is drawn at once: Run is under
// way, the last picture is a sixtieth of a second old or came to nothing new, and
// no frame waits. May be called from any goroutine.
func (s *Screen) Free() bool { return s.free.Load() }

// Freed gives something to receive after each time that Free has become true.
func (s *Screen) Freed() <-chan struct{} { return s.freed }

// Run owns the terminal until the player leaves (q, Ctrl-C) or ctx is done,
// both without an error, or until the terminal fails. It is called once. When
// it returns, by a panic too, the terminal is as it was before. It returns no
// sooner than the terminal has taken what was being drawn, if it ever does: what
// must not wait for that, like saving the take, comes first.
func (s *Screen) Run(ctx context.Context) error {
	if err := s.ts.Init(); err != nil {
		return fmt.Errorf("the terminal cannot be drawn on: %w; try --plain", err)
	}
	events := make(chan tcell.Event)
	quit := make(chan struct{})
	failed := make(chan *crash.Crash, 1)
	go func() {
		defer crash.Guard(func(c *crash.Crash) { failed <- c })
		s.ts.ChannelEvents(events, quit)
	}()
	// Deferred, so that a panic below passes with the terminal restored.
	defer s.ts.Fini()
	defer close(quit)
	defer s.free.Store(false)

	stops := watchStops()
	defer stops.end()
	s.start()
	s.draw()

	ready := time.NewTimer(minInterval)
	defer ready.Stop()
	resting, wanted := false, false // the last picture is old enough; a newer one waits
	for {
		select {
		case <-ctx.Done():
			return nil
		case fault := <-failed:
			panic(fault)
		case <-stops.asked():
			if err := s.pause(stops); err != nil {
				return err
			}
		case <-stops.resumed():
			// Stopped and continued behind our back: the terminal may be in any state.
			if err := s.renew(); err != nil {
				return err
			}
		case ev, open := <-events:
			if !open {
				return fmt.Errorf("the terminal has gone")
			}
			leave, err := s.handle(ev, stops)
			if leave || err != nil {
				return err
			}
		case <-s.wake:
			wanted = true
		case <-ready.C:
			resting = true
		}
		if resting && (wanted || s.stale) {
			wanted = false
			s.free.Store(false)
			if s.draw() { // a picture like the last one keeps no other waiting
				resting = false
				ready.Reset(minInterval)
			}
		}
		if resting && !wanted && !s.free.Swap(true) {
			select {
			case s.freed <- struct{}{}:
			default:
			}
		}
	}
}

// start prepares what depends on the terminal: its character set, the width it
// gives to signs, its colours.
func (s *Screen) start() {
	o := s.options
	for _, sign := range []rune{'♭', '♯', '─', '█', '▴'} {
		// A box character is two cells wide where tcell is told that the
		// terminal is an East Asian one.
		if !canWrite(s.ts.CharacterSet(), sign) || width(string(sign)) != 1 {
			o.ASCII = true
		}
	}
	s.painter = newPainter(o)
	s.palette = newPalette(huesOf(s.ts.Colors()))
	s.ts.HideCursor()
	s.stale = true
}

// canWrite reports whether a character set has a sign. One that tcell knows no
// encoding for is Unicode.
func canWrite(charset string, sign rune) bool {
	e := tcell.GetEncoding(charset)
	if e == nil {
		return true
	}
	const substitute = "\x1A" // what some encoders write in place of what they lack
	out, err := e.NewEncoder().String(string(sign))
	return err == nil && out != substitute
}

// handle answers an event of the terminal; leave says that the player is done.
func (s *Screen) handle(ev tcell.Event, stops *stops) (leave bool, err error) {
	switch ev := ev.(type) {
	case *tcell.EventError:
		return true, fmt.Errorf("the terminal has gone: %w", ev)
	case *tcell.EventResize:
		s.stale = true
	case *tcell.EventKey:
		switch {
		case ev.Key() == tcell.KeyCtrlC:
			return true, nil
		case ev.Key() == tcell.KeyCtrlZ:
			return false, s.pause(stops)
		case ev.Key() == tcell.KeyCtrlL:
			s.stale = true
		case s.painter.help != noHelp && ev.Rune() != 'q' && ev.Rune() != 'Q' && ev.Rune() != '?':
			s.setHelp(noHelp)
		case s.Press != nil && s.Press(pressed(ev)):
		case ev.Rune() == 'q', ev.Rune() == 'Q':
			return true, nil
		case ev.Rune() == '?':
			s.setHelp((s.painter.help + 1) % (helpWords + 1))
		}
	}
	return false, nil
}

// KeyForward and KeyBack are what Press is given for the arrows to the right and
// to the left, and for the signs that look like them; the others are what it is given
// for the keys of these names.
const (
	KeyForward, KeyBack        = '>', '<'
	KeyUp, KeyDown             = '↑', '↓'
	KeyEnter, KeyEsc, KeyErase = '\r', '\x1b', '\b'
)

// pressed returns what a key is to Press.
func pressed(ev *tcell.EventKey) rune {
	switch ev.Key() {
	case tcell.KeyRight:
		return KeyForward
	case tcell.KeyLeft:
		return KeyBack
	case tcell.KeyUp, tcell.KeyBacktab:
		return KeyUp
	case tcell.KeyDown, tcell.KeyTab:
		return KeyDown
	case tcell.KeyEnter:
		return KeyEnter
	case tcell.KeyEsc:
		return KeyEsc
	case tcell.KeyBackspace, tcell.KeyBackspace2, tcell.KeyDelete:
		return KeyErase
	}
	return ev.Rune()
}

func (s *Screen) setHelp(page helpPage) {
	s.painter.help, s.painter.asks = page, s.Played
	select {
	case s.wake <- struct{}{}:
	default:
	}
}

// pause gives the terminal back, stops the process and takes the terminal
// again when it goes on.
func (s *Screen) pause(stops *stops) error {
	if !canStop {
		return nil
	}
	if err := s.ts.Suspend(); err != nil {
		return fmt.Errorf("giving the terminal back: %w", err)
	}
	stops.stop()
	return s.resume()
}

func (s *Screen) resume() error {
	if err := s.ts.Resume(); err != nil {
		return fmt.Errorf("taking the terminal again: %w", err)
	}
	s.stale = true
	return nil
}

func (s *Screen) renew() error {
	if err := s.ts.Suspend(); err != nil {
		return fmt.Errorf("giving the terminal back: %w", err)
	}
	return s.resume()
}

// draw brings the terminal up to the newest frame. It tells tcell the cells
// that changed, and nothing at all where none did; then it returns false.
func (s *Screen) draw() bool {
	f := s.newest.Load()
	if f == nil {
		f = &Frame{}
	}
	w, h := s.ts.Size()
	picture := s.painter.paint(f, w, h)
	whole := s.stale || picture.w != s.shown.w || picture.h != s.shown.h
	if whole {
		s.shown.reset(w, h)
	}
	changed := false
	for i := range picture.cells {
		one := picture.cells[i]
		if !whole && one == s.shown.cells[i] {
			continue
		}
		changed = true
		s.shown.cells[i] = one
		if one.text != "" {
			s.ts.Put(i%w, i/w, one.text, s.palette[one.ink])
		}
	}
	s.stale = false
	switch {
	case whole:
		s.ts.Sync()
	case changed:
		s.ts.Show()
	}
	return whole || changed
}
