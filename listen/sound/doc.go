// Package sound is what is sounded: the click and its count-in, a blip for each
// thing a player asks for, a band. It is two halves that share a pipe.
//
// In the session a conductor turns the line of the beat clock into commands, some
// 400 ms ahead, and never waits:
//
//	beat.Line -> Conductor (every 50 ms) -> Process: queue -> pipe
//
// The other half is a process of its own, of the same program: audio callbacks of
// a Go program starve where its other goroutines are busy, so nothing else is done
// there.
//
//	pipe -> reader -> ring -> audio callback: Player renders
//	               \-> heap -> MIDI thread: sleeps until due, sends
//	supervisor: opens the device, watches it, reports through a second pipe
//
// Who loses what when something is slow: a sound process that does not read loses
// commands, which are counted; the session never waits. A session that does not
// read loses reports; the sound process never waits. The audio callback waits for
// nobody, takes no lock and allocates nothing. The end of the pipe, however it
// comes, is the end of every sound and of the process.
//
// Everything but the device builds and runs without cgo. The device is in one
// file, behind a constraint of its own (nosound), so that a build can have MIDI
// without audio.
package sound
