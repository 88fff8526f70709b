package main

import (
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"

	"shedlight/analyse/material"
	"shedlight/analyse/phrase"
	"shedlight/cmd/shedlight/internal/reviews"
	"shedlight/cmd/shedlight/internal/settings"
	"shedlight/cmd/shedlight/internal/tunes"
	"shedlight/cmd/shedlight/internal/usage"
	"shedlight/display"
	"shedlight/listen/smf"
	"shedlight/listen/take"
)

type reviewCommand struct {
	Files         []string `arg:"" name:"file" help:"Takes, any MIDI files, or folders of them; - for standard input."`
	settings.Tune `group:"What was played over:"`
	settings.Hand `group:"What it was played on:"`
	Start         int      `settings:"-" placeholder:"BAR" default:"1" from:"1" help:"The bar of the file at which the chart starts."`
	Track         []int    `settings:"-" placeholder:"N" from:"0" help:"Only these tracks of a file that is no take of ours, counted from 0."`
	By            string   `settings:"-" enum:"chord,centre,chorus,bar,phrase,habit,mark," default:"" placeholder:"chord|centre|chorus|bar|phrase|habit|mark" help:"A table in place of the page."`
	Meant         []string `settings:"-" placeholder:"BAR[:BEAT]" help:"The slips there were meant and count no more; CHORUS/BAR[:BEAT] for one chorus."`
	NotMeant      []string `settings:"-" placeholder:"BAR[:BEAT]" help:"Take such a mark back."`
	Exercise      int      `settings:"-" placeholder:"N" from:"1" help:"In place of the page, write what suggestion N of it gives to play."`
	settings.Look `group:"How it looks:"`
	JSON          bool `name:"json" settings:"-" help:"One JSON object for each file."`
}

func (c *reviewCommand) Help() string {
	return `A take knows its chart, its centre, its view and the written pitch it was played
at; what is given here wins over it.
Several files, or a folder with all its .mid and .midi files by name, give a line
each and how the slips went from take to take.
A damaged file is read as far as it goes, its damage is listed, and the exit code is 1.

What was suggested and what was marked as meant is kept beside a file, in
NAME.notes.json. A suggestion that was met, or shown with two takes in a row,
gives way to another.

What a suggestion gives to play is written as lines are, see shedlight help lines,
and read by the same:
  shedlight review take.mid --exercise 1 | shedlight lines - --play

Examples:
  shedlight review take.mid --by bar
  shedlight review take.mid --meant 13:2.5
  shedlight review ~/.local/share/shedlight/takes`
}

// Run reviews one file on a page, or several with a line each.
func (c *reviewCommand) Run(p *program) error {
	p.said.OverFile(c, false)
	sel := c.selection()
	p.recoverBefore(c.Files)
	files, several, err := midiFiles(c.Files)
	if err != nil {
		return err
	}
	switch marking := len(c.Meant)+len(c.NotMeant) > 0; {
	case c.JSON && c.By != "":
		return usage.Errorf("--json and --by: choose one; the object holds every table")
	case c.Exercise != 0 && c.By != "":
		return usage.Errorf("--exercise and --by: choose one")
	case c.Exercise != 0 && (several || marking):
		return usage.Errorf("--exercise needs one file, and no --meant or --not-meant")
	case several && c.By != "":
		return usage.Errorf("--by needs one file: name one take, or leave --by out for a line each")
	case several && marking:
		return usage.Errorf("--meant and --not-meant need one file")
	case several:
		return c.several(p, files, sel)
	}
	return c.one(p, files[0], sel)
}

// recoverBefore makes takes of what sessions that were cut off have left in the usual
// folder and in those that are named, so that a review has them.
func (p *program) recoverBefore(names []string) {
	folders := []string{settings.TakesFolder()}
	for _, name := range names {
		if info, err := os.Stat(name); err == nil && info.IsDir() && !slices.Contains(folders, filepath.Clean(name)) {
			folders = append(folders, filepath.Clean(name))
		}
	}
	for i, folder := range folders {
		p.recoverTakes(folder)
		if i == 0 && !slices.ContainsFunc(names, func(name string) bool { return filepath.Clean(name) == folder }) {
			continue // nobody asked what is in it
		}
		open, err := take.Open(folder)
		if err != nil {
			continue // it is said when the folder is its turn
		}
		for _, journal := range open {
			p.say("%s: not a take yet, a session is writing it", journal)
		}
	}
}

func (c *reviewCommand) selection() smf.Selection {
	return smf.Selection{Tracks: c.Track, Channels: smf.Channels(c.Played())}
}

// midiFiles puts the MIDI files of a folder in its place. several says that
// they are to be listed.
func midiFiles(names []string) (files []string, several bool, err error) {
	several = len(names) > 1
	for _, name := range names {
		info, err := os.Stat(name)
		if err != nil || !info.IsDir() {
			files = append(files, name) // what cannot be read is said when it is its turn
			continue
		}
		several = true
		entries, err := os.ReadDir(name) // sorted by name
		if err != nil {
			return nil, false, err
		}
		found := len(files)
		for _, e := range entries {
			path := filepath.Join(name, e.Name())
			switch strings.ToLower(filepath.Ext(path)) {
			case ".mid", ".midi":
				if info, err := os.Stat(path); err == nil && !info.Mode().IsRegular() {
					continue // a folder or a pipe of that name is no take
				}
				files = append(files, path)
			}
		}
		if len(files) == found {
			return nil, false, fmt.Errorf("%s: no .mid or .midi file in this folder", name)
		}
	}
	return files, several, nil
}

// one reviews a single file.
func (c *reviewCommand) one(p *program, file string, sel smf.Selection) error {
	marks, err := c.marks()
	if err != nil {
		return err
	}
	r, err := c.review(p.said, file, sel)
	if err != nil {
		return err
	}
	for _, line := range r.Said {
		p.say("shedlight: %s", line)
	}
	if err := r.Recall(marks, p.say); err != nil {
		return err
	}
	switch {
	case c.Exercise != 0:
		err = c.exercise(p, r)
	case c.JSON:
		err = writeReport(p.out, r)
	case c.By != "":
		for _, d := range r.Damage {
			p.say("%s: damaged at byte %d: %s", file, d.Offset, d.Text)
		}
		shown := r.Shown()
		if by := display.By(c.By); by == display.ByPhrase || by == display.ByHabit {
			for p := range r.Phrases() {
				shown.Phrases = append(shown.Phrases, *p)
			}
		}
		err = display.WriteTable(p.out, display.By(c.By), shown, p.pageOptions(r.Look))
	default:
		err = display.WriteReview(p.out, r.Shown(), p.pageOptions(r.Look))
	}
	if err == nil && len(r.Damage) > 0 {
		err = &failedQuietly{}
	}
	return err
}

// exercise writes what a suggestion gives to play, as lines are written.
func (c *reviewCommand) exercise(p *program, r *reviews.Report) error {
	suggested, e, err := r.Exercise(c.Exercise)
	if err != nil {
		return err
	}
	if c.JSON {
		e.Idea = display.Suggestion(suggested, display.Options{}) // concert pitch, as all JSON
	}
	out := made{Written: r.Look.Written, JSON: c.JSON}
	remark := fmt.Sprintf("%d. %s", c.Exercise, display.Suggestion(suggested, p.pageOptions(r.Look)))
	const sign = "# "
	heading := ""
	for row := range strings.Lines(display.Fold(remark, p.width()-len(sign))) { // a reader passes each over
		heading += sign + strings.TrimSpace(row) + "\n"
	}
	return out.write(p, []*material.Exercise{e}, heading)
}

func (c *reviewCommand) marks() (m reviews.Marks, err error) {
	if m.Meant, err = reviews.ParsePlaces(c.Meant); err != nil {
		return m, usage.Errorf("--meant %w", err)
	}
	if m.Not, err = reviews.ParsePlaces(c.NotMeant); err != nil {
		return m, usage.Errorf("--not-meant %w", err)
	}
	return m, nil
}

// review judges one file under what the flags, the take and the file of settings say.
func (c reviewCommand) review(said *settings.Call, file string, sel smf.Selection) (*reviews.Report, error) {
	t, err := load(file, sel)
	if err != nil {
		return nil, usageChoice(err)
	}
	plain := t.Settings == nil && file != stdinName
	said.OverFile(&c, t.Settings != nil)
	under := said.Silence(&c, t.Settings)
	own := under != nil && under == t.Settings && file != stdinName && c.asTaken()
	t.Settings = under
	over, err := tunes.OfTake(c.Tune, c.Hand, file, t)
	if err != nil {
		return nil, err
	}
	t.Events = over.Placed(t.Events, c.Start)
	r, err := reviews.Judge(file, t, over, c.JSON)
	if err != nil {
		return nil, err
	}
	r.Own, r.Any, r.Look = own, plain, c.Look
	settings.Fill(&r.Look, t.Settings)
	return r, nil
}

// stdinName stands for standard input in place of a file.
const stdinName = "-"

// load reads a file, or standard input.
func load(file string, sel smf.Selection) (*take.Take, error) {
	if file != stdinName {
		return take.Load(file, sel)
	}
	data, err := io.ReadAll(io.LimitReader(os.Stdin, smf.MaxSize+1))
	if err != nil {
		return nil, err
	}
	return take.Read(data, "standard input", sel)
}

// asTaken reports whether a take is looked at as it was played: nothing on the
// command line wins over what it says.
func (c *reviewCommand) asTaken() bool {
	return c.Tune == settings.Tune{} && reflect.ValueOf(c.Hand).IsZero() && c.Start <= 1 && len(c.Track) == 0
}

// writeReport writes the review object of the contract as one line. What can go
// wrong with the take has gone wrong before: it was judged once.
func writeReport(w io.Writer, r *reviews.Report) error {
	head := struct {
		*reviews.Report
		Fit      *struct{} `json:"fit,omitempty"` // they stand behind the others, as lists that may be long
		Choruses *struct{} `json:"choruses_detail,omitempty"`
	}{Report: r}
	var phrases aside[phrase.Phrase]
	return writeLong(w, head, listOf("fit", each(r.Fit)), listOf("choruses_detail", each(r.ChorusesDetail)),
		listOf("findings", r.FindingsBeside(phrases.add)), phrases.list("phrases_detail", r.Phrases()))
}

// usageChoice makes a file whose track must be chosen a mistake of the call.
func usageChoice(err error) error {
	var choice *take.ChoiceError
	if errors.As(err, &choice) {
		between := "\n"
		if !strings.Contains(choice.Error(), between) { // too many to list
			between = ": "
		}
		return usage.Errorf("%w%ssay --track N", choice, between)
	}
	var track *take.TrackError
	if errors.As(err, &track) {
		return usage.Error{Err: err}
	}
	return err
}
