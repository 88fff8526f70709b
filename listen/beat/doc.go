// Package beat is the clock of the music: it ties times to ticks, and ticks to
// the song. It knows its own tempo, taps, the count-in, again from the top, a bar
// on or back, and stop. It is pure: it has no goroutine, starts nothing, asks no
// clock, and all its arithmetic is on integers: ticks of a 960th of a quarter
// note and tempos in microseconds a quarter note, as a MIDI file holds them.
//
// Its owner, the goroutine that makes events, tells it what happens and when,
// and gets the events that come before it:
//
//	time, actions, notes -> Clock -> Tempo, Meter, Origin events; a tick
//	                          \---> Line: what is beat and when, for whoever sounds it
//
// Two times must be kept apart. The beat sounds at beat(t). What the player does
// comes late by a lag of their own, and so does what they tap; it lies at
// beat(t - lag). Because notes and taps go the same way, a tap and a note played
// together have one tick, and events come in one order.
//
// A change never reaches back: it holds from the first tick that is neither given
// out nor sounded. Events that a change plans are held until the ticks reach
// them, so that their order is that of their ticks.
//
// An outside clock is one more voice that changes the tempo from a tick on and lays an
// origin: follow.go turns its pulses into a straight line, sync.go keeps the song by it.
package beat
