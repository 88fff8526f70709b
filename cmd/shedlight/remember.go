package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"github.com/adrg/xdg"
	"github.com/google/renameio/v2/maybe"
)

// lastFile is where the flags of the last session are kept, under the user's
// state folder.
const lastFile = "shedlight/last.json"

// bareListen is the command without any flag.
func bareListen() listenCommand {
	return listenCommand{CountIn: 1, lookFlags: lookFlags{Written: "C"}}
}

// remember keeps the flags for the next bare call. It is a convenience: where
// they cannot be kept nothing is said.
func (c *listenCommand) remember() {
	path, err := xdg.StateFile(lastFile)
	if err != nil {
		return
	}
	text, err := json.Marshal(c)
	if err != nil {
		return
	}
	_ = maybe.WriteFile(path, text, 0o600)
}

// remembered fills a bare call with the flags of the last session, if any.
func (c *listenCommand) remembered(p *program) {
	text, err := os.ReadFile(filepath.Join(xdg.StateHome, lastFile))
	if err != nil {
		return
	}
	last := bareListen()
	if json.Unmarshal(text, &last) != nil || last == bareListen() {
		return
	}
	*c = last
	p.say("as last time: %s", c.summary())
}

// summary prints the flags that differ from a bare call, as they are typed.
func (c *listenCommand) summary() string {
	words := []string{"shedlight listen"}
	add := func(flag, value string) {
		if value != "" {
			words = append(words, "--"+flag+" "+strconv.Quote(value))
		}
	}
	add("in", c.In)
	add("chart", c.Chart)
	add("key", c.Key)
	add("centre", c.Centre)
	add("view", c.View)
	add("bars", c.Bars)
	if c.Tempo != 0 {
		add("tempo", strconv.FormatFloat(c.Tempo, 'g', -1, 64))
	}
	return strings.Join(words, " ")
}
