package main

import (
	"embed"
	"fmt"
	"io/fs"
	"reflect"
	"slices"
	"strings"

	"shedlight/cmd/shedlight/internal/usage"
	"shedlight/display"
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
	Topic string `arg:"" help:"A page of the manual (${topics}) or a command."`
}

// helpArgs turns a call for help with a command, or with all, into the flag for it. A
// page of the manual comes first: it says more.
func helpArgs(args []string) []string {
	switch {
	case len(args) == 0, len(args) == 1 && args[0] == "help":
		return []string{"--help"}
	case len(args) == 2 && args[0] == "help" && !slices.Contains(topicNames(), args[1]) && slices.Contains(commandNames(), args[1]):
		return []string{args[1], "--help"}
	}
	return args
}

// commandNames lists the commands.
func commandNames() (names []string) {
	all := reflect.TypeFor[commands]()
	for i := range all.NumField() {
		if _, is := all.Field(i).Tag.Lookup("cmd"); is {
			names = append(names, strings.ToLower(all.Field(i).Name))
		}
	}
	return names
}

func (c *helpCommand) Run(p *program) error {
	text, err := manuals.ReadFile("manuals/" + c.Topic + ".txt")
	if err != nil {
		return usage.Errorf("no manual page %q: there are %s, and a page for each command: %s", c.Topic,
			strings.Join(topicNames(), ", "), strings.Join(commandNames(), ", "))
	}
	_, err = fmt.Fprint(p.out, display.FoldPage(string(text), p.width()))
	return err
}
