package main

import (
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"github.com/alecthomas/kong"

	"shedlight/cmd/shedlight/internal/settings"
	"shedlight/cmd/shedlight/internal/tunes"
	"shedlight/display"
)

type settingsCommand struct {
	JSON bool `name:"json" settings:"-" help:"One JSON object on standard output."`
}

func (c *settingsCommand) Help() string {
	return `Lists every setting with its value and where that is from. The first time it also
writes a file in which every setting has a line with what it is for, all of them still
to be chosen. A file that is there is left alone.
'shedlight help settings' says what wins over what.`
}

// Run lists the settings, and writes the file where there is none.
func (c *settingsCommand) Run(p *program, call *kong.Context) error {
	file, err := settings.Read(call.Model)
	if err != nil {
		return err
	}
	if !file.There {
		if err := writeSettings(file.Path, settings.Commented(call.Model)); err != nil {
			return err
		}
		p.say("written: %s", file.Path)
	}
	all := settings.List(call.Model, file, "listen")
	if c.JSON {
		err = writeJSON(p.out, settingsObject(file, all))
	} else {
		err = p.listSettings(file, all)
	}
	if err != nil {
		return err
	}
	return meaning(file)
}

// writeSettings writes a new file of settings, which the player alone reads.
func writeSettings(path string, text []byte) error {
	const folderPerm, filePerm = 0o700, fs.FileMode(0o600)
	if err := os.MkdirAll(filepath.Dir(path), folderPerm); err != nil {
		return err
	}
	return writeNewAs(path, text, filePerm)
}

// meaning says which setting of what is played over, and on, has a value that means nothing.
func meaning(file *settings.File) error {
	var listen listenCommand
	parser, err := kong.New(&listen, append(settings.Parsing(), kong.NoDefaultHelp())...)
	if err != nil {
		panic(err) // the command line is wrong: no argument can cause it
	}
	parsed, err := parser.Parse(nil)
	if err != nil {
		panic(err)
	}
	call := settings.Called(parsed)
	call.Under(file, listen.check)
	_, err = tunes.Of(listen.Tune, listen.Hand, nil)
	return call.Blame(err)
}

// listSettings writes the settings for people.
func (p *program) listSettings(file *settings.File, all []settings.Setting) error {
	out := &keptError{w: &foldedLines{w: p.out, cells: p.width()}}
	fmt.Fprintf(out, "settings in %s\n\n", display.Harmless(file.Path))
	widest := 0
	for _, one := range all {
		widest = max(widest, len(one.Name))
	}
	for _, one := range all {
		from := "built in"
		if one.From == settings.InFile {
			from = fmt.Sprintf("line %d", one.Line)
		}
		if one.Last != nil {
			from += "; bare listen, as last time: " + words(one.Last)
		}
		fmt.Fprintf(out, "%-*s  %-12s  %s\n", widest, one.Name, words(one.Value), from)
	}
	return out.err
}

// words shows a value.
func words(value []string) string {
	if len(value) == 0 {
		return "-"
	}
	return display.Clean(strings.Join(value, ", "))
}

// settingsJSON is what is in force.
type settingsJSON struct {
	File     string        `json:"file"`
	Settings []settingJSON `json:"settings"`
}

type settingJSON struct {
	Name     string   `json:"name"`
	Value    []string `json:"value"`
	From     string   `json:"from"`
	Line     int      `json:"line"`
	LastTime []string `json:"last_time"`
}

func settingsObject(file *settings.File, all []settings.Setting) settingsJSON {
	out := settingsJSON{File: file.Path}
	for _, one := range all {
		from := "built in"
		if one.From == settings.InFile {
			from = "file"
		}
		out.Settings = append(out.Settings, settingJSON{
			Name: one.Name, Value: listed(one.Value), From: from, Line: one.Line, LastTime: listed(one.Last),
		})
	}
	return out
}

// listed is a list that JSON has as one where it is empty.
func listed(words []string) []string { return append([]string{}, words...) }
