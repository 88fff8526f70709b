package main

import (
	"fmt"
	"io"

	"shedlight/display"
	"shedlight/listen"
)

type portsCommand struct {
	API  string `name:"api" type:"system" placeholder:"NAME" help:"The system's MIDI to use: ${apis}."`
	JSON bool   `name:"json" settings:"-" help:"One JSON object on standard output."`
}

func (c *portsCommand) Help() string {
	return `listen --in takes the number of an input, its name in any case, or a part of the
name that fits no other.`
}

func (c *portsCommand) Run(p *program) error {
	restore := p.quieten()
	defer restore()
	ports, err := listen.Ports(c.API)
	if err != nil {
		return err
	}
	if len(ports.Inputs)+len(ports.Outputs) == 0 {
		p.say("shedlight: there are no MIDI ports: plug an instrument in, or start the program that has one")
	}
	inputs, outputs := numbered(ports.Inputs), numbered(ports.Outputs)
	if c.JSON {
		return writeJSON(p.out, portsJSON{Inputs: inputs, Outputs: outputs})
	}
	out := &keptError{w: &foldedLines{w: p.out, cells: p.width()}}
	writePorts(out, "in", inputs)
	writePorts(out, "out", outputs)
	return out.err
}

type portsJSON struct {
	Inputs  []numberedPort `json:"inputs"`
	Outputs []numberedPort `json:"outputs"`
}

// numberedPort is a port as it can be chosen: by its place in the list or its name.
type numberedPort struct {
	Number int    `json:"number"` // from 1, inputs and outputs apart
	Name   string `json:"name"`   // what is no UTF-8 in it is as in all JSON
}

func numbered(names []string) []numberedPort {
	ports := make([]numberedPort, len(names))
	for i, name := range names {
		ports[i] = numberedPort{Number: i + 1, Name: name}
	}
	return ports
}

func writePorts(w io.Writer, kind string, ports []numberedPort) {
	for _, port := range ports {
		fmt.Fprintf(w, "%-3s %2d  %s\n", kind, port.Number, display.Clean(port.Name))
	}
}
