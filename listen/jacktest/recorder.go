//go:build jack

package jacktest

/*
#cgo LDFLAGS: -ljack
#include <jack/jack.h>
#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <time.h>

#define ONSETS 65536
#define LOUD 1e-4f

// Microseconds of CLOCK_MONOTONIC: by the frames of the server, and by the moment
// at which it asked for them.
typedef struct {
	int64_t framed, called;
} onset;

typedef struct {
	jack_client_t *client;
	jack_port_t *port;
	jack_nframes_t quiet, silent;
	onset onsets[ONSETS];
	unsigned n;
	int64_t last; // when it was loud last, as called
	float peak;
	unsigned long xruns;
} recorder;

static int64_t monotonic(void) {
	struct timespec t;
	clock_gettime(CLOCK_MONOTONIC, &t);
	return t.tv_sec * 1000000LL + t.tv_nsec / 1000;
}

static int record(jack_nframes_t frames, void *arg) {
	recorder *r = arg;
	int64_t now = monotonic(), apart = now - (int64_t)jack_get_time();
	float *in = jack_port_get_buffer(r->port, frames);
	jack_nframes_t first = jack_last_frame_time(r->client);
	for (jack_nframes_t i = 0; i < frames; i++) {
		float x = fabsf(in[i]);
		if (x > r->peak) r->peak = x;
		if (x < LOUD) {
			r->quiet++;
			continue;
		}
		if (r->quiet >= r->silent) {
			unsigned n = __atomic_load_n(&r->n, __ATOMIC_ACQUIRE);
			if (n < ONSETS) {
				r->onsets[n].framed = (int64_t)jack_frames_to_time(r->client, first + i) + apart;
				r->onsets[n].called = now + i * 1000000LL / jack_get_sample_rate(r->client);
				__atomic_store_n(&r->n, n + 1, __ATOMIC_RELEASE);
			}
		}
		r->quiet = 0;
		__atomic_store_n(&r->last, now + i * 1000000LL / jack_get_sample_rate(r->client), __ATOMIC_RELEASE);
	}
	return 0;
}

static int xrun(void *arg) {
	((recorder *)arg)->xruns++;
	return 0;
}

static recorder *recorder_open(const char *name, jack_nframes_t silent) {
	recorder *r = calloc(1, sizeof *r);
	r->silent = silent;
	r->client = jack_client_open(name, JackNoStartServer, NULL);
	if (!r->client) {
		free(r);
		return NULL;
	}
	r->port = jack_port_register(r->client, "in", JACK_DEFAULT_AUDIO_TYPE, JackPortIsInput, 0);
	jack_set_process_callback(r->client, record, r);
	jack_set_xrun_callback(r->client, xrun, r);
	jack_activate(r->client);
	return r;
}

static int recorder_connect(recorder *r, const char *from) {
	return jack_connect(r->client, from, jack_port_name(r->port));
}

static int64_t recorder_last(recorder *r) { return __atomic_load_n(&r->last, __ATOMIC_ACQUIRE); }

static unsigned recorder_count(recorder *r) { return __atomic_load_n(&r->n, __ATOMIC_ACQUIRE); }

static void recorder_close(recorder *r) {
	jack_client_close(r->client);
	free(r);
}
*/
import "C"

import (
	"sync"
	"testing"
	"time"
	"unsafe"
)

// silentFrames is how long it is silent before a sound begins: longer than any
// wave stays near its zero.
const silentFrames = Rate / 50

// Recorder is a JACK client that notes when sounds begin.
type Recorder struct {
	t    testing.TB
	r    *C.recorder
	once sync.Once
}

// NewRecorder records what a port plays, once there is one with that name. It
// ends with the test.
func NewRecorder(t testing.TB, source string) *Recorder {
	t.Helper()
	name := C.CString("shedlight-recorder")
	defer C.free(unsafe.Pointer(name))
	r := &Recorder{t: t, r: tried(func() *C.recorder { return C.recorder_open(name, silentFrames) })}
	if r.r == nil {
		t.Fatal("the recorder finds no JACK server")
	}
	t.Cleanup(r.Close)
	from := C.CString(source)
	defer C.free(unsafe.Pointer(from))
	Until(t, startLimit, "there is "+source, func() bool { return C.recorder_connect(r.r, from) == 0 })
	return r
}

// Close ends the recorder.
func (r *Recorder) Close() { r.once.Do(func() { C.recorder_close(r.r) }) }

// Onset is when a sound began: by the frames that JACK counts, which is what is
// heard, and by the moment at which it asked for them, which scatters. JACK's
// frames are tens of milliseconds off where the server itself is held up.
type Onset struct{ Framed, Called time.Time }

// Onsets returns when sounds began, on Go's clock. JACK's own is another: the two
// are compared in each period.
func (r *Recorder) Onsets() []Onset {
	at := ours()
	list := make([]Onset, int(C.recorder_count(r.r)))
	for i := range list {
		o := r.r.onsets[i]
		list[i] = Onset{Framed: at(o.framed), Called: at(o.called)}
	}
	return list
}

// Sounded returns when the last loud sample came, as Onset.Called.
func (r *Recorder) Sounded() time.Time { return ours()(C.recorder_last(r.r)) }

// ours turns what a client has noted into times on Go's clock.
func ours() func(micros C.int64_t) time.Time {
	now, mono := time.Now(), int64(C.monotonic())
	return func(micros C.int64_t) time.Time {
		return now.Add(time.Duration(int64(micros)-mono) * time.Microsecond)
	}
}

// Peak returns the loudest sample so far; Xruns how often the server was late.
func (r *Recorder) Peak() float64 { return float64(r.r.peak) }

// Xruns returns how often a period was missed.
func (r *Recorder) Xruns() int { return int(r.r.xruns) }
