// An input port of our own on a JACK server. Every function but the first takes
// what that returned; none may be called from inside the receiver.
#ifndef SHEDLIGHT_JACK_INPUT_H
#define SHEDLIGHT_JACK_INPUT_H

#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

typedef struct jack_input jack_input;

// Opens a client with a port and feeds nothing into it yet. NULL: no server
// answers. handle is given back to the receiver.
jack_input *jack_input_open(const char *client, const char *port, uintptr_t handle);

// Asks for a connection from the named port; 0: asked for. What is refused is a
// port that is not there, or whose client is not active yet.
int jack_input_connect(jack_input *, const char *from);

// Returns the names of the ports that feed the input, or of all MIDI ports that
// could, each ended by a zero byte, the last by two. NULL: there is none, or the
// server is gone. The caller frees it.
char *jack_input_sources(jack_input *);
char *jack_input_ports(jack_input *);

// Ends the messages, then the client.
void jack_input_close(jack_input *);

// Copies a list of names, as JACK returns it, into one block as above and frees it.
char *jack_names(const char **);

#ifdef __cplusplus
}
#endif

#endif
