// Package reviews is what becomes of a take when it is over: its report, what is kept
// beside it, and how it stands against the takes before it.
package reviews

import (
	"fmt"
	"slices"

	"shedlight/analyse"
	"shedlight/analyse/phrase"
	"shedlight/cmd/shedlight/internal/settings"
	"shedlight/cmd/shedlight/internal/tunes"
	"shedlight/display"
	"shedlight/listen/take"
)

// Report is the review of one file: the review object of the contract without its
// two long lists.
type Report struct {
	File string `json:"file"`
	Outcome
	Damage   []Damage          `json:"damage"`
	Findings []analyse.Finding `json:"-"` // all notes, where they were asked for
	Phrases  []phrase.Phrase   `json:"-"`

	Look settings.Look `json:"-"` // with what the take says filled in
	Own  bool          `json:"-"` // one of our takes, under its own settings
	Said []string      `json:"-"` // how its changes were read

	id    string            // of the tune: see tunes.Tune.ID
	slips []analyse.Finding // those that were meant among them

	unsplit bool // see display.Outcome
}

// Damage is a place where the file could not be read as it should.
type Damage struct {
	Offset int64  `json:"offset"`
	Text   string `json:"text"`
}

// Judge judges what a file holds from its first event to its last. all says that
// every note is to be kept, and not the slips alone.
func Judge(file string, t *take.Take, over *tunes.Tune, all bool) (*Report, error) {
	r := &Report{File: file, id: over.ID(), unsplit: over.Unsplit(), Said: over.Remarks}
	return r, r.judge(t, over, all)
}

// Recall takes what is kept beside the take into account, holds one of our own
// takes against those before it, and keeps what came of it. That nothing can be
// kept is a failure only where something was to be marked; else what stands in
// the way is said.
func (r *Report) Recall(m Marks, say func(format string, args ...any)) error {
	kept, err := readNotes(r.File)
	if err == nil && kept != nil && kept.Tune != r.id {
		kept, err = nil, fmt.Errorf("%s: holds for another chart or view", notesPath(r.File))
		if !m.Any() {
			r.conclude(nil)
			return nil
		}
	}
	if err != nil {
		if m.Any() {
			return err
		}
		say("shedlight: %v: nothing is remembered", err)
		r.conclude(nil)
		return nil
	}
	if kept == nil {
		kept = &notes{Tune: r.id}
	}
	if err := r.newMarks(m.Meant, r.Look.Options()); err != nil {
		return err
	}
	if err := kept.mark(m.Meant, m.Not); err != nil {
		return err
	}
	r.markMeant(kept.places)
	compared := r.Own && r.id != "" && r.Notes >= leastNotes
	var before []notes
	if compared {
		before = takesBefore(r.File, r.id)
	}
	r.conclude(before)
	if compared || m.Any() {
		err = kept.keep(r.File, &r.Outcome)
	}
	if m.Any() {
		return err
	}
	return nil
}

// Alone takes what was marked beside the take into account, and holds it against no
// other.
func (r *Report) Alone() {
	if kept, err := readNotes(r.File); err == nil && kept != nil && kept.Tune == r.id {
		r.markMeant(kept.places)
	}
	r.conclude(nil)
}

// judge runs the events of a take through the analyser and gathers what became
// of each note.
func (r *Report) judge(t *take.Take, over *tunes.Tune, all bool) error {
	over.Hear(t.Events, t.Quantum)
	analyser, err := analyse.New(over.Setup)
	if err != nil {
		return err
	}
	r.Damage, r.Findings, r.Phrases = []Damage{}, []analyse.Finding{}, []phrase.Phrase{}
	found := NewSlips()
	gather := func(news []analyse.Finding) {
		for i := range news {
			f := &news[i]
			if slip := found.Add(f); slip != nil {
				r.slips = append(r.slips, *slip)
			}
			switch {
			case !all:
			case f.Stage == analyse.Heard:
				r.Findings = append(r.Findings, *f)
			default:
				r.Findings[f.N].Fold(f)
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
		phrases(analyser.PhrasesOver() - phrase.Kept + 1)
	}
	gather(analyser.Finish(t.End))
	phrases(analyser.PhrasesOver())
	r.Summary = analyser.Summary()
	if r.Title == "" {
		r.Title = t.Title
	}
	for _, d := range t.Damage {
		r.Damage = append(r.Damage, Damage{Offset: d.Offset, Text: d.Text})
	}
	return nil
}

// Shown is the report as a page or a table shows it.
func (r *Report) Shown() display.Review {
	shown := display.Review{File: r.File, Outcome: *r.Outcome.Shown(), Phrases: r.Phrases}
	for _, d := range r.Damage {
		shown.Damage = append(shown.Damage, display.Damage{Offset: d.Offset, Text: d.Text})
	}
	names := slipNames{}
	shown.SlipNames, shown.Unsplit = names, r.unsplit
	for i := range r.slips {
		if f := &r.slips[i]; !slices.Contains(r.MeantNotes, f.N) {
			names.add(f)
			shown.Slips = append(shown.Slips, display.Slip{Bar: f.Spot().Bar, Place: notePlace(f), Name: f.Name})
		}
	}
	return shown
}
