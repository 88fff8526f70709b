package listen

import (
	"errors"
	"fmt"
	"regexp"
	"strconv"
	"strings"

	"shedlight/listen/internal/driver"
)

// PortList holds the names of the MIDI ports of a machine, in the sound
// system's order. The names are the system's: they may hold any byte.
type PortList struct {
	Inputs  []string
	Outputs []string
}

// Ports lists the ports of a sound system: alsa, jack, core, winmm, or "" for
// the usual one of the machine. The error is a Fault. Over JACK no Live may be
// open in the same process meanwhile.
func Ports(api string) (PortList, error) {
	drv, err := driver.Load(api)
	if err != nil {
		return PortList{}, err
	}
	defer drv.Close()
	var list PortList
	if list.Inputs, err = drv.Inputs(); err != nil {
		return PortList{}, err
	}
	if list.Outputs, err = drv.Outputs(); err != nil {
		return PortList{}, err
	}
	return list, nil
}

// A PortError says why no input was chosen, and what there is to choose from.
type PortError struct {
	Wanted     string   // the name asked for, "" if none was
	Candidates []string // the inputs that fit, or all there are
	Reason     PortReason
}

// PortReason is a reason of a PortError.
type PortReason uint8

const (
	NoSuchPort     PortReason = iota + 1 // no input has the name
	SeveralFit                           // several inputs have the name
	NoInstrument                         // none was asked for and none is an instrument
	ManyInstrument                       // none was asked for and several are instruments
)

// Error is one line; names are quoted, so that no control byte passes.
func (e *PortError) Error() string {
	there := "there is no MIDI input at all"
	if len(e.Candidates) > 0 {
		quoted := make([]string, len(e.Candidates))
		for i, name := range e.Candidates {
			quoted[i] = strconv.Quote(name)
		}
		there = "there is " + strings.Join(quoted, ", ")
	}
	switch e.Reason {
	case NoSuchPort:
		return fmt.Sprintf("no MIDI input is called %q; %s", e.Wanted, there)
	case SeveralFit:
		return fmt.Sprintf("several MIDI inputs are called %q; %s; give the whole name of one", e.Wanted, there)
	case ManyInstrument:
		return fmt.Sprintf("several instruments are connected; %s; choose one with --in", there)
	default:
		return fmt.Sprintf("no instrument is connected; %s; connect one, or choose one with --in", there)
	}
}

// choose returns the index of the input to open: the one with exactly the
// wanted name, else the only one with that name when the volatile parts of both
// are taken away, and if none is wanted the only instrument. The error is a
// *PortError. A part of a name never counts: "Port 1" is not "Port 10".
func choose(api, wanted string, names []string) (int, error) {
	if wanted == "" {
		return theInstrument(names)
	}
	for _, same := range []func(name string) bool{
		func(name string) bool { return name == wanted },
		func(name string) bool { return lasting(api, name) == lasting(api, wanted) },
	} {
		switch fitting := indices(names, same); len(fitting) {
		case 0:
		case 1:
			return fitting[0], nil
		default:
			return 0, &PortError{Wanted: wanted, Candidates: pick(names, fitting), Reason: SeveralFit}
		}
	}
	return 0, &PortError{Wanted: wanted, Candidates: names, Reason: NoSuchPort}
}

func theInstrument(names []string) (int, error) {
	switch fitting := indices(names, instrument); len(fitting) {
	case 0:
		return 0, &PortError{Candidates: names, Reason: NoInstrument}
	case 1:
		return fitting[0], nil
	default:
		return 0, &PortError{Candidates: pick(names, fitting), Reason: ManyInstrument}
	}
}

func indices(names []string, fits func(string) bool) []int {
	var found []int
	for i, name := range names {
		if fits(name) {
			found = append(found, i)
		}
	}
	return found
}

func pick(names []string, at []int) []string {
	picked := make([]string, len(at))
	for i, k := range at {
		picked[i] = names[k]
	}
	return picked
}

// notInstruments are parts of the names of inputs that are never opened unasked,
// in small letters: what loops back, what listens in, and ourselves.
func notInstruments() []string {
	return []string{
		"midi through",     // ALSA's loop, always first in its list; bridges to JACK carry it on
		"monitor",          // copies of what goes out
		"virmidi",          // ALSA's virtual raw ports
		"virtual raw midi", // the same, by card
		"iac driver",       // the loop of macOS
		"pipewire",         // the ports of a sound server
		"shedlight",        // our own
	}
}

// instrument reports whether an input's name may be a real instrument's.
func instrument(name string) bool {
	name = strings.ToLower(name)
	for _, part := range notInstruments() {
		if strings.Contains(name, part) {
			return false
		}
	}
	return true
}

// What a sound system puts into a name and changes from one day to the next.
var (
	alsaAddress    = regexp.MustCompile(` \d+:\d+$`)      // "Keys:Keys MIDI 1 20:0": client and port number
	jackClient     = regexp.MustCompile(` ?\[\d+\]`)      // "a2j:Keys [20] (capture): Keys MIDI 1": the bridged client number
	jackRepeated   = regexp.MustCompile(`^([^:]+)-\d\d:`) // "Keys-01:out": the second client called Keys
	windowsIndex   = regexp.MustCompile(` \d+$`)          // "Keys 0": the place in the list
	windowsRepeats = regexp.MustCompile(`^\d+- ?`)        // "2- Keys": the same device in another socket
)

// lasting returns the part of a port's name that stays the same when the
// instrument is plugged in again.
func lasting(api, name string) string {
	switch api {
	case driver.ALSA:
		return alsaAddress.ReplaceAllString(name, "")
	case driver.JACK:
		return jackRepeated.ReplaceAllString(jackClient.ReplaceAllString(name, ""), "$1:")
	case driver.WinMM:
		return windowsRepeats.ReplaceAllString(windowsIndex.ReplaceAllString(name, ""), "")
	}
	return name
}

// openError is a port that stands in the list and could not be opened.
type openError struct {
	name  string
	fault error
}

func (e openError) Error() string { return fmt.Sprintf("MIDI input %q: %v", e.name, e.fault) }

func (e openError) Unwrap() error { return e.fault }

func isOpenError(err error) bool {
	var failed openError
	return errors.As(err, &failed)
}
