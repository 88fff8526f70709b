package listen

import (
	"errors"
	"fmt"

	"shedlight/listen/internal/driver"
)

// PortList holds the names of the MIDI ports of a machine, in the sound
// system's order: Options.Port takes their numbers, counted from 1. The names are
// the system's: they may hold any byte.
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
