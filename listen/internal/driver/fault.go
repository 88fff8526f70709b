package driver

// Fault is a reason why there is no MIDI. Each is an error of its own that says
// in one sentence what it is and what to do.
type Fault uint8

const (
	NotBuilt     Fault = iota + 1 // built without cgo
	UnknownAPI                    // no such sound system
	OtherAPI                      // a sound system this build does not have
	NoSound                       // the machine has no sound system
	NoSequencer                   // ALSA without its sequencer device
	NoPermission                  // the sequencer device may not be opened
	NoJACK                        // no JACK server answers
	NotOpened                     // the port could not be opened
	Moved                         // another port stands where this one was
	Hung                          // the sound system does not answer
	Refused                       // the sound system is there and fails
	Inactive                      // the port's program does not send yet
)

// Error returns the sentence.
func (f Fault) Error() string {
	switch f {
	case NotBuilt:
		return "this build has no live input: it was made without cgo; files, demo and review work, for live input build with CGO_ENABLED=1"
	case UnknownAPI:
		return "no such sound system: --api takes alsa, jack, core or winmm"
	case OtherAPI:
		return "this build does not speak that sound system: leave --api out, or build with it"
	case NoSound:
		return "this machine has no sound system: /dev/snd is not there; load a sound driver, or start a JACK server and use --api jack"
	case NoSequencer:
		return "there is no MIDI sequencer: /dev/snd/seq is not there; load it with: sudo modprobe snd-seq"
	case NoPermission:
		return "no permission to open /dev/snd/seq: join the group audio (sudo usermod -aG audio $USER) and log in again"
	case NoJACK:
		return "no JACK server answers: start one, or leave --api jack out"
	case NotOpened:
		return "the port could not be opened: another program may hold it; close that program or choose another port"
	case Moved:
		return "the ports changed while one was being opened: try again"
	case Hung:
		return "the sound system does not answer: unplug the instrument, plug it in again and restart"
	case Inactive:
		return "the program that has the port is not ready: wait until it is, and try again"
	case Refused:
		return "the sound system is there but refuses MIDI: restart it, or choose another with --api"
	}
	return "no MIDI, for an unknown reason"
}
