// An output port of our own on a JACK server, beside jack_input.h. Nothing waits
// for the server but what opens, connects and closes.
#ifndef SHEDLIGHT_JACK_OUTPUT_H
#define SHEDLIGHT_JACK_OUTPUT_H

#include <stddef.h>

#ifdef __cplusplus
extern "C" {
#endif

typedef struct jack_output jack_output;

// Opens a client with a port that leads nowhere yet. NULL: no server answers.
jack_output *jack_output_open(const char *client, const char *port);

// Asks for a connection to the named port; 0: asked for.
int jack_output_connect(jack_output *, const char *to);

// Sends a message with the next period; 0: it will go. Otherwise the server is gone,
// or has taken nothing for so long that there is no room.
int jack_output_send(jack_output *, const unsigned char *message, size_t size);

// Returns the names of the ports that the output leads to, or of all MIDI ports that
// it could, as jack_input_sources does.
char *jack_output_targets(jack_output *);
char *jack_output_ports(jack_output *);

// Ends the client. What has not gone does not go.
void jack_output_close(jack_output *);

#ifdef __cplusplus
}
#endif

#endif
