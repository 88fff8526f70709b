package listen

import (
	"slices"
	"sync"

	"shedlight/listen/internal/driver"
)

// fakeSystem is a sound system whose instruments are plugged by the test.
type fakeSystem struct {
	mu       sync.Mutex
	api      string
	ports    []string
	refuse   error // what Open fails with
	inputs   *fakeInput
	opens    int
	closes   int
	lists    int
	closed   int
	onLook   func() // called by each Look
	listFail error
}

type fakeInput struct {
	system  *fakeSystem
	name    string
	receive driver.Receive
	lost    bool // unplugged, perhaps plugged in again meanwhile
}

func (s *fakeSystem) API() string { return s.api }

func (s *fakeSystem) Inputs() ([]string, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.lists++
	return slices.Clone(s.ports), s.listFail
}

func (s *fakeSystem) Outputs() ([]string, error) { return nil, nil }

func (s *fakeSystem) Open(index int, name string, receive driver.Receive) (driver.Input, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.opens++
	if s.refuse != nil {
		s.closes++
		return nil, s.refuse
	}
	if s.inputs != nil {
		panic("two inputs are open")
	}
	if index >= len(s.ports) || s.ports[index] != name {
		return nil, driver.Moved
	}
	s.inputs = &fakeInput{system: s, name: name, receive: receive}
	return s.inputs, nil
}

func (s *fakeSystem) Close() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.closed++
}

func (s *fakeSystem) plug(names ...string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.ports = append(s.ports, names...)
}

func (s *fakeSystem) unplug(name string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.ports = slices.DeleteFunc(s.ports, func(p string) bool { return p == name })
	if s.inputs != nil && s.inputs.name == name {
		s.inputs.lost = true
	}
}

// move pulls the open input's cable, "" for out of everything, and puts it into
// another port.
func (s *fakeSystem) move(to string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.inputs.name, s.inputs.lost = to, to == ""
}

func (s *fakeSystem) setRefuse(err error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.refuse = err
}

// send delivers a message to the open input, if there is one.
func (s *fakeSystem) send(delta float64, message ...byte) {
	s.mu.Lock()
	in := s.inputs
	if in != nil && in.lost {
		in = nil
	}
	s.mu.Unlock()
	if in != nil {
		in.receive(message, delta)
	}
}

func (i *fakeInput) Look() (string, []string) {
	i.system.mu.Lock()
	look := i.system.onLook
	defer i.system.mu.Unlock()
	if look != nil {
		look()
	}
	if i.lost {
		return "", slices.Clone(i.system.ports)
	}
	return i.name, slices.Clone(i.system.ports)
}

func (i *fakeInput) Close() {
	i.system.mu.Lock()
	defer i.system.mu.Unlock()
	i.system.closes++
	i.system.inputs = nil
}
