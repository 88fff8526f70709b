//go:build jack

package jacktest

/*
#cgo LDFLAGS: -ljack
#include <stdlib.h>
#include <string.h>
#include <jack/jack.h>
#include <jack/midiport.h>
#include <jack/ringbuffer.h>

#define MESSAGES 65536

typedef struct {
	size_t size;
	jack_midi_data_t bytes[8];
} message;

typedef struct {
	jack_client_t *client;
	jack_port_t *port;
	jack_ringbuffer_t *ring;
} output;

static int output_process(jack_nframes_t frames, void *arg) {
	output *o = arg;
	void *buffer = jack_port_get_buffer(o->port, frames);
	jack_midi_clear_buffer(buffer);
	message m;
	while (jack_ringbuffer_peek(o->ring, (char *)&m, sizeof m) == sizeof m) {
		if (jack_midi_event_write(buffer, 0, m.bytes, m.size) != 0) break; // full: with the next period
		jack_ringbuffer_read_advance(o->ring, sizeof m);
	}
	return 0;
}

static void output_close(output *o) {
	if (o->client != NULL) jack_client_close(o->client);
	if (o->ring != NULL) jack_ringbuffer_free(o->ring);
	free(o);
}

static output *output_open(const char *client, const char *port) {
	output *o = calloc(1, sizeof *o);
	if (o == NULL) return NULL;
	o->ring = jack_ringbuffer_create(MESSAGES * sizeof(message));
	o->client = jack_client_open(client, JackNoStartServer, NULL);
	if (o->client != NULL) o->port = jack_port_register(o->client, port, JACK_DEFAULT_MIDI_TYPE, JackPortIsOutput, 0);
	if (o->ring == NULL || o->port == NULL || jack_set_process_callback(o->client, output_process, o) != 0) {
		output_close(o);
		return NULL;
	}
	return o;
}

static int output_activate(output *o) { return jack_activate(o->client); }

static int output_send(output *o, const void *bytes, size_t size) {
	message m = {size};
	if (size > sizeof m.bytes || jack_ringbuffer_write_space(o->ring) < sizeof m) return -1;
	memcpy(m.bytes, bytes, size);
	jack_ringbuffer_write(o->ring, (char *)&m, sizeof m);
	return 0;
}
*/
import "C"

import (
	"errors"
	"sync"
	"time"
	"unsafe"
)

// outputPort is what the port of every output is called.
const outputPort = "out"

// settles is how long libjack must be left alone before a close: see the driver.
const settles = 100 * time.Millisecond

var (
	errNoServer = errors.New("no JACK server answers")
	errRefused  = errors.New("JACK refuses")
)

// tried opens a client: see the driver for what may be in its way.
func tried[P comparable](open func() P) (client P) {
	var none P
	for n := 0; n < 3 && client == none; n++ {
		client = open()
	}
	return client
}

// output is a MIDI output port of this process, to which others connect.
type output struct {
	o    *C.output
	once sync.Once
}

// openOutput makes a client with a port. Until activate JACK connects nothing to it.
func openOutput(client string) (*output, error) {
	name, port := C.CString(client), C.CString(outputPort)
	defer C.free(unsafe.Pointer(name))
	defer C.free(unsafe.Pointer(port))
	o := tried(func() *C.output { return C.output_open(name, port) })
	if o == nil {
		return nil, errNoServer
	}
	return &output{o: o}, nil
}

func (o *output) activate() error {
	if C.output_activate(o.o) != 0 {
		return errRefused
	}
	return nil
}

// send hands a message of up to eight bytes over: it goes with the next period that
// has room for it.
func (o *output) send(message []byte) error {
	if C.output_send(o.o, unsafe.Pointer(unsafe.SliceData(message)), C.size_t(len(message))) != 0 {
		return errRefused
	}
	return nil
}

// close takes the port away, the first time.
func (o *output) close() {
	o.once.Do(func() {
		time.Sleep(settles)
		C.output_close(o.o)
	})
}
