package listen

import (
	"fmt"

	"shedlight/listen/internal/driver"
)

// Output is an open MIDI output. It belongs to one goroutine, locked to its
// thread.
type Output struct {
	driver.Output
	name string
}

// Name returns the name of the output, as the sound system has it.
func (o *Output) Name() string { return o.name }

// OpenOutput opens the output that is meant, as Options.Port says of an input, of the
// named sound system, "" for the usual one. The error is a
// Fault, or says which outputs there are.
func OpenOutput(api, wanted string) (*Output, error) {
	name := ""
	out, err := driver.OpenOutput(api, func(system string, names []string) (int, error) {
		index, err := choose(system, wanted, names, names)
		if err != nil {
			return 0, outputError{wanted: wanted, names: names}
		}
		name = names[index]
		return index, nil
	})
	if err != nil {
		return nil, err
	}
	return &Output{Output: out, name: name}, nil
}

// outputError is a name that is no output's, or several's.
type outputError struct {
	wanted string
	names  []string
}

func (e outputError) Error() string {
	there := "there is none"
	if len(e.names) > 0 {
		there = fmt.Sprintf("there are %q", e.names)
	}
	if e.wanted == "" {
		return "several MIDI outputs or none could be meant: " + there + "; choose one with --out"
	}
	return fmt.Sprintf("no one MIDI output is called %q: %s", e.wanted, there)
}
