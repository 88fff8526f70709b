//go:build cgo && !nomidi

#include "jack_input.h"

// Built without JACK every input is one that no server answers.
#ifndef __UNIX_JACK__

jack_input *jack_input_open(const char *, const char *, uintptr_t) { return nullptr; }
int jack_input_connect(jack_input *, const char *) { return -1; }
char *jack_input_sources(jack_input *) { return nullptr; }
char *jack_input_ports(jack_input *) { return nullptr; }
void jack_input_close(jack_input *) {}

#else

#include <atomic>
#include <cstdlib>
#include <cstring>

#include <jack/jack.h>
#include <jack/midiport.h>

#include "_cgo_export.h"

struct jack_input {
	jack_client_t *client = nullptr;
	jack_port_t *port = nullptr;
	uintptr_t handle = 0;
	std::atomic<bool> gone{false}; // the server
	jack_time_t last = 0;          // of the last message passed on, in microseconds; 0: none
	bool exclusive = false;        // inside system exclusive
};

namespace {

// System exclusive is left out, with its continuations; real time may stand in it.
bool passes(jack_input *in, const jack_midi_event_t &e) {
	const unsigned char status = 0x80, exclusive = 0xF0, end = 0xF7, real_time = 0xF8;
	if (e.size == 0) return false;
	if (e.buffer[0] >= real_time) return true;
	if (e.buffer[0] == exclusive || (in->exclusive && (e.buffer[0] < status || e.buffer[0] == end))) {
		in->exclusive = e.buffer[e.size - 1] != end;
		return false;
	}
	in->exclusive = false;
	return true;
}

int process(jack_nframes_t frames, void *arg) {
	jack_input *in = static_cast<jack_input *>(arg);
	void *buffer = jack_port_get_buffer(in->port, frames);
	const uint32_t count = jack_midi_get_event_count(buffer);
	for (uint32_t i = 0; i < count; i++) {
		jack_midi_event_t e;
		if (jack_midi_event_get(&e, buffer, i) != 0 || !passes(in, e)) continue;
		const jack_time_t now = jack_get_time();
		const double delta = in->last == 0 ? 0 : (now - in->last) * 1e-6;
		in->last = now;
		shedlightReceive(in->handle, e.buffer, e.size, delta);
	}
	return 0;
}

void shut_down(void *arg) { static_cast<jack_input *>(arg)->gone = true; }

} // namespace

char *jack_names(const char **names) {
	if (names == nullptr) return nullptr;
	size_t size = 1;
	for (const char **name = names; *name != nullptr; name++) size += strlen(*name) + 1;
	char *all = static_cast<char *>(calloc(size, 1)), *to = all;
	for (const char **name = names; all != nullptr && *name != nullptr; name++) {
		strcpy(to, *name);
		to += strlen(*name) + 1;
	}
	jack_free(names);
	return all;
}

jack_input *jack_input_open(const char *client, const char *port, uintptr_t handle) {
	jack_input *in = new jack_input;
	in->handle = handle;
	in->client = jack_client_open(client, JackNoStartServer, nullptr);
	if (in->client == nullptr) {
		delete in;
		return nullptr;
	}
	in->port = jack_port_register(in->client, port, JACK_DEFAULT_MIDI_TYPE, JackPortIsInput, 0);
	jack_set_process_callback(in->client, process, in);
	jack_on_shutdown(in->client, shut_down, in);
	if (in->port == nullptr || jack_activate(in->client) != 0) {
		jack_input_close(in);
		return nullptr;
	}
	return in;
}

int jack_input_connect(jack_input *in, const char *from) {
	return in->gone ? -1 : jack_connect(in->client, from, jack_port_name(in->port));
}

char *jack_input_sources(jack_input *in) {
	return in->gone ? nullptr : jack_names(jack_port_get_all_connections(in->client, in->port));
}

char *jack_input_ports(jack_input *in) {
	return in->gone ? nullptr : jack_names(jack_get_ports(in->client, nullptr, JACK_DEFAULT_MIDI_TYPE, JackPortIsOutput));
}

void jack_input_close(jack_input *in) {
	jack_client_close(in->client); // it waits for the process callback
	delete in;
}

#endif
