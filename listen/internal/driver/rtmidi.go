//go:build cgo && !nomidi

package driver

import (
	"fmt"
	"os"
	"slices"
	"sync/atomic"
	"time"

	"gitlab.com/gomidi/midi/v2/drivers/rtmididrv/imported/rtmidi"
)

const (
	// askLimit bounds a list or an open. A JACK server answers nobody for the five
	// seconds that it gives a client that died, and a little more on a busy machine.
	askLimit = 8 * time.Second
	// closeLimit bounds a close: on Windows it hangs after an unplug.
	closeLimit = 2 * time.Second
	// queueSize must not be 0: what comes without a callback goes into a ring
	// of this size, through a nil pointer where it has none.
	queueSize = 64
	// portName is what our input is called in patch bays; JACK takes no empty one.
	portName = "in"
)

type api struct {
	id   rtmidi.API
	name string
}

// apis are the sound systems by name; the first that is compiled in is the
// default.
func apis() []api {
	return []api{
		{rtmidi.APILinuxALSA, ALSA},
		{rtmidi.APIMacOSXCore, Core},
		{rtmidi.APIWindowsMM, WinMM},
		{rtmidi.APIUnixJack, JACK},
	}
}

func find(name string) (api, error) {
	compiled := rtmidi.CompiledAPI()
	for _, a := range apis() {
		built := slices.Contains(compiled, a.id)
		switch {
		case name == "" && built, name == a.name && built:
			return a, nil
		case name == a.name:
			return api{}, OtherAPI
		}
	}
	if name == "" {
		return api{}, OtherAPI
	}
	return api{}, UnknownAPI
}

// Compiled reports whether this build speaks the named sound system.
func Compiled(name string) bool {
	_, err := find(name)
	return err == nil
}

// Load reaches the named sound system, "" for the usual one of this machine.
// The error is a Fault.
func Load(name string) (Driver, error) {
	a, err := reach(name)
	if err != nil {
		return nil, err
	}
	return &system{api: a, thread: newThread()}, nil
}

// reach finds the named sound system, and makes sure that asking it for ports is
// safe.
func reach(name string) (a api, err error) {
	if a, err = find(name); err == nil && a.name == ALSA {
		err = alsaReady()
	}
	return a, err
}

type system struct {
	api    api
	thread *thread
}

func (s *system) API() string { return s.api.name }

func (s *system) Close() { s.thread.stop() }

func (s *system) Inputs() ([]string, error) {
	return on(s.thread, askLimit, func() ([]string, error) {
		if s.api.name == JACK {
			return jackPorts(true)
		}
		in, err := s.handle()
		if err != nil {
			return nil, err
		}
		defer in.Destroy()
		return names(in)
	})
}

func (s *system) Outputs() ([]string, error) {
	return on(s.thread, askLimit, func() ([]string, error) {
		if s.api.name == JACK {
			return jackPorts(false)
		}
		out, err := rtmidi.NewMIDIOut(s.api.id, s.client())
		if err != nil {
			return nil, Refused
		}
		defer out.Destroy()
		return names(out)
	})
}

func (s *system) handle() (rtmidi.MIDIIn, error) {
	in, err := rtmidi.NewMIDIIn(s.api.id, s.client(), queueSize)
	if err != nil {
		return nil, Refused
	}
	return in, nil
}

// client is our name. ALSA lets several clients have the same, and the watch
// must know its own there.
func (s *system) client() string {
	if s.api.name == ALSA {
		return fmt.Sprintf("%s %d", clientName, os.Getpid())
	}
	return clientName
}

func names(m rtmidi.MIDI) ([]string, error) {
	n, err := m.PortCount()
	if err != nil {
		return nil, Refused
	}
	list := make([]string, 0, n)
	for i := range n {
		name, err := m.PortName(i)
		if err != nil {
			return nil, Refused
		}
		list = append(list, name)
	}
	return list, nil
}

func (s *system) Open(index int, name string, receive Receive) (Input, error) {
	return on(s.thread, askLimit, func() (Input, error) {
		if s.api.name == JACK {
			return s.openJACK(name, receive)
		}
		return s.open(index, name, receive)
	})
}

func (s *system) open(index int, name string, receive Receive) (Input, error) {
	in, err := s.handle()
	if err != nil {
		return nil, err
	}
	port := &input{system: s, in: in, name: name, line: &line{}}
	port.line.receive.Store(&receive)
	stands := func() bool {
		now, err := in.PortName(index)
		return err == nil && now == name
	}
	// System exclusive stays off; clock and active sensing come, so that the
	// time they take is not missing from the deltas.
	switch {
	case !stands():
		err = Moved
	case in.IgnoreTypes(true, false, false) != nil, port.line.tie(in) != nil, in.OpenPort(index, portName) != nil:
		err = NotOpened
	case !stands():
		err = Moved
	}
	if err != nil {
		port.release()
		return nil, err
	}
	return port, nil
}

// line leads from the library's callback to ours.
type line struct {
	receive atomic.Pointer[Receive] // nil once it is cut
}

func (l *line) message(_ rtmidi.MIDIIn, message []byte, delta float64) {
	if receive := l.receive.Load(); receive != nil {
		(*receive)(message, delta)
	}
}

// tie makes the line the callback of an input, for good.
//
// Both ways the library has to end a callback forget it before they stop
// calling it, and a message in between ends the process: seen once in 300
// closes under 10,000 messages a second. So it is never ended. The input is
// freed with the callback in place; that stops the messages and waits for the
// thread they come on. The callback is set twice because freeing an input also
// frees the record of the callback set last, and the one in use is the first.
// Each input so leaves two such records behind, some hundred bytes.
func (l *line) tie(in rtmidi.MIDIIn) error {
	if err := in.SetCallback(l.message); err != nil {
		return err
	}
	return in.SetCallback(l.message)
}

type input struct {
	system *system
	in     rtmidi.MIDIIn
	name   string
	line   *line // of its own: the library keeps it
}

func (p *input) Look() (source string, inputs []string) {
	inputs, err := on(p.system.thread, askLimit, func() ([]string, error) { return names(p.in) })
	if err != nil || !slices.Contains(inputs, p.name) {
		return "", inputs
	}
	if p.system.api.name == ALSA {
		if feeds, known := alsaFeeds(p.system.client()); known && !feeds {
			return "", inputs
		}
	}
	return p.name, inputs
}

func (p *input) Close() {
	// A close that hangs is given up: the thread stays behind with it, and no
	// second attempt is made.
	_, _ = on(p.system.thread, closeLimit, func() (struct{}, error) {
		p.release()
		return struct{}{}, nil
	})
}

// release cuts the line, then frees. Freeing also closes; the library's own
// Close would keep three descriptors and two threads after an open that failed.
func (p *input) release() {
	p.line.receive.Store(nil)
	p.in.Destroy()
}

// output is one of the library's; name is that of its receiver.
type output struct {
	out  rtmidi.MIDIOut
	name string
}

func (o output) Send(message []byte) error {
	if o.out.SendMessage(message) != nil {
		return Refused
	}
	return nil
}

func (o output) Leads() bool {
	list, err := names(o.out)
	return err == nil && slices.Contains(list, o.name)
}

func (o output) Close() { o.out.Destroy() }
