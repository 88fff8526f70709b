package analyse

// Kind says what an Event is.
type Kind uint8

const (
	// The channel messages of MIDI 1.0. Key and Velocity are the first and
	// second data byte, whatever the message calls them: the controller and
	// its value, the program, the low and high byte of a bend. A NoteOn with
	// velocity 0 stays one, so that nothing is lost on the way to the take;
	// the analyser reads it as a release.
	NoteOff Kind = iota + 1
	NoteOn
	PolyPressure
	Control
	Program
	ChannelPressure
	PitchBend

	// Tempo: from Tick on a quarter note lasts Value microseconds.
	Tempo
	// Meter: from Tick on the meter is Value, packed (timebase.Unpack). Tick is
	// the first beat of a bar.
	Meter
	// Origin: Tick lies at song tick Value; song time runs on from there when
	// Key is 1 and stands still when it is 0. Before the first origin there is
	// no song position.
	Origin
	// Release: everything that sounds stops and every pedal goes up. Value is
	// a Reason.
	Release
	// Found: the instrument is there again after a Release for Unplugged.
	Found
	// Lost: Value messages did not fit into the input queue.
	Lost
	// Asked: the player asked for something, by pedal or key; Value is a
	// beat.Action. It says nothing about any note.
	Asked
	// Forget: the player wants a chorus left out of every count; which one is told
	// in Analyser.Forgotten. It follows the Asked that it was asked for with, as
	// Mark does.
	Forget
	// Mark: the player wants to find this place again.
	Mark
	// NextView: from here on notes are heard in the other view of the changes. It
	// follows an Asked as well.
	NextView
	// Advance is no event: it says that none will come before Tick. A source
	// yields it while nothing is played; it is not recorded.
	Advance
)

// Reason says why a Release happened.
type Reason int64

const (
	Unplugged       Reason = iota + 1 // the port is gone
	SensingTimedOut                   // active sensing stopped (MIDI 1.0)
	Overflowed                        // messages were lost, releases perhaps among them
)

// Event is one thing that happened, at a tick of the take. It has a fixed size
// and no pointers; ticks never decrease from one event to the next.
type Event struct {
	Tick     int64 // 960 to the quarter note, from the start of the take
	Value    int64 // see Kind
	Kind     Kind
	Channel  uint8 // 0 to 15
	Key      uint8 // 0 to 127
	Velocity uint8 // 0 to 127
}
