package main

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"shedlight/analyse"
	"shedlight/analyse/advise"
	"shedlight/analyse/fate"
	"shedlight/display"
	"shedlight/listen/smf"
	"shedlight/listen/take"
)

const (
	// mostEarlier is how many takes back, by name, a take is held against.
	mostEarlier = 20
	// leastNotes is how many notes a take needs to be held against others, two
	// phrases or so: with fewer, a single note moves its share by over 3 %.
	leastNotes = 32
)

// outcome is what a session came to, held against those before it. It is the
// review object of the contract without file, damage and findings.
type outcome struct {
	analyse.Summary
	Earlier     earlier             `json:"earlier"`
	Met         []advise.Met        `json:"met"` // suggestions of the takes before
	Suggestions []advise.Suggestion `json:"suggestions"`
	MeantNotes  []int64             `json:"meant_notes"` // the unresolved notes that were meant, by number
}

// earlier sums up the takes of the same tune before this one.
type earlier struct {
	Takes      int   `json:"takes"`
	Notes      int64 `json:"notes"`
	Unresolved int64 `json:"unresolved"`
}

// conclude holds a session against the takes before it, oldest first.
func (o *outcome) conclude(before []notes) {
	o.MeantNotes = append([]int64{}, o.MeantNotes...)
	var past []advise.Shown
	for i := range before {
		o.Earlier.Takes++
		o.Earlier.Notes += before[i].Notes
		o.Earlier.Unresolved += before[i].Unresolved
		past = append(past, advise.Shown{Suggested: before[i].Suggested, Met: before[i].Met})
	}
	o.Met = advise.WereMet(past, &o.Summary)
	o.Suggestions = advise.Choose(advise.Candidates(&o.Summary), past)
}

func (o *outcome) unresolved() int64 { return o.Fate[fate.Unresolved.String()] }

func (o *outcome) shown() *display.Outcome {
	return &display.Outcome{
		Summary: o.Summary, Met: o.Met, Suggestions: o.Suggestions,
		EarlierTakes: o.Earlier.Takes, EarlierNotes: o.Earlier.Notes, EarlierUnresolved: o.Earlier.Unresolved,
	}
}

// keep writes what later takes are held against.
func (n *notes) keep(takePath string, o *outcome) error {
	n.Notes, n.Unresolved, n.Suggested, n.Met = o.Notes, o.unresolved(), o.Suggestions, o.Met
	return n.write(takePath)
}

// concluded is the outcome of a session that is over. Its take, where there is
// one, gets its notes.
func concluded(s analyse.Summary, t *tune, takePath string) *outcome {
	o := &outcome{Summary: s}
	id := t.id()
	if takePath == "" || id == "" || s.Notes < leastNotes {
		o.conclude(nil)
		return o
	}
	o.conclude(takesBefore(takePath, id))
	kept := &notes{Tune: id}
	_ = kept.keep(takePath, o) // without them the take is judged again where they are needed
	return o
}

// recall takes what is kept beside the take into account, holds one of our own
// takes against those before it, and keeps what came of it. That nothing can be
// kept is a failure only where something was to be marked.
func (c *reviewCommand) recall(p *program, r *report, m marks) error {
	kept, err := readNotes(r.File)
	if err == nil && kept != nil && kept.Tune != r.tune {
		kept, err = nil, fmt.Errorf("%s: holds for another chart or view", notesPath(r.File))
		if !m.any() {
			r.conclude(nil)
			return nil
		}
	}
	if err != nil {
		if m.any() {
			return err
		}
		p.say("shedlight: %v: nothing is remembered", err)
		r.conclude(nil)
		return nil
	}
	if kept == nil {
		kept = &notes{Tune: r.tune}
	}
	if err := r.newMarks(m.meant, r.look.options()); err != nil {
		return err
	}
	if err := kept.mark(m.meant, m.not); err != nil {
		return err
	}
	r.markMeant(kept.places)
	compared := r.own && r.tune != "" && r.Notes >= leastNotes
	var before []notes
	if compared {
		before = takesBefore(r.File, r.tune)
	}
	r.conclude(before)
	if compared || m.any() {
		err = kept.keep(r.File, &r.outcome)
	}
	if m.any() {
		return err
	}
	return nil
}

// takesBefore returns the notes on the takes of a tune among the last ones, by
// name, before a take in its folder, oldest first. One that has none yet is
// judged, and its notes are kept where that can be done. What cannot be read is
// passed over.
func takesBefore(takePath, tuneID string) []notes {
	dir := filepath.Dir(takePath)
	entries, err := os.ReadDir(dir)
	if err != nil {
		return nil
	}
	var names []string
	for _, e := range entries {
		if name := e.Name(); strings.EqualFold(filepath.Ext(name), ".mid") && base(name) < base(filepath.Base(takePath)) {
			names = append(names, name)
		}
	}
	slices.SortFunc(names, func(a, b string) int { return strings.Compare(base(a), base(b)) })
	var out []notes
	for _, name := range names[max(0, len(names)-mostEarlier):] {
		path := filepath.Join(dir, name)
		kept, err := readNotes(path)
		if err != nil {
			continue
		}
		if kept == nil {
			kept = judgedBefore(path, tuneID)
		}
		if kept != nil && kept.Tune == tuneID && kept.Notes >= leastNotes {
			out = append(out, *kept)
		}
	}
	return out
}

// base is the name of a take without its ending, so that the second take of a
// second comes behind the first.
func base(name string) string { return strings.TrimSuffix(name, filepath.Ext(name)) }

// judgedBefore judges a take of a tune that has no notes yet; nil for another
// tune, and for what is no whole take of ours.
func judgedBefore(path, tuneID string) *notes {
	c := reviewCommand{}
	settings, err := take.SettingsOf(path)
	if err != nil || settings == nil {
		return nil
	}
	tune, err := c.tuneOf(&take.Take{Settings: settings})
	if err != nil || tune.id() != tuneID {
		return nil
	}
	t, err := take.Load(path, smf.Selection{})
	if err != nil || len(t.Damage) > 0 {
		return nil
	}
	r := &report{}
	if r.judge(t, tune, false) != nil {
		return nil
	}
	kept := &notes{Tune: tuneID}
	_ = kept.keep(path, &r.outcome) // a folder that takes nothing is no failure: it is judged again
	return kept
}
