package sound

import (
	"cmp"
	"errors"
	"math"
	"runtime"
	"slices"
	"sync/atomic"
	"time"
)

// port is an open MIDI output.
type port interface {
	Send(message []byte) error
	Leads() bool // to where it was opened for
	Close()
}

// portOpener opens the output and returns it with its name.
type portOpener func() (port, string, error)

// Where each voice goes, and what a General MIDI instrument plays there: the
// numbers of General MIDI Level 1 (1991), from memory. Programs are counted from
// 0, channels but for ClickChannel too.
const (
	// ClickChannel is that of the click and of the blips, from 1: of percussion.
	ClickChannel = drumChannel + 1

	bassChannel, pianoChannel, drumChannel = 1, 2, 9

	acousticBass   = 32
	electricPiano  = 4
	highWoodBlock  = 76
	lowWoodBlock   = 77
	muteTriangle   = 80
	allNotesOff    = 123
	noteOff        = 0x80
	noteOn         = 0x90
	control        = 0xB0
	program        = 0xC0
	sensing        = 0xFE
	midiChannels   = 16
	drumFor        = 30 * time.Millisecond
	releaseOfLeast = time.Millisecond
)

// sensingEvery is how often the receiver is told that we live: after 300 ms
// without, it lets go of what sounds by itself (MIDI 1.0, active sensing).
const sensingEvery = 250 * time.Millisecond

// bandChannels are those of the voices that have no fixed one, from 0.
type bandChannels struct{ bass, piano byte }

// channelsOf returns the channels that are wanted.
func channelsOf(o Options) bandChannels {
	return bandChannels{
		bass:  cmp.Or(o.Bass, bassChannel+1) - 1,
		piano: cmp.Or(o.Piano, pianoChannel+1) - 1,
	}
}

// score is what is to be sent: notes to come, notes that sound. It is pure.
type score struct {
	on     bandChannels
	agenda agenda
	held   []heldNote
	level  uint8
	missed int64
}

// heldNote is a key that is down.
type heldNote struct {
	channel, key uint8
	until        time.Duration
}

// note returns where a command's note goes.
func (s *score) note(c *Command) (channel, key uint8) {
	switch c.Voice {
	case Bass:
		return s.on.bass, c.Key
	case Piano:
		return s.on.piano, c.Key
	case Blip:
		return drumChannel, muteTriangle
	}
	if c.Key >= clickOneKey {
		return drumChannel, highWoodBlock
	}
	return drumChannel, lowWoodBlock
}

// obey takes a command, and sends what it calls for at once.
func (s *score) obey(c Command, send func(...byte)) {
	switch c.Kind {
	case Strike:
		if !s.agenda.add(c) {
			s.missed++
		}
	case Forget:
		s.agenda.forget(c)
		for i := range s.held {
			s.held[i].until = min(s.held[i].until, c.At)
		}
	case Hold:
		s.agenda.hold(c)
		channel, key := s.note(&c)
		for i := range s.held {
			if h := &s.held[i]; h.channel == channel && h.key == key {
				h.until = c.At + c.For
			}
		}
	case Quiet:
		s.agenda.n = 0
		s.silence(send)
	case Volume:
		s.level = c.Velocity
	}
}

// next returns when something is due; ok is false where nothing is.
func (s *score) next() (at time.Duration, ok bool) {
	if c := s.agenda.first(); c != nil {
		at, ok = c.At, true
	}
	for _, h := range s.held {
		if !ok || h.until < at {
			at, ok = h.until, true
		}
	}
	return at, ok
}

// play sends what is due at a time. A key that is struck again is let go first.
func (s *score) play(now time.Duration, send func(...byte)) {
	s.release(func(h heldNote) bool { return h.until <= now }, send)
	for c := s.agenda.first(); c != nil && c.At <= now; c = s.agenda.first() {
		if now-c.At > late {
			s.missed++
		} else {
			channel, key := s.note(c)
			s.release(func(h heldNote) bool { return h.channel == channel && h.key == key }, send)
			if s.level > 0 {
				send(noteOn|channel, key, softened(c.Velocity, s.level))
				held := max(c.For, releaseOfLeast)
				if channel == drumChannel {
					held = drumFor
				}
				s.held = append(s.held, heldNote{channel: channel, key: key, until: now + held})
			}
		}
		s.agenda.drop()
	}
}

// softened returns the velocity of a note at a level. A receiver makes 40 times the
// decimal logarithm of velocity by 127 decibels of it (MIDI Manufacturers Association,
// Downloadable Sounds Level 1, 1997, from memory), so a step is as large as that of
// the sound of our own. What is set at the receiver stays as it is.
func softened(velocity, level uint8) uint8 {
	decibels := (float64(level) - MaxLevel) * stepDecibels
	return uint8(max(1, math.Round(float64(velocity)*math.Pow(10, decibels/40))))
}

// release lets go of the keys that are to be.
func (s *score) release(these func(heldNote) bool, send func(...byte)) {
	kept := s.held[:0]
	for _, h := range s.held {
		if these(h) {
			send(noteOff|h.channel, h.key, 0)
		} else {
			kept = append(kept, h)
		}
	}
	s.held = kept
}

// silence lets go of every key, and tells every channel to.
func (s *score) silence(send func(...byte)) {
	s.release(func(heldNote) bool { return true }, send)
	for channel := range byte(midiChannels) {
		send(control|channel, allNotesOff, 0)
	}
}

// midi is the engine that sends notes to a MIDI output. Its thread owns the port; a
// sound system may hang, so nobody waits for it.
type midi struct {
	begun    time.Time
	send     reports
	opener   portOpener
	on       bandChannels
	commands chan Command
	ended    chan struct{}
	done     chan struct{}
	alive    atomic.Int64 // when the thread last came round, in nanoseconds since begun
	missed   atomic.Int64
	level    atomic.Uint32
	open     atomic.Pointer[string] // what is open; nil: nothing
	said     int64
	silent   bool    // the thread hangs, and that was said
	hung     *string // what was open when it began to
}

// commandsKept is as many as the audio engine's ring keeps.
const commandsKept = ringSize

func newMIDI(begun time.Time, send reports, open portOpener, on bandChannels) *midi {
	m := &midi{
		begun: begun, send: send, opener: open, on: on,
		commands: make(chan Command, commandsKept), ended: make(chan struct{}), done: make(chan struct{}),
	}
	m.level.Store(DefaultLevel)
	go m.run()
	return m
}

// ask implements engine.
func (m *midi) ask(c Command) {
	if c.Kind == Volume { // for the next port too
		m.level.Store(uint32(c.Velocity))
	}
	select {
	case m.commands <- c:
	default:
		m.missed.Add(1)
	}
}

// look implements engine.
func (m *midi) look() {
	if missed := m.missed.Load(); missed != m.said {
		m.said = missed
		m.send.send(Report{News: Missed, Count: missed})
	}
	hangs := time.Since(m.begun)-time.Duration(m.alive.Load()) > openLimit
	name := m.open.Load()
	switch {
	case hangs && !m.silent:
		m.hung = name
		m.send.send(Report{News: LostSound, Text: "the MIDI output does not answer"})
	case !hangs && m.silent && name != nil && name == m.hung:
		m.send.send(Report{News: Sounding, Name: *name}) // it goes on; what was opened meanwhile was said
	}
	m.silent = hangs
}

// openLimit is how long the thread may be away: opening an output takes JACK a
// tenth of a second, a send none.
const openLimit = 2 * time.Second

// finish implements engine. What sounds is let go at once; then the port is closed.
func (m *midi) finish() {
	close(m.ended)
	within(portEndLimit, func() { <-m.done })
}

const (
	// drain is how long a port stays open after the last message: JACK sends what
	// it was given with its next period, of 43 ms at the usual worst.
	drain = 45 * time.Millisecond
	// portEndLimit is more than a port takes to be closed, and half of what a session
	// waits for. By then all that sounds has been let go for long.
	portEndLimit = waitLimit / 2
	// searchEvery is how often a port is looked for that is not there. That costs
	// nothing that would grow, unlike opening an audio device.
	searchEvery = 2 * time.Second
)

// run is the thread. A driver's calls stay on one.
func (m *midi) run() {
	runtime.LockOSThread()
	defer runtime.UnlockOSThread()
	defer close(m.done)
	said := false // that nothing could be opened
	for {
		m.alive.Store(int64(time.Since(m.begun)))
		p, name, err := m.opener()
		switch {
		case err == nil:
			said = false
			m.open.Store(&name)
			m.send.send(Report{News: Sounding, Name: name})
			err = m.perform(p)
			m.open.Store(nil)
			p.Close()
			if err == nil {
				return
			}
			m.send.send(Report{News: LostSound, Name: name, Text: err.Error()})
		case !said:
			said = true
			m.send.send(Report{News: Refused, Text: err.Error()})
		}
		if !m.idle(searchEvery) {
			return
		}
	}
}

// idle waits with no port. What is asked for meanwhile is not heard. It reports
// whether to go on.
func (m *midi) idle(d time.Duration) bool {
	over := time.Now().Add(d)
	timer := time.NewTimer(sensingEvery)
	defer timer.Stop()
	for time.Now().Before(over) {
		m.alive.Store(int64(time.Since(m.begun)))
		select {
		case <-m.commands:
		case <-timer.C:
			timer.Reset(sensingEvery)
		case <-m.ended:
			return false
		}
	}
	return true
}

var errPortGone = errors.New("the MIDI output is gone: it is looked for")

// perform sends until the end, or until the port fails.
func (m *midi) perform(p port) (failed error) {
	send := func(message ...byte) {
		if err := p.Send(message); err != nil && failed == nil {
			failed = err
		}
	}
	send(program|m.on.bass, acousticBass)
	send(program|m.on.piano, electricPiano)
	s := &score{on: m.on, level: uint8(m.level.Load())}
	sensed := time.Duration(0)
	timer := time.NewTimer(0)
	defer timer.Stop()
	for failed == nil {
		now := time.Since(m.begun)
		m.alive.Store(int64(now))
		s.play(now, send)
		m.missed.Add(s.missed)
		s.missed = 0
		if sensed == 0 || now-sensed >= sensingEvery {
			if !p.Leads() {
				return errPortGone
			}
			send(sensing)
			sensed = now
		}
		wake := sensed + sensingEvery
		if at, ok := s.next(); ok {
			wake = min(wake, at)
		}
		timer.Reset(wake - time.Since(m.begun))
		select {
		case c := <-m.commands:
			s.obey(c, send)
		case <-timer.C:
		case <-m.ended:
			// Twice: what a client of JACK hands over too late for its period is lost.
			held := slices.Clone(s.held)
			s.silence(send)
			<-time.After(drain)
			s.held = held
			s.silence(send)
			<-time.After(drain)
			return nil
		}
	}
	return failed
}
