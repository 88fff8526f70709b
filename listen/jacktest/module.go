//go:build jack

package jacktest

/*
#cgo LDFLAGS: -ljack
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <jack/jack.h>
#include <jack/midiport.h>

#define MESSAGES 65536

typedef struct {
	int64_t at; // microseconds of CLOCK_MONOTONIC: when the server asked for them
	unsigned char size, bytes[3];
} heard;

typedef struct {
	jack_client_t *client;
	jack_port_t *port;
	heard heard[MESSAGES];
	unsigned n;
} module;

static int module_process(jack_nframes_t frames, void *arg) {
	module *m = arg;
	struct timespec t;
	clock_gettime(CLOCK_MONOTONIC, &t);
	void *buffer = jack_port_get_buffer(m->port, frames);
	jack_midi_event_t e;
	for (uint32_t i = 0; jack_midi_event_get(&e, buffer, i) == 0; i++) {
		unsigned n = __atomic_load_n(&m->n, __ATOMIC_ACQUIRE);
		if (n == MESSAGES || e.size == 0 || e.size > 3) continue;
		heard *h = &m->heard[n];
		h->at = t.tv_sec * 1000000LL + t.tv_nsec / 1000 + e.time * 1000000LL / jack_get_sample_rate(m->client);
		h->size = e.size;
		memcpy(h->bytes, e.buffer, e.size);
		__atomic_store_n(&m->n, n + 1, __ATOMIC_RELEASE);
	}
	return 0;
}

static module *module_open(const char *name) {
	module *m = calloc(1, sizeof *m);
	m->client = jack_client_open(name, JackNoStartServer, NULL);
	if (m->client != NULL) m->port = jack_port_register(m->client, "in", JACK_DEFAULT_MIDI_TYPE, JackPortIsInput, 0);
	if (m->port == NULL || jack_set_process_callback(m->client, module_process, m) != 0 || jack_activate(m->client) != 0) {
		free(m);
		return NULL;
	}
	return m;
}

static unsigned module_count(module *m) { return __atomic_load_n(&m->n, __ATOMIC_ACQUIRE); }

static void module_close(module *m) {
	jack_client_close(m->client);
	free(m);
}
*/
import "C"

import (
	"sync"
	"testing"
	"time"
	"unsafe"
)

// Module is an instrument that is played by others: a JACK client that keeps what it
// is sent.
type Module struct {
	Port string // client:in
	m    *C.module
	once sync.Once
}

// NewModule makes the instrument. It ends with the test.
func NewModule(t testing.TB, client string) *Module {
	t.Helper()
	name := C.CString(client)
	defer C.free(unsafe.Pointer(name))
	m := &Module{Port: client + ":in", m: tried(func() *C.module { return C.module_open(name) })}
	if m.m == nil {
		t.Fatal("no client on the JACK server")
	}
	t.Cleanup(m.Vanish)
	return m
}

// Heard is a message, and when its period came, to a frame.
type Heard struct {
	At    time.Time
	Bytes []byte
}

// Heard returns what the instrument was sent, in order.
func (m *Module) Heard() []Heard {
	at := ours()
	list := make([]Heard, int(C.module_count(m.m)))
	for i := range list {
		h := &m.m.heard[i]
		list[i] = Heard{At: at(h.at), Bytes: C.GoBytes(unsafe.Pointer(&h.bytes[0]), C.int(h.size))}
	}
	return list
}

// Vanish takes the instrument away. What it heard is not asked for afterwards.
func (m *Module) Vanish() {
	m.once.Do(func() {
		time.Sleep(settles)
		C.module_close(m.m)
	})
}
