// The MIDI ports of a JACK server.
#ifndef SHEDLIGHT_JACK_LIST_H
#define SHEDLIGHT_JACK_LIST_H

#include <stdbool.h>

#ifdef __cplusplus
extern "C" {
#endif

// Lists the ports that give messages, or those that take them, by a client that is
// never active: no period waits for it. The names are as jack_input_sources returns
// them; NULL: no server answers.
char *jack_list(const char *client, bool giving);

#ifdef __cplusplus
}
#endif

#endif
