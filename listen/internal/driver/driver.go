// Package driver is the door to the sound system. Everything that comes from
// the system's own MIDI library stops here: its indices, its threads, its error
// strings. One file imports that library; what speaks to JACK by itself is in files
// of that name. They stand aside in a build without cgo or with the tag nomidi, which
// says that it has no live input.
package driver

// Receive is called for every message that arrives, one at a time for each
// input, on a thread that is not Go's. The bytes belong to the receiver; delta
// is what the sound system says has passed since the message before, in
// seconds, and is not to be trusted (see the stamps in package listen). It must
// not block and must not close the input.
type Receive func(message []byte, delta float64)

// Driver reaches the ports of one sound system. Its methods may be called from
// one goroutine at a time and answer within the time limits below or fail.
type Driver interface {
	// API is the short name of the sound system: alsa, jack, core or winmm.
	API() string
	// Inputs and Outputs return the names of the ports, in the system's order.
	// The error is a Fault.
	Inputs() ([]string, error)
	Outputs() ([]string, error)
	// Open opens the input at an index of the last list and fails if another
	// name stands there now. The error is a Fault; Inactive costs nothing to try
	// again. At most one input of a
	// driver is open at a time, and no list is asked for while it is: a JACK
	// client that is opened after the server died frees the others behind
	// their backs.
	Open(index int, name string, receive Receive) (Input, error)
	// Close lets go of the driver. Inputs are closed before.
	Close()
}

// Input is an open input. It belongs to the goroutine that uses the driver.
type Input interface {
	// Look returns the name of the port that feeds this input now, "" where none
	// does, and the names of the inputs there are. The source is another port
	// than the one opened where somebody has moved the cable, which only JACK
	// tells. It costs well under a millisecond.
	Look() (source string, inputs []string)
	// Close stops the messages, then closes. No call of the receiver begins
	// after it returns.
	Close()
}

// Output is an output port of our own. It belongs to one goroutine.
type Output interface {
	// Send hands a message over. The error is a Fault: it will not go.
	Send(message []byte) error
	// Leads reports whether what is sent reaches the port that the output was
	// opened for. It costs well under a millisecond.
	Leads() bool
	Close()
}

// APIs are the names Load knows, in the order a message lists them.
func APIs() []string { return []string{ALSA, JACK, Core, WinMM} }

// The short names of the sound systems.
const (
	ALSA  = "alsa"
	JACK  = "jack"
	Core  = "core"
	WinMM = "winmm"
)

// clientName is what other programs see us as.
const clientName = "shedlight"
