// Package reviews is what becomes of a take when it is over: its report, what is kept
// beside it, and how it stands against the takes before it.
package reviews

import (
	"fmt"
	"iter"
	"slices"

	"shedlight/analyse"
	"shedlight/cmd/shedlight/internal/settings"
	"shedlight/cmd/shedlight/internal/tunes"
	"shedlight/display"
	"shedlight/listen/take"
)

// Report is the review of one file: the review object of the contract without its
// two long lists, which are made while they are told: see Findings and Phrases.
type Report struct {
	File string `json:"file"`
	Outcome
	Damage []Damage `json:"damage"`

	Look settings.Look `json:"-"` // with what the take says filled in
	Own  bool          `json:"-"` // one of our takes, under its own settings
	Any  bool          `json:"-"` // a file that is no take of ours
	Said []string      `json:"-"` // how its changes were read

	id    string                     // of the tune: see tunes.Tune.ID
	slips iter.Seq[*analyse.Finding] // those that were meant among them
	meant []analyse.Finding          // these

	take    *take.Take
	setup   analyse.Setup
	unsplit bool   // see display.Outcome
	goal    string // the same
}

// Damage is a place where the file could not be read as it should.
type Damage struct {
	Offset int64  `json:"offset"`
	Text   string `json:"text"`
}

// Judge judges what a file holds from its first event to its last. lean says that
// its slips are not kept in memory: where they are looked at, the take is judged
// again.
func Judge(file string, t *take.Take, over *tunes.Tune, lean bool) (*Report, error) {
	r := &Report{File: file, id: over.ID(), unsplit: over.Unsplit(), goal: over.Goal(), Said: over.Remarks}
	r.With = over.With
	return r, r.judge(t, over, lean)
}

// Recall takes what is kept beside the take into account, holds one of our own
// takes, or a file that is none, against those before it, and keeps what came of it. That nothing can be
// kept is a failure only where something was to be marked; else what stands in
// the way is said.
func (r *Report) Recall(m Marks, say func(format string, args ...any)) error {
	kept, err := readNotes(r.File)
	if err == nil && kept != nil && kept.Tune != r.id && r.Any && len(kept.Meant) == 0 {
		kept = nil // nobody marked anything, and a chart is easily mistaken
	}
	if err == nil && kept != nil && kept.Tune != r.id {
		kept, err = nil, fmt.Errorf("%s: holds for another chart or view", notesPath(r.File))
		if !m.Any() {
			r.conclude(r.setup.Timeline, nil)
			return nil
		}
	}
	if err != nil {
		if m.Any() {
			return err
		}
		say("shedlight: %v: nothing is remembered", err)
		r.conclude(r.setup.Timeline, nil)
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
	compared := (r.Own || r.Any) && r.id != "" && r.Notes >= leastNotes
	var before []notes
	if compared {
		before = takesBefore(r.File, r.id)
	}
	r.conclude(r.setup.Timeline, before)
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
	r.conclude(r.setup.Timeline, nil)
}

// judge runs the events of a take through the analyser for what it came to.
func (r *Report) judge(t *take.Take, over *tunes.Tune, lean bool) error {
	over.Hear(t.Events, t.Quantum)
	r.take, r.setup, r.Damage = t, over.Setup, []Damage{}
	var slips []*analyse.Finding
	told := func(*analyse.Analyser, []analyse.Finding) bool { return true }
	if !lean {
		told = toldSlips(func(f *analyse.Finding) bool {
			slips = append(slips, f)
			return true
		})
	}
	a, err := r.play(r.setup, told)
	if err != nil {
		return err
	}
	r.Summary = a.Summary()
	if r.slips = r.remembered(slices.Values(slips)); lean {
		r.slips = r.remembered(r.slipsAgain)
	}
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
	shown := display.Review{File: r.File, Outcome: *r.Outcome.Shown()}
	for _, d := range r.Damage {
		shown.Damage = append(shown.Damage, display.Damage{Offset: d.Offset, Text: d.Text})
	}
	names := slipNames{}
	shown.SlipNames, shown.Unsplit = names, r.unsplit
	shown.Goal, shown.Kept = r.goal, true
	for f := range r.slips {
		if !slices.Contains(r.MeantNotes, f.N) {
			names.add(f.ChordRow(), f.Name)
			shown.Slips = append(shown.Slips, display.Slip{Bar: f.Spot().Bar, Place: notePlace(f), Name: f.Name})
		}
	}
	return shown
}
