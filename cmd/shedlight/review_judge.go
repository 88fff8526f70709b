package main

import (
	"errors"
	"fmt"
	"io"
	"slices"

	"shedlight/analyse"
	"shedlight/display"
	"shedlight/listen/smf"
	"shedlight/listen/take"
)

// report is the review of one file.
type report struct {
	File string `json:"file"`
	outcome
	Damage   []damage          `json:"damage"`
	Findings []analyse.Finding `json:"-"` // see writeJSON
	Phrases  []analyse.Phrase  `json:"-"`

	look  lookFlags         // with what the take says filled in
	own   bool              // one of our takes, under its own settings
	tune  string            // see tune.id
	slips []analyse.Finding // the unresolved notes, those that were meant among them

	unsplit bool     // see display.Outcome
	said    []string // how the changes were read
}

type damage struct {
	Offset int64  `json:"offset"`
	Text   string `json:"text"`
}

// review judges one file from its first event to its last. all says that every
// note is to be kept, and not the unresolved ones alone.
func (c *reviewCommand) review(file string, sel smf.Selection, all bool) (*report, error) {
	t, err := take.Load(file, sel)
	if err != nil {
		return nil, usageChoice(err)
	}
	tune, err := c.tuneOf(t)
	if err != nil {
		return nil, err
	}
	t.Events = tune.placed(t.Events, c.Start)
	r := &report{File: file, tune: tune.id(), look: c.lookFlags.merged(t.Settings), own: t.Settings != nil && c.asTaken(), unsplit: tune.unsplit()}
	if r.said = tune.remarks(); t.Chart != nil && c.Chart == "" {
		r.said = markedChart(file, t)
	}
	return r, r.judge(t, tune, all)
}

// asTaken reports whether a take is looked at as it was played: nothing on the
// command line wins over what it says.
func (c *reviewCommand) asTaken() bool {
	return c.tuneFlags == tuneFlags{} && c.handFlags == handFlags{} && c.Start <= 1 && len(c.Track)+len(c.Channel) == 0
}

// tuneOf is what a file was played over.
func (c *reviewCommand) tuneOf(t *take.Take) (*tune, error) {
	said, err := c.hand()
	if err != nil {
		return nil, err
	}
	chart := ""
	switch {
	case t.Settings != nil:
		chart = t.Settings.Chart
	case t.Chart != nil:
		chart = t.Chart.String()
	}
	return c.tuneFlags.merged(t.Settings).tune(chart, said.merged(handOf(t.Settings)))
}

// judge runs the events of a take through the analyser and gathers what became
// of each note.
func (r *report) judge(t *take.Take, tune *tune, all bool) error {
	tune.hear(t.Events, t.Quantum)
	analyser, err := analyse.New(tune.setup)
	if err != nil {
		return err
	}
	r.Damage, r.Findings, r.Phrases = []damage{}, []analyse.Finding{}, []analyse.Phrase{}
	open := map[int64]analyse.Finding{}
	gather := func(news []analyse.Finding) {
		for _, f := range news {
			switch f.Stage {
			case analyse.Heard:
				if all {
					r.Findings = append(r.Findings, f)
				}
				if f.Fate == analyse.Pending {
					open[f.N] = f
				}
			case analyse.Sorted:
				if all {
					r.Findings[f.N].Role = f.Role
				}
				if slip, ok := open[f.N]; ok {
					slip.Role = f.Role
					open[f.N] = slip
				}
			case analyse.Settled:
				if all {
					r.Findings[f.N].Fate = f.Fate
				}
				if f.Fate == analyse.Unresolved {
					r.slips = append(r.slips, open[f.N])
				}
				delete(open, f.N)
			}
		}
	}
	// A phrase is taken as late as it can be, so that its fates are settled.
	phrases := func(until int64) {
		for all && int64(len(r.Phrases)) < until {
			phrase, _ := analyser.Phrase(int64(len(r.Phrases)) + 1)
			r.Phrases = append(r.Phrases, phrase)
		}
	}
	for _, e := range t.Events {
		gather(analyser.Add(e))
		phrases(analyser.PhrasesOver() - analyse.PhrasesKept + 1)
	}
	gather(analyser.Finish(t.End))
	phrases(analyser.PhrasesOver())
	r.Summary = analyser.Summary()
	if r.Title == "" {
		r.Title = t.Title
	}
	for _, d := range t.Damage {
		r.Damage = append(r.Damage, damage{Offset: d.Offset, Text: d.Text})
	}
	return nil
}

// writeJSON writes the review object of the contract as one line.
func (r *report) writeJSON(w io.Writer) error {
	return writeLong(w, r, listOf("findings", r.Findings), listOf("phrases_detail", r.Phrases))
}

// shown is the report as a page or a table shows it.
func (r *report) shown() display.Review {
	shown := display.Review{File: r.File, Outcome: *r.outcome.shown(), Phrases: r.Phrases}
	for _, d := range r.Damage {
		shown.Damage = append(shown.Damage, display.Damage{Offset: d.Offset, Text: d.Text})
	}
	names := slipNames{}
	shown.SlipNames, shown.Unsplit = names, r.unsplit
	for i := range r.slips {
		if f := &r.slips[i]; !slices.Contains(r.MeantNotes, f.N) {
			names.add(f)
			shown.Slips = append(shown.Slips, display.Slip{Bar: f.HeardIn().Bar, Place: notePlace(f), Name: f.Name})
		}
	}
	return shown
}

// usageChoice makes a file whose track must be chosen a mistake of the call.
func usageChoice(err error) error {
	var choice *take.ChoiceError
	if errors.As(err, &choice) {
		return usageError{fmt.Errorf("%w\nsay --track N", choice)}
	}
	var track *take.TrackError
	if errors.As(err, &track) {
		return usageError{err}
	}
	return err
}
