//go:build cgo && !nomidi

#include "jack_list.h"
#include "jack_input.h"

// Built without JACK no server answers.
#ifndef __UNIX_JACK__

char *jack_list(const char *, bool) { return nullptr; }

#else

#include <cstdlib>

#include <jack/jack.h>

char *jack_list(const char *name, bool giving) {
	jack_client_t *client = jack_client_open(name, JackNoStartServer, nullptr);
	if (client == nullptr) return nullptr;
	char *names = jack_names(jack_get_ports(client, nullptr, JACK_DEFAULT_MIDI_TYPE, giving ? JackPortIsOutput : JackPortIsInput));
	jack_client_close(client);
	return names != nullptr ? names : static_cast<char *>(calloc(1, 1)); // none
}

#endif
