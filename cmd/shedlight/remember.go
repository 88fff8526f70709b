package main

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"github.com/adrg/xdg"
	"github.com/google/renameio/v2/maybe"

	"shedlight/cmd/shedlight/internal/library"
)

// lastFile is where the flags of the last session are kept, under the user's
// state folder.
const lastFile = "shedlight/last.json"

// bareListen is the command without any flag.
func bareListen() listenCommand {
	return listenCommand{CountIn: 1}
}

// remember keeps the flags for the next bare call, but for those that say where
// this one's output went and that nothing was to be kept. Files are kept by
// their whole path. It is a convenience: where they cannot be kept nothing is
// said.
func (c *listenCommand) remember() {
	path, err := xdg.StateFile(lastFile)
	if err != nil {
		return
	}
	kept := *c
	kept.NoTake, kept.JSON, kept.Plain = false, false, false
	if kept.Takes != "" { // it may not be there yet
		if whole, err := filepath.Abs(kept.Takes); err == nil {
			kept.Takes = whole
		}
	}
	if path := library.Path(kept.Chart); path != "" {
		kept.Chart = path
	}
	if _, err := os.Stat(kept.In); err == nil { // else a port, or nothing
		if whole, err := filepath.Abs(kept.In); err == nil {
			kept.In = whole
		}
	}
	text, err := json.Marshal(kept)
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
	say := func(flag, value, bare string) {
		if value != bare {
			words = append(words, "--"+flag+" "+strconv.Quote(value))
		}
	}
	number := func(flag string, value, bare int) { say(flag, strconv.Itoa(value), strconv.Itoa(bare)) }
	toggle := func(flag string, on bool) {
		if on {
			words = append(words, "--"+flag)
		}
	}
	bare := bareListen()
	say("in", c.In, "")
	say("api", c.API, "")
	say("chart", c.Chart, "")
	say("key", c.Key, "")
	say("centre", c.Centre, "")
	say("view", c.View, "")
	say("bars", c.Bars, "")
	say("voicing", c.Voicing, "")
	say("tempo", strconv.FormatFloat(c.Tempo, 'g', -1, 64), "0")
	number("count-in", c.CountIn, bare.CountIn)
	number("choruses", c.Choruses, 0)
	say("split", c.Split, "")
	toggle("top", c.Top)
	toggle("legato", c.Legato)
	number("gate", int(c.Gate), 0)
	number("lag", c.Lag, 0)
	say("written", c.Written, "")
	toggle("ascii", c.ASCII)
	toggle("quiet", c.Quiet)
	say("takes", c.Takes, "")
	return strings.Join(words, " ")
}
