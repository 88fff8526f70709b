package main

import (
	"fmt"
	"slices"
	"strings"

	"shedlight/cmd/shedlight/internal/usage"
	"shedlight/display"
	"shedlight/listen"
)

type portsCommand struct {
	API string `name:"api" placeholder:"NAME" help:"The system's MIDI to use: ${apis}."`
}

// checkAPI refuses the name of a sound system that there is nowhere.
func checkAPI(name string) error {
	if name != "" && !slices.Contains(listen.APIs(), name) {
		return usage.Errorf("--api %s: expected one of %s", name, strings.Join(listen.APIs(), ", "))
	}
	return nil
}

func (c *portsCommand) Run(p *program) error {
	if err := checkAPI(c.API); err != nil {
		return err
	}
	restore := p.quieten()
	defer restore()
	ports, err := listen.Ports(c.API)
	if err != nil {
		return err
	}
	out := &keptError{w: p.out}
	for _, name := range ports.Inputs {
		fmt.Fprintln(out, "in   "+display.Clean(name))
	}
	for _, name := range ports.Outputs {
		fmt.Fprintln(out, "out  "+display.Clean(name))
	}
	if len(ports.Inputs)+len(ports.Outputs) == 0 {
		p.say("shedlight: there are no MIDI ports: plug an instrument in, or start the program that has one")
	}
	return out.err
}
