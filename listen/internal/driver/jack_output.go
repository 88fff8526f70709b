//go:build cgo && !nomidi

package driver

// #include <stdlib.h>
// #include "jack_output.h"
import "C"

import (
	"slices"
	"time"
	"unsafe"
)

// jackOutput is an output of our own on the JACK server, for the reasons of
// jackInput: RtMidi's does not say that its receiver has gone, and where the server
// is dead a send of it never returns. It belongs to one thread.
type jackOutput struct {
	out    *C.jack_output
	name   string
	server string // the JACK server at the time, where it can be seen
}

// openJACKOutput opens an output to the port that pick chooses. The error is a
// Fault, or pick's.
func openJACKOutput(pick func(api string, names []string) (int, error)) (Output, error) {
	client, port := C.CString(soundName), C.CString(outName)
	defer C.free(unsafe.Pointer(client))
	defer C.free(unsafe.Pointer(port))
	o := &jackOutput{server: JACKServer("")}
	o.out = tried(func() *C.jack_output { return C.jack_output_open(client, port) })
	if o.out == nil {
		return nil, NoJACK
	}
	if err := o.connect(pick); err != nil {
		o.Close()
		return nil, err
	}
	return o, nil
}

func (o *jackOutput) connect(pick func(string, []string) (int, error)) error {
	list := texts(C.jack_output_ports(o.out))
	index, err := pick(JACK, list)
	if err != nil {
		return err
	}
	o.name = list[index]
	to := C.CString(o.name)
	defer C.free(unsafe.Pointer(to))
	if C.jack_output_connect(o.out, to) != 0 {
		return Inactive
	}
	for limit := time.Now().Add(jackConnects); !o.Leads(); time.Sleep(jackLook) {
		if time.Now().After(limit) {
			return NotOpened
		}
	}
	return nil
}

func (o *jackOutput) Leads() bool {
	if o.server != "" && JACKServer("") != o.server {
		return false
	}
	return slices.Contains(texts(C.jack_output_targets(o.out)), o.name)
}

func (o *jackOutput) Send(message []byte) error {
	if len(message) == 0 || C.jack_output_send(o.out, (*C.uchar)(unsafe.SliceData(message)), C.size_t(len(message))) != 0 {
		return Refused
	}
	return nil
}

func (o *jackOutput) Close() {
	time.Sleep(jackSettles)
	C.jack_output_close(o.out)
}
