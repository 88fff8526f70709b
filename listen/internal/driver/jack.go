//go:build cgo && !nomidi

package driver

// #include <stdlib.h>
// #include "jack_input.h"
// #include "jack_list.h"
import "C"

import (
	"runtime/cgo"
	"slices"
	"time"
	"unsafe"
)

const (
	// jackSettles is how long a JACK client is left alone before it is closed.
	// libjack 1.9.21 walks the list of our ports on a thread of its own, for
	// every change of the graph (a port comes, goes, is connected), without a
	// lock against the close that shortens it: seen to end the process once in
	// 200 closes right after an open. A tenth of a second is 20 usual periods.
	jackSettles = 100 * time.Millisecond
	// jackConnects is how long a connection may take from its order to when it
	// stands: a period, but a busy machine holds the server up.
	jackConnects = time.Second
	jackLook     = 5 * time.Millisecond // a period
	// jackTries is how often a client is opened where a server is seen. Clients of one
	// name use one socket, whatever server they are at, and the end of one takes away
	// what the next has just made: seen with two servers on one machine, and to be
	// had where a session begins just as another ends.
	jackTries = 3
)

// tried opens a client of the JACK server; nil where none answers.
func tried[P comparable](open func() P) P {
	var none P
	for n := 1; ; n++ {
		if client := open(); client != none || n == jackTries || JACKServer("") == "" {
			return client
		}
	}
}

// jackInput is an input of our own on the JACK server. RtMidi has one too, but
// its connection is lost in silence: it does not say that JACK refused it, which
// it does to a port whose client is not active yet, and cannot be asked what
// feeds it, so that a cable pulled in a patch bay is never noticed.
type jackInput struct {
	system *system
	in     *C.jack_input
	name   string
	server string // the JACK server at the time, where it can be seen
	handle cgo.Handle
}

// jackPorts lists the ports of the JACK server that give messages, or take them.
// RtMidi's list takes a client that is active, and its output frees at the end what
// its callback may still read: seen to hold the server up for its five seconds, and
// to end the process.
func jackPorts(giving bool) ([]string, error) {
	client := C.CString(clientName)
	defer C.free(unsafe.Pointer(client))
	names := tried(func() *C.char { return C.jack_list(client, C.bool(giving)) })
	if names == nil {
		return nil, NoJACK
	}
	return texts(names), nil
}

func (s *system) openJACK(name string, receive Receive) (Input, error) {
	client, port, from := C.CString(clientName), C.CString(portName), C.CString(name)
	defer C.free(unsafe.Pointer(client))
	defer C.free(unsafe.Pointer(port))
	defer C.free(unsafe.Pointer(from))
	p := &jackInput{system: s, name: name, server: JACKServer(""), handle: cgo.NewHandle(receive)}
	p.in = tried(func() *C.jack_input { return C.jack_input_open(client, port, C.uintptr_t(p.handle)) })
	if p.in == nil {
		p.handle.Delete()
		return nil, NoJACK
	}
	if C.jack_input_connect(p.in, from) != 0 {
		fault := Inactive
		if !slices.Contains(p.ports(), name) {
			fault = Moved
		}
		p.release()
		return nil, fault
	}
	for limit := time.Now().Add(jackConnects); p.source() == "" && time.Now().Before(limit); {
		time.Sleep(jackLook)
	}
	return p, nil
}

//export shedlightReceive
func shedlightReceive(handle C.uintptr_t, message *C.uchar, size C.size_t, delta C.double) {
	receive := cgo.Handle(handle).Value().(Receive)
	receive(C.GoBytes(unsafe.Pointer(message), C.int(size)), float64(delta))
}

func (p *jackInput) Look() (source string, inputs []string) {
	type seen struct {
		source string
		inputs []string
	}
	s, err := on(p.system.thread, askLimit, func() (seen, error) {
		if p.server != "" && JACKServer("") != p.server {
			return seen{}, nil
		}
		return seen{source: p.source(), inputs: p.ports()}, nil
	})
	if err != nil {
		return "", nil
	}
	return s.source, s.inputs
}

// source returns which port feeds the input: the one it was opened for where that
// is among several.
func (p *jackInput) source() string {
	switch sources := texts(C.jack_input_sources(p.in)); {
	case len(sources) == 0:
		return ""
	case slices.Contains(sources, p.name):
		return p.name
	default:
		return sources[0]
	}
}

func (p *jackInput) ports() []string { return texts(C.jack_input_ports(p.in)) }

// texts reads and frees a block of names.
func texts(block *C.char) (all []string) {
	defer C.free(unsafe.Pointer(block))
	for at := block; at != nil && *at != 0; {
		text := C.GoString(at)
		all = append(all, text)
		at = (*C.char)(unsafe.Add(unsafe.Pointer(at), len(text)+1))
	}
	return all
}

func (p *jackInput) Close() {
	_, _ = on(p.system.thread, closeLimit, func() (struct{}, error) {
		p.release()
		return struct{}{}, nil
	})
}

func (p *jackInput) release() {
	time.Sleep(jackSettles)
	C.jack_input_close(p.in)
	p.handle.Delete()
}
