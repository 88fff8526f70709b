package main

import (
	"fmt"

	"shedlight/display"
	"shedlight/listen"
)

type portsCommand struct {
	API string `name:"api" placeholder:"NAME" help:"The system's MIDI to use: ${apis}."`
}

func (c *portsCommand) Run(p *program) error {
	restore := p.quieten()
	defer restore()
	ports, err := listen.Ports(c.API)
	if err != nil {
		return err
	}
	for _, name := range ports.Inputs {
		fmt.Fprintln(p.out, "in   "+display.Clean(name))
	}
	for _, name := range ports.Outputs {
		fmt.Fprintln(p.out, "out  "+display.Clean(name))
	}
	if len(ports.Inputs)+len(ports.Outputs) == 0 {
		p.say("shedlight: there are no MIDI ports: plug an instrument in, or start the program that has one")
	}
	return nil
}
