//go:build cgo && !nomidi

#include "jack_output.h"
#include "jack_input.h"

// Built without JACK every output is one that no server answers.
#ifndef __UNIX_JACK__

jack_output *jack_output_open(const char *, const char *) { return nullptr; }
int jack_output_connect(jack_output *, const char *) { return -1; }
int jack_output_send(jack_output *, const unsigned char *, size_t) { return -1; }
char *jack_output_targets(jack_output *) { return nullptr; }
char *jack_output_ports(jack_output *) { return nullptr; }
void jack_output_close(jack_output *) {}

#else

#include <atomic>
#include <cstring>

#include <jack/jack.h>
#include <jack/midiport.h>
#include <jack/ringbuffer.h>

namespace {

const size_t longest = 3; // bytes of a channel message
const size_t messages = 1024;

struct message {
	unsigned char size, bytes[longest];
};

} // namespace

struct jack_output {
	jack_client_t *client = nullptr;
	jack_port_t *port = nullptr;
	jack_ringbuffer_t *ring = nullptr;
	std::atomic<bool> gone{false}; // the server
};

namespace {

int process(jack_nframes_t frames, void *arg) {
	jack_output *out = static_cast<jack_output *>(arg);
	void *buffer = jack_port_get_buffer(out->port, frames);
	jack_midi_clear_buffer(buffer);
	message m;
	while (jack_ringbuffer_read_space(out->ring) >= sizeof m) {
		jack_ringbuffer_peek(out->ring, reinterpret_cast<char *>(&m), sizeof m);
		if (jack_midi_event_write(buffer, 0, m.bytes, m.size) != 0) break; // full: with the next period
		jack_ringbuffer_read_advance(out->ring, sizeof m);
	}
	return 0;
}

void shut_down(void *arg) { static_cast<jack_output *>(arg)->gone = true; }

} // namespace

jack_output *jack_output_open(const char *client, const char *port) {
	jack_output *out = new jack_output;
	out->ring = jack_ringbuffer_create(messages * sizeof(message));
	out->client = jack_client_open(client, JackNoStartServer, nullptr);
	if (out->client != nullptr) {
		out->port = jack_port_register(out->client, port, JACK_DEFAULT_MIDI_TYPE, JackPortIsOutput, 0);
		jack_set_process_callback(out->client, process, out);
		jack_on_shutdown(out->client, shut_down, out);
	}
	if (out->ring == nullptr || out->port == nullptr || jack_activate(out->client) != 0) {
		jack_output_close(out);
		return nullptr;
	}
	return out;
}

int jack_output_connect(jack_output *out, const char *to) {
	return out->gone ? -1 : jack_connect(out->client, jack_port_name(out->port), to);
}

int jack_output_send(jack_output *out, const unsigned char *bytes, size_t size) {
	message m = {};
	if (out->gone || size > longest || jack_ringbuffer_write_space(out->ring) < sizeof m) return -1;
	m.size = static_cast<unsigned char>(size);
	memcpy(m.bytes, bytes, size);
	jack_ringbuffer_write(out->ring, reinterpret_cast<char *>(&m), sizeof m);
	return 0;
}

char *jack_output_targets(jack_output *out) {
	return out->gone ? nullptr : jack_names(jack_port_get_all_connections(out->client, out->port));
}

char *jack_output_ports(jack_output *out) {
	return out->gone ? nullptr : jack_names(jack_get_ports(out->client, nullptr, JACK_DEFAULT_MIDI_TYPE, JackPortIsInput));
}

void jack_output_close(jack_output *out) {
	if (out->client != nullptr) jack_client_close(out->client); // it waits for the process callback
	if (out->ring != nullptr) jack_ringbuffer_free(out->ring);
	delete out;
}

#endif
