//go:build jack

package jacktest

/*
#cgo LDFLAGS: -ljack
#include <stdatomic.h>
#include <stdlib.h>
#include <jack/jack.h>
#include <jack/midiport.h>

typedef struct {
	jack_client_t *client;
	jack_port_t *port;
	atomic_int key; // to strike in the next period; 0: none
} late;

static int late_process(jack_nframes_t frames, void *arg) {
	late *l = arg;
	void *buffer = jack_port_get_buffer(l->port, frames);
	jack_midi_clear_buffer(buffer);
	int key = atomic_exchange(&l->key, 0);
	if (key != 0) {
		jack_midi_data_t message[3] = {0x90, (jack_midi_data_t)key, 80};
		jack_midi_event_write(buffer, 0, message, sizeof message);
	}
	return 0;
}

static void late_close(late *l) {
	if (l->client != NULL) jack_client_close(l->client);
	free(l);
}

static late *late_open(const char *client, const char *port) {
	late *l = calloc(1, sizeof *l);
	if (l == NULL) return NULL;
	l->client = jack_client_open(client, JackNoStartServer, NULL);
	if (l->client != NULL) l->port = jack_port_register(l->client, port, JACK_DEFAULT_MIDI_TYPE, JackPortIsOutput, 0);
	if (l->port == NULL || jack_set_process_callback(l->client, late_process, l) != 0) {
		late_close(l);
		return NULL;
	}
	return l;
}

static int late_activate(late *l) { return jack_activate(l->client); }
static void late_strike(late *l, int key) { atomic_store(&l->key, key); }
*/
import "C"

import (
	"sync"
	"testing"
	"time"
	"unsafe"
)

// lateSettles is how long libjack must be left alone before a close: see the driver.
const lateSettles = 100 * time.Millisecond

// Late is a player in this process whose port stands in the list before its client
// is active, as it is with programs that take their time to start: until Activate
// JACK connects nothing to it.
type Late struct {
	Port string // client:out
	t    testing.TB
	late *C.late
	once sync.Once
}

// NewLate makes the port. It ends with the test.
func NewLate(t testing.TB, client string) *Late {
	t.Helper()
	name, port := C.CString(client), C.CString(senderPort)
	defer C.free(unsafe.Pointer(name))
	defer C.free(unsafe.Pointer(port))
	l := &Late{Port: client + ":" + senderPort, t: t, late: C.late_open(name, port)}
	if l.late == nil {
		t.Fatal("no client on the JACK server")
	}
	t.Cleanup(l.Vanish)
	return l
}

// Activate makes the client ready.
func (l *Late) Activate() {
	l.t.Helper()
	if C.late_activate(l.late) != 0 {
		l.t.Fatal("the client does not become active")
	}
}

// Strike sends a note in the next period.
func (l *Late) Strike(key byte) { C.late_strike(l.late, C.int(key)) }

// Vanish takes the port away.
func (l *Late) Vanish() {
	l.once.Do(func() {
		time.Sleep(lateSettles)
		C.late_close(l.late)
	})
}
