//go:build cgo && !nomidi

package driver

import "gitlab.com/gomidi/midi/v2/drivers/rtmididrv/imported/rtmidi"

// OpenOutput opens an output of a sound system, "" for the usual one, on the
// caller's thread. pick is given the system's short name and the names of its
// outputs and returns the index of one. The error is a Fault, or pick's.
func OpenOutput(name string, pick func(api string, names []string) (int, error)) (Output, error) {
	a, err := reach(name)
	if err != nil {
		return nil, err
	}
	if a.name == JACK {
		return openJACKOutput(pick)
	}
	out, err := rtmidi.NewMIDIOut(a.id, soundName)
	if err != nil {
		return nil, Refused
	}
	to, err := openAt(a.name, out, pick)
	if err != nil {
		out.Destroy()
		return nil, err
	}
	return output{out: out, name: to}, nil
}

// openAt opens an output at the port that pick chooses, and returns its name.
func openAt(api string, out rtmidi.MIDIOut, pick func(string, []string) (int, error)) (name string, err error) {
	list, err := names(out)
	if err != nil {
		return "", err
	}
	index, err := pick(api, list)
	if err != nil {
		return "", err
	}
	if out.OpenPort(index, outName) != nil {
		return "", NotOpened
	}
	if now, err := out.PortName(index); err != nil || now != list[index] {
		return "", Moved
	}
	return list[index], nil
}

const (
	soundName = "shedlight-sound"
	outName   = "out"
)
