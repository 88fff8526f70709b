package main

import (
	"context"
	"slices"
	"sync/atomic"
	"time"

	"shedlight/analyse"
	"shedlight/analyse/instrument"
	"shedlight/analyse/tone"
	"shedlight/display"
	"shedlight/listen"
	"shedlight/listen/beat"
	"shedlight/listen/hands"
)

// scout listens to the instrument before the session does, on a goroutine of its own: it
// tells which inputs there are, and what comes from the one that is chosen.
type scout struct {
	open func(wanted string) (scouted, error)
	list func() ([]string, error) // while nothing is open
	tell func(sighting)           // called on the scout's goroutine

	wanted  atomic.Pointer[string] // the input, as --in names it
	api     atomic.Pointer[string] // the sound system, as --api names it
	changed chan struct{}          // holds a token since it was
}

// scouted is a live port as a scout needs it.
type scouted interface {
	listen.Source
	Name() string
	Inputs() []string
}

// sighting is how the inputs stand, and what came last.
type sighting struct {
	wanted string   // the input that it is about
	inputs []string // all there are, as the system calls them
	name   string   // of the one that is heard; empty where it is not
	err    error    // why not, where it could not be opened
	note   string   // that was struck last, empty before
	level  int      // how loud it is while a key is down, 0 to display.HeardSteps
	asked  beat.Action
}

const (
	// scoutEvery is how often what cannot be opened is tried again.
	scoutEvery = time.Second
	// loudest is the greatest velocity (MIDI 1.0).
	loudest = 127
)

// newScout returns a scout with a command's pedals.
func newScout(c *listenCommand, tell func(sighting)) *scout {
	controls, err := hands.Parse(c.Map)
	if err != nil { // it is said where the tune is read
		controls = nil
	}
	s := &scout{tell: tell, changed: make(chan struct{}, 1)}
	s.list = func() ([]string, error) {
		ports, err := listen.Ports(*s.api.Load())
		return ports.Inputs, err
	}
	s.open = func(wanted string) (scouted, error) {
		return listen.OpenLive(listen.Options{Port: wanted, Shown: display.Clean, API: *s.api.Load(), Hands: controls})
	}
	return s
}

// choose says which input of which sound system is to be heard. Safe from any goroutine;
// it never waits.
func (s *scout) choose(wanted, api string) {
	s.api.Store(&api)
	s.wanted.Store(&wanted)
	select {
	case s.changed <- struct{}{}:
	default:
	}
}

// run scouts until ctx is done. Nothing is open then.
func (s *scout) run(ctx context.Context) {
	for ctx.Err() == nil {
		seen := sighting{wanted: *s.wanted.Load()}
		seen.inputs, seen.err = s.list()
		if seen.err == nil && !isMIDIFile(seen.wanted) {
			var port scouted
			if port, seen.err = s.open(seen.wanted); seen.err == nil {
				s.hear(ctx, port, seen)
				continue
			}
		}
		s.tell(seen)
		select {
		case <-ctx.Done():
		case <-s.changed:
		case <-time.After(scoutEvery):
		}
	}
}

// hear tells what comes from a port until another is chosen, or it is gone: then it is
// looked for anew, as the session would.
func (s *scout) hear(ctx context.Context, port scouted, seen sighting) {
	defer port.Close()
	var keys instrument.Keys
	seen.name, seen.inputs = port.Name(), port.Inputs()
	s.tell(seen)
	for e, err := range port.Events(ctx, s.changed) {
		if *s.wanted.Load() != seen.wanted || err != nil {
			return
		}
		if e.Kind == analyse.Release && analyse.Reason(e.Value) == analyse.Unplugged {
			return
		}
		before := seen
		seen.inputs, seen.asked = port.Inputs(), 0
		switch {
		case e.Kind == analyse.NoteOn && e.Velocity > 0:
			keys.NoteOn(e.Channel, e.Key)
			seen.note = tone.ClassOf(int(e.Key)).Name().String()
			seen.level = 1 + int(e.Velocity)*(display.HeardSteps-1)/loudest
		case e.Kind == analyse.NoteOn, e.Kind == analyse.NoteOff:
			keys.NoteOff(e.Channel, e.Key)
		case e.Kind == analyse.Release:
			keys = instrument.Keys{}
		case e.Kind == analyse.Asked:
			seen.asked = beat.Action(e.Value)
		}
		if held := keys.AllHeld(); held.Len() == 0 {
			seen.level = 0
		}
		if seen.asked != 0 || seen.note != before.note || seen.level != before.level ||
			!slices.Equal(seen.inputs, before.inputs) {
			s.tell(seen)
		}
	}
}
