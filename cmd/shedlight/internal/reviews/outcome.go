package reviews

import (
	"shedlight/analyse"
	"shedlight/analyse/advise"
	"shedlight/analyse/changes"
	"shedlight/cmd/shedlight/internal/tunes"
	"shedlight/display"
)

// Outcome is what a session came to, held against those before it. It is the
// review object of the contract without file, damage and findings.
type Outcome struct {
	analyse.Summary
	Earlier     Earlier             `json:"earlier"`
	Met         []advise.Met        `json:"met"` // suggestions of the takes before
	Suggestions []advise.Suggestion `json:"suggestions"`
	MeantNotes  []int64             `json:"meant_notes"` // the unresolved notes that were meant, by number
	With        []string            `json:"with"`        // who played along: see tunes.Tune
}

// conclude holds a session over a tune, which may be nil, against the takes before it,
// oldest first.
func (o *Outcome) conclude(line *changes.Timeline, before []notes) {
	o.MeantNotes, o.With = append([]int64{}, o.MeantNotes...), append([]string{}, o.With...)
	var past []advise.Shown
	o.Earlier = against(o.Alike(), before)
	for i := range before {
		past = append(past, advise.Shown{Suggested: before[i].Suggested, Noticed: before[i].Noticed, Met: before[i].Met, Played: before[i].Played})
	}
	o.Met = advise.WereMet(past, &o.Summary)
	o.Suggestions = advise.Choose(advise.Candidates(&o.Summary), o.Alike(), past)
	advise.Place(o.Suggestions, &o.Summary, line)
}

// Shown is the outcome as a page shows it.
func (o *Outcome) Shown() *display.Outcome {
	return &display.Outcome{
		Summary: o.Summary, Met: o.Met, Suggestions: o.Suggestions,
		Earlier: o.Earlier.shown(o.Alike()), With: o.With,
	}
}

// keep writes what later takes are held against.
func (n *notes) keep(takePath string, o *Outcome) error {
	n.Notes, n.Unresolved, n.Suggested, n.Met = o.Notes, o.Slips(), o.Suggestions, o.Met
	n.Played = o.Alike()
	n.Noticed = advise.Noticed(advise.Candidates(&o.Summary))
	return n.write(takePath)
}

// Conclude returns the outcome of a session that is over. Its take, where there is
// one, gets its notes.
func Conclude(s analyse.Summary, t *tunes.Tune, takePath string) *Outcome {
	o := &Outcome{Summary: s, With: t.With}
	id := t.ID()
	if takePath == "" || id == "" || s.Notes < leastNotes {
		o.conclude(t.Setup.Timeline, nil)
		return o
	}
	o.conclude(t.Setup.Timeline, takesBefore(takePath, id))
	kept := &notes{Tune: id}
	_ = kept.keep(takePath, o) // without them the take is judged again where they are needed
	return o
}
