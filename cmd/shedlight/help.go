package main

import (
	"embed"
	"fmt"
	"io/fs"
	"shedlight/cmd/shedlight/internal/usage"
	"strings"
)

//go:embed manuals/*.txt
var manuals embed.FS

// topicNames lists the pages of the manual.
func topicNames() []string {
	entries, err := fs.ReadDir(manuals, "manuals")
	if err != nil {
		panic(err) // they are part of the program
	}
	var names []string
	for _, e := range entries {
		names = append(names, strings.TrimSuffix(e.Name(), ".txt"))
	}
	return names
}

type helpCommand struct {
	Topic string `arg:"" help:"One of: ${topics}."`
}

func (c *helpCommand) Run(p *program) error {
	text, err := manuals.ReadFile("manuals/" + c.Topic + ".txt")
	if err != nil {
		return usage.Errorf("no manual page %q: there are %s; for a command try: shedlight COMMAND --help", c.Topic, strings.Join(topicNames(), ", "))
	}
	_, err = fmt.Fprint(p.out, string(text))
	return err
}
