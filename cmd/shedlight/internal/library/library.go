// Package library finds charts by name: in the present folder, among the player's
// own in a folder of theirs, and among those that come with the program.
package library

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"github.com/adrg/xdg"

	"shedlight/analyse/changes"
	"shedlight/listen/disk"
)

// endings are the file names that a chart's name stands for, in this order.
var endings = [...]string{".chart", ".musicxml", ".mxl", ".xml", ".txt"}

// Folder is where a player's own charts are kept.
func Folder() string { return filepath.Join(xdg.DataHome, "shedlight", "charts") }

// Home returns a path with ~ at its front replaced by the player's home, where the
// shell has left it: --chart=~/garden.chart.
func Home(path string) string {
	if path == "~" || strings.HasPrefix(path, "~/") {
		return filepath.Join(xdg.Home, path[1:])
	}
	return path
}

// Source is a chart and what it was read from.
type Source struct {
	Chart *changes.Chart
	Name  string // without folder and ending
	Path  string // empty for a chart that comes with the program
	text  []byte
}

// NotFound says that nothing has a name. Its text lists what there is.
type NotFound struct{ Name string }

func (e *NotFound) Error() string {
	text := "no chart file " + e.Name + ", and no built-in chart of that name: there are " + strings.Join(changes.GenericNames(), ", ")
	if own := names(); len(own) > 0 {
		text += "; of your own " + strings.Join(own, ", ")
	}
	return text
}

// Open reads a chart by its path or its name: a file as it is named, in the
// present folder with one of the endings, in Folder, and at last one that comes
// with the program. The error is a *NotFound where there is none, else says the
// path and what is wrong.
func Open(name string) (*Source, error) {
	if name == "-" {
		return fromInput(os.Stdin)
	}
	path, info := find(Home(name))
	if path == "" || info.IsDir() {
		if c, ok := changes.Generic(name); ok {
			return &Source{Chart: c, Name: name}, nil
		}
	}
	if path == "" {
		return nil, &NotFound{Name: name}
	}
	text, err := read(path)
	if err != nil {
		return nil, err
	}
	chart, err := changes.Read(bytes.NewReader(text))
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	plain, _ := plainName(filepath.Base(path))
	return &Source{Chart: chart, Name: plain, Path: path, text: text}, nil
}

// fromInput reads a chart from standard input.
func fromInput(in io.Reader) (*Source, error) {
	text, err := io.ReadAll(io.LimitReader(in, changes.MaxSheetBytes+1))
	if err != nil {
		return nil, err
	}
	chart, err := changes.Read(bytes.NewReader(text))
	if err != nil {
		return nil, fmt.Errorf("standard input: %w", err)
	}
	return &Source{Chart: chart, Name: "standard input", text: text}, nil
}

// Path returns the whole path of the file that Open would read, empty where there
// is none.
func Path(name string) string {
	path, info := find(Home(name))
	if path == "" || info.IsDir() {
		return ""
	}
	whole, err := filepath.Abs(path)
	if err != nil {
		return ""
	}
	return whole
}

// find returns the file that a name stands for, empty where there is none.
func find(name string) (path string, info fs.FileInfo) {
	choices := []string{name}
	for _, ending := range endings {
		choices = append(choices, name+ending)
	}
	if filepath.Base(name) == name && name != "." && name != ".." {
		for _, choice := range slices.Clone(choices) {
			choices = append(choices, filepath.Join(Folder(), choice))
		}
	}
	for _, choice := range choices {
		there, err := os.Stat(choice)
		switch {
		case err != nil && errors.Is(err, fs.ErrNotExist):
		case err == nil && there.IsDir() && path == "":
			path, info = choice, there // a folder of that name, if nothing else has it
		case err == nil && !there.IsDir():
			return choice, there
		}
	}
	return path, info
}

// read reads a file, at most a little more than a chart may have.
func read(path string) ([]byte, error) {
	return disk.Read(path, changes.MaxSheetBytes)
}

// Entry is a chart in the list of all.
type Entry struct {
	Name  string `json:"name"`
	Title string `json:"title"` // empty for none, and for one that cannot be read
	Own   bool   `json:"own"`
}

// List returns all charts that have a name, the player's own first.
func List() []Entry {
	var out []Entry
	for _, name := range names() {
		e := Entry{Name: name, Own: true}
		if path, _ := find(filepath.Join(Folder(), name)); path != "" {
			if s, err := Open(path); err == nil {
				e.Title = s.Chart.Title
			}
		}
		out = append(out, e)
	}
	for _, name := range changes.GenericNames() {
		e := Entry{Name: name}
		if c, ok := changes.Generic(name); ok {
			e.Title = c.Title
		}
		out = append(out, e)
	}
	return out
}

// Here returns the chart files of the present folder, by their names without the
// ending that a chart of ours has; what else could be one is named by hand.
func Here() []Entry {
	files, err := os.ReadDir(".") // sorted by name
	if err != nil {
		return nil
	}
	var out []Entry
	for _, file := range files {
		name, ok := strings.CutSuffix(file.Name(), endings[0])
		if !ok || name == "" || strings.HasPrefix(name, ".") || file.IsDir() {
			continue
		}
		if s, err := Open(file.Name()); err == nil {
			out = append(out, Entry{Name: name, Title: s.Chart.Title, Own: true})
		}
	}
	return out
}

// names returns the names of the player's own charts, in order.
func names() []string {
	entries, err := os.ReadDir(Folder()) // sorted by name
	if err != nil {
		return nil
	}
	var out []string
	for _, e := range entries {
		name, ok := plainName(e.Name())
		if ok && !e.IsDir() && !strings.HasPrefix(name, ".") && !slices.Contains(out, name) {
			out = append(out, name)
		}
	}
	return out
}

// plainName returns a file's name without its ending, if it is one of a chart.
func plainName(file string) (string, bool) {
	for _, ending := range endings {
		if name, ok := strings.CutSuffix(file, ending); ok && name != "" {
			return name, true
		}
	}
	return file, false
}
