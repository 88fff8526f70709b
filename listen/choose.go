package listen

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"shedlight/listen/internal/driver"
)

// A PortError says why no input was chosen, and what there is to choose from.
type PortError struct {
	Wanted     string   // what was asked for, "" if nothing was
	Candidates []string // the inputs that fit, or all there are, as they are shown
	Reason     PortReason
}

// PortReason is a reason of a PortError.
type PortReason uint8

const (
	NoSuchPort     PortReason = iota + 1 // no input fits
	SeveralFit                           // several inputs fit
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
		return fmt.Sprintf("several MIDI inputs fit %q; %s; give the whole name of one, or its number in the list of ports", e.Wanted, there)
	case ManyInstrument:
		return fmt.Sprintf("several instruments are connected; %s; choose one with --in", there)
	default:
		return fmt.Sprintf("no instrument is connected; %s; connect one, or choose one with --in", there)
	}
}

// choose returns the index of the input that a player means. shown are the names
// as the player sees them. In this order wanted is a name exactly, as the system, the
// player or JSON has it; one without its volatile part; a number of the list, counted
// from 1; a name in any case; a part of a name, in any case, which cuts no number
// in two: "Port 1" is not "Port 10". The first of these that any name answers to
// decides. If nothing is wanted it is the only instrument. The error is a
// *PortError, with the names as they are shown.
func choose(api, wanted string, names, shown []string) (int, error) {
	if wanted == "" {
		return theInstrument(names, shown)
	}
	number, err := strconv.Atoi(wanted)
	if err != nil {
		number = 0
	}
	low, stays := strings.ToLower(wanted), lasting(api, wanted)
	for _, same := range []func(i int) bool{
		func(i int) bool { return names[i] == wanted },
		func(i int) bool { return shown[i] == wanted },
		func(i int) bool { return string([]rune(names[i])) == wanted }, // as JSON has what is no UTF-8
		func(i int) bool { return lasting(api, names[i]) == stays || lasting(api, shown[i]) == stays },
		func(i int) bool { return i+1 == number },
		func(i int) bool { return strings.EqualFold(shown[i], wanted) },
		func(i int) bool { return strings.EqualFold(lasting(api, shown[i]), stays) },
		func(i int) bool { return hasPart(strings.ToLower(shown[i]), low) },
	} {
		switch fitting := indices(len(names), same); len(fitting) {
		case 0:
		case 1:
			return fitting[0], nil
		default:
			return 0, &PortError{Wanted: wanted, Candidates: pick(shown, fitting), Reason: SeveralFit}
		}
	}
	return 0, &PortError{Wanted: wanted, Candidates: shown, Reason: NoSuchPort}
}

// hasPart reports whether a name holds a part, with no digit on both sides of
// either end of it.
func hasPart(name, part string) bool {
	for at := 0; ; {
		found := strings.Index(name[at:], part)
		if found < 0 {
			return false
		}
		from, to := at+found, at+found+len(part)
		if !cutsNumber(name, from) && !cutsNumber(name, to) {
			return true
		}
		_, size := utf8.DecodeRuneInString(name[from:])
		at = from + size
	}
}

// cutsNumber reports whether a digit stands on both sides of a place in a text.
func cutsNumber(text string, at int) bool {
	before, _ := utf8.DecodeLastRuneInString(text[:at])
	behind, _ := utf8.DecodeRuneInString(text[at:])
	return unicode.IsDigit(before) && unicode.IsDigit(behind)
}

func theInstrument(names, shown []string) (int, error) {
	switch fitting := indices(len(names), func(i int) bool { return isInstrument(names[i]) }); len(fitting) {
	case 0:
		return 0, &PortError{Candidates: shown, Reason: NoInstrument}
	case 1:
		return fitting[0], nil
	default:
		return 0, &PortError{Candidates: pick(shown, fitting), Reason: ManyInstrument}
	}
}

// indices returns which of the first n numbers fit.
func indices(n int, fits func(i int) bool) []int {
	var found []int
	for i := range n {
		if fits(i) {
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

// isInstrument reports whether an input's name may be a real instrument's.
func isInstrument(name string) bool {
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
