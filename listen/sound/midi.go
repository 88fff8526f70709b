package sound

import (
	"runtime"
	"sync/atomic"
	"time"
)

// port is an open MIDI output.
type port interface {
	Send(message []byte) error
	Close()
}

// portOpener opens the output and returns it with its name.
type portOpener func() (port, string, error)

// Where each voice goes, and what a General MIDI instrument plays there: the
// numbers of General MIDI Level 1 (1991), from memory. Programs are counted from
// 0, channels too.
const (
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

// score is what is to be sent: notes to come, notes that sound. It is pure.
type score struct {
	agenda agenda
	held   []heldNote
	missed int64
}

// heldNote is a key that is down.
type heldNote struct {
	channel, key uint8
	until        time.Duration
}

// note returns where a command's note goes.
func (c *Command) note() (channel, key uint8) {
	switch c.Voice {
	case Bass:
		return bassChannel, c.Key
	case Piano:
		return pianoChannel, c.Key
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
	case Quiet:
		s.agenda.n = 0
		s.silence(send)
	case Volume: // the receiver has a volume of its own
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
			channel, key := c.note()
			s.release(func(h heldNote) bool { return h.channel == channel && h.key == key }, send)
			send(noteOn|channel, key, c.Velocity)
			held := max(c.For, releaseOfLeast)
			if channel == drumChannel {
				held = drumFor
			}
			s.held = append(s.held, heldNote{channel: channel, key: key, until: now + held})
		}
		s.agenda.drop()
	}
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

// midi is the engine that sends notes to a MIDI output. Its thread owns the port;
// over a JACK server that is dead a send never returns, so nobody waits for it.
type midi struct {
	begun    time.Time
	send     reports
	open     portOpener
	commands chan Command
	ended    chan struct{}
	done     chan struct{}
	alive    atomic.Int64 // when the thread last came round, in nanoseconds since begun
	missed   atomic.Int64
	said     int64
	silent   bool // the thread hangs, and that was said
}

// commandsKept is as many as the audio engine's ring keeps.
const commandsKept = ringSize

func newMIDI(begun time.Time, send reports, open portOpener) *midi {
	m := &midi{
		begun: begun, send: send, open: open,
		commands: make(chan Command, commandsKept), ended: make(chan struct{}), done: make(chan struct{}),
	}
	go m.run()
	return m
}

// ask implements engine.
func (m *midi) ask(c Command) {
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
	if hangs && !m.silent {
		m.send.send(Report{News: LostSound, Text: "the MIDI output does not answer"})
	}
	m.silent = hangs
}

// openLimit is how long the thread may be away: opening an output takes JACK a
// tenth of a second, a send none.
const openLimit = 2 * time.Second

// finish implements engine.
func (m *midi) finish() {
	close(m.ended)
	within(endLimit, func() { <-m.done })
}

// drain is how long a port stays open after the last message: JACK sends what it
// was given with its next period, of 43 ms at the usual worst.
const drain = 45 * time.Millisecond

// run is the thread. A driver's calls stay on one.
func (m *midi) run() {
	runtime.LockOSThread()
	defer runtime.UnlockOSThread()
	defer close(m.done)
	var r retry
	for {
		m.alive.Store(int64(time.Since(m.begun)))
		p, name, err := m.open()
		if err == nil {
			r.worked()
			m.send.send(Report{News: Sounding, Name: name})
			err = m.perform(p)
			p.Close()
			if err == nil {
				return
			}
			m.send.send(Report{News: LostSound, Name: name, Text: err.Error()})
		} else if r.pause == 0 {
			m.send.send(Report{News: Refused, Text: err.Error()})
		}
		r.failed(time.Now())
		if !m.idle(time.Until(r.next)) {
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

// perform sends until the end, or until the port fails.
func (m *midi) perform(p port) (failed error) {
	send := func(message ...byte) {
		if err := p.Send(message); err != nil && failed == nil {
			failed = err
		}
	}
	send(program|bassChannel, acousticBass)
	send(program|pianoChannel, electricPiano)
	s := &score{}
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
			s.silence(send)
			<-time.After(drain)
			return nil
		}
	}
	return failed
}
