package listen

import (
	"errors"
	"maps"
	"slices"
	"time"

	"shedlight/analyse/crash"
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

const (
	// readyWithin is how long the instrument of a new session may take to be
	// ready after its port is in the list, readyEvery how often that is tried.
	readyWithin = 5 * time.Second
	readyEvery  = 100 * time.Millisecond
	// neighbourAfter is how long a port must have stood beside the instrument to
	// be another. One that came shortly before the loss may be the instrument
	// itself: JACK keeps the port of a program that was killed for a while.
	neighbourAfter = 5 * time.Second
)

// begin opens the instrument that the player means.
func (l *Live) begin() (driver.Input, error) {
	const first = 1
	api, wanted := l.driver.API(), l.options.Port
	limit := time.Now().Add(readyWithin)
	for {
		names, err := l.driver.Inputs()
		if err != nil {
			return nil, err
		}
		l.inputs.Store(&names)
		index, err := choose(api, wanted, names, l.shown(names))
		if err != nil {
			return nil, err
		}
		input, err := l.connect(names, index, first)
		if err == nil {
			l.seek.exact = names[index]
			if lasting(api, wanted) == lasting(api, names[index]) {
				l.seek.exact = wanted // what is there has not quite that name
			}
			return input, nil
		}
		if !errors.Is(err, driver.Inactive) || time.Now().After(limit) {
			return nil, err
		}
		time.Sleep(readyEvery)
	}
}

// connect opens the input at an index of a list, with a callback that marks its
// messages as of this connection.
func (l *Live) connect(names []string, index int, connection uint32) (driver.Input, error) {
	input, err := l.driver.Open(index, names[index], l.receive(connection))
	if err != nil {
		return nil, openError{name: names[index], fault: err}
	}
	l.name.Store(&names[index])
	l.seek.beside = make(map[string]time.Duration)
	l.seek.note(names, names[index], -neighbourAfter) // they stood there before
	return input, nil
}

// seek is the instrument that is looked for once it is lost. It belongs to the
// watch.
type seek struct {
	exact  string                   // its name
	beside map[string]time.Duration // since when other ports stand beside it
	lost   time.Duration            // when it was lost
}

// note takes down what stands beside the instrument.
func (s *seek) note(names []string, source string, now time.Duration) {
	for _, name := range names {
		if _, known := s.beside[name]; !known && name != source {
			s.beside[name] = now
		}
	}
	maps.DeleteFunc(s.beside, func(name string, _ time.Duration) bool { return !slices.Contains(names, name) })
}

// find returns the index of the instrument in a list, or -1: by its name, else the
// only one with the part of that which lasts, but never what has stood beside it,
// however much alike it is called.
func (s *seek) find(api string, names []string) int {
	if i := slices.Index(names, s.exact); i >= 0 {
		return i
	}
	alike := indices(len(names), func(i int) bool {
		since, beside := s.beside[names[i]]
		return lasting(api, names[i]) == lasting(api, s.exact) && !(beside && s.lost-since >= neighbourAfter)
	})
	if len(alike) != 1 {
		return -1
	}
	return alike[0]
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
	defer crash.Guard(l.fault)
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
		case input != nil && l.fed(input, connection, now):
		case input != nil:
			input.Close()
			input = nil
			l.seek.lost = now
			search.after(now, true)
			l.tell(gone, connection)
		case search.due(now):
			found, err := l.search(connection + 1)
			if found == nil {
				search.after(now, !isOpenError(err) || errors.Is(err, driver.Inactive))
				continue
			}
			input = found
			connection++
			l.tell(opened, connection)
		}
	}
}

// fed reports whether the instrument feeds an input. It does not where its cable is
// pulled, nor where another was taken for it that is here now. Where the cable is
// moved to another instrument, that is the instrument from now on.
func (l *Live) fed(input driver.Input, connection uint32, now time.Duration) bool {
	source, inputs := input.Look()
	l.inputs.Store(&inputs)
	switch {
	case source == "":
		return false
	case source != l.Name():
		l.seek.exact = source
		l.name.Store(&source)
		l.tell(gone, connection)
		l.tell(opened, connection)
	case source != l.seek.exact && slices.Contains(inputs, l.seek.exact):
		return false
	}
	l.seek.note(inputs, source, now)
	return true
}

// search looks for the lost instrument and opens it. The input is nil where it is
// not there, or, with an error, where it cannot be opened or no list be had.
func (l *Live) search(connection uint32) (driver.Input, error) {
	names, err := l.driver.Inputs()
	if err != nil {
		return nil, err
	}
	l.inputs.Store(&names)
	index := l.seek.find(l.driver.API(), names)
	if index < 0 {
		return nil, nil
	}
	return l.connect(names, index, connection)
}

// tell puts a mark into the queue, however full that is.
func (l *Live) tell(m mark, connection uint32) {
	select {
	case l.queue <- message{wall: time.Since(l.epoch), mark: m, connection: connection, ofClock: l.ofClock}:
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
