package listen

import (
	"time"

	"shedlight/listen/internal/driver"
)

const (
	// lookEvery is how often an open port is looked at. An instrument that goes
	// and comes back between two looks may keep its name while nothing connects
	// it to us, so they are closer together than any hand is quick.
	lookEvery = 250 * time.Millisecond
	// searchEvery is how often a lost port is searched for: a list costs up to
	// 60 ms over JACK.
	searchEvery = time.Second
	// searchAtMost bounds the growing pause after opens that failed: each may
	// cost descriptors and threads of the sound system.
	searchAtMost = 30 * time.Second
)

// connect opens the input that fits a name, with a callback that marks its
// messages as of this connection.
func (l *Live) connect(wanted string, connection uint32) (driver.Input, error) {
	names, err := l.driver.Inputs()
	if err != nil {
		return nil, err
	}
	index, err := choose(l.driver.API(), wanted, names, l.shown(names))
	if err != nil {
		return nil, err
	}
	input, err := l.driver.Open(index, names[index], l.receive(connection))
	if err != nil {
		return nil, openError{name: names[index], fault: err}
	}
	l.name.Store(&names[index])
	return input, nil
}

// shown returns the names of ports as the player sees them.
func (l *Live) shown(names []string) []string {
	if l.options.Shown == nil {
		return names
	}
	shown := make([]string, len(names))
	for i, name := range names {
		shown[i] = l.options.Shown(name)
	}
	return shown
}

// watch looks whether the port is there, until the Live is closed.
func (l *Live) watch(input driver.Input) {
	defer close(l.stopped)
	defer func() {
		// A panic belongs to the caller of Events, who knows about the screen.
		if reason := recover(); reason != nil {
			l.crashed <- reason
		}
	}()
	defer l.driver.Close()
	ticker := time.NewTicker(lookEvery)
	defer ticker.Stop()
	search := search{pause: searchEvery}
	connection := uint32(1)
	for {
		select {
		case <-l.stop:
			if input != nil {
				input.Close()
			}
			return
		case <-ticker.C:
		}
		now := time.Since(l.epoch)
		switch {
		case input != nil && input.Present():
		case input != nil:
			input.Close()
			input = nil
			search.after(now, true)
			l.tell(gone, connection)
		case search.due(now):
			found, err := l.connect(l.Name(), connection+1)
			if err != nil {
				search.after(now, !isOpenError(err))
				continue
			}
			input = found
			connection++
			l.tell(opened, connection)
		}
	}
}

// tell puts a mark into the queue, however full that is.
func (l *Live) tell(m mark, connection uint32) {
	select {
	case l.queue <- message{wall: time.Since(l.epoch), mark: m, connection: connection}:
	case <-l.stop:
	}
}

// search says when a lost port is searched for next.
type search struct {
	next, pause time.Duration
}

func (s *search) due(now time.Duration) bool { return now >= s.next }

// after notes a search that found nothing. One that found the port and could
// not open it costs something, so the pause doubles.
func (s *search) after(now time.Duration, cheap bool) {
	if cheap {
		s.pause = searchEvery
	} else {
		s.pause = min(2*s.pause, searchAtMost)
	}
	s.next = now + s.pause
}
