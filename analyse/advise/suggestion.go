// Package advise says what to practise next. From the summary of a take, and
// from what was suggested with the takes before it, it makes at most three
// suggestions, each with the numbers and the bars it comes from. It reads no
// file and no clock: the same summaries always give the same suggestions. How
// they are worded is not its concern.
//
// What is worth a suggestion is this project's own rule; no standard gives
// numbers for it. A suggestion needs enough notes behind it that a single slip
// does not make one, and a player whose outside notes resolve gets none about
// them.
package advise

import (
	"cmp"
	"shedlight/analyse/harmony"
	"slices"
)

// Kind is what a suggestion is about.
type Kind string

const (
	// Elsewhere: the line goes better with the changes of another place, over some
	// bars or in the whole take.
	Elsewhere Kind = "elsewhere"
	// Unresolved: slips come over a chord in one place, over a chord wherever it
	// stands, over a kind of chord, or over a centre.
	Unresolved Kind = "unresolved"
	// OnBeat: other tones than the chord's fall on the beat over a kind of chord.
	OnBeat Kind = "on-beat"
	// Untouched: a chord of a family is not played, or little of the family is.
	Untouched Kind = "untouched"
)

// Subject is what a suggestion points at. Two suggestions with the same subject
// are the same suggestion, whatever their numbers.
type Subject struct {
	Kind      Kind          `json:"kind"`
	Bar       int           `json:"bar,omitempty"`        // Unresolved, Elsewhere: the first bar; 0 where it is no one place
	ToBar     int           `json:"to_bar,omitempty"`     // its last
	Chord     string        `json:"chord,omitempty"`      // Unresolved: the symbol; empty over a kind and over a centre
	ChordKind string        `json:"chord_kind,omitempty"` // OnBeat, and Unresolved over a kind
	View      string        `json:"view,omitempty"`       // OnBeat: the view that was scored
	Centre    string        `json:"centre,omitempty"`
	Scale     harmony.Scale `json:"scale,omitzero"`   // Untouched
	Family    string        `json:"family,omitempty"` // Untouched
	Step      int           `json:"step,omitempty"`   // Untouched: which chord of the family, from 1; 0 for all of it
	Name      string        `json:"name,omitempty"`   // Untouched: its name

	Move     float64 `json:"move,omitempty"`      // Elsewhere: by how many bars the line would have to move, negative back
	HalfStep int     `json:"half_step,omitempty"` // Elsewhere: or by how many half steps
}

// Suggestion is a subject with the numbers behind it: Part of Whole speaks for
// practising it. For Elsewhere these are choruses of those played there, for
// Unresolved slips of all notes there, for
// OnBeat scored notes that are no chord tones of all scored; for a chord that is
// Untouched both count the chords of its family that were played, all of them
// others, and for a family as a whole its chords, Part those not played.
type Suggestion struct {
	Subject
	Part     int64 `json:"part"`
	Whole    int64 `json:"whole"`
	Choruses int   `json:"choruses,omitempty"` // how many were played; 0 without a chart
	Bars     []int `json:"bars,omitempty"`     // the bars it comes from, in order, where they are no one stretch

	worth bool  // it is worth a suggestion, by the bounds of its kind
	rows  []int // Unresolved, Elsewhere: the chords of the chart that it lies over
}

// Shown is what the player of a take was told after it.
type Shown struct {
	Suggested []Suggestion
	Met       []Met
}

// Most is how many suggestions a take gets.
const Most = 3

const (
	// restFor is for how many takes a suggestion rests that was shown twice in
	// a row without effect; leastRest, where nothing else is left to practise:
	// it gives way once, and then it is better than none.
	restFor, leastRest = 4, 1
	// A share counts as smaller, and a suggestion as having an effect, once it
	// is at most effectPart of effectWhole of what it was.
	effectPart, effectWhole = 3, 4
)

// Choose returns the suggestions for a take: at most three of the candidates,
// the best of each kind before a second of one. No slips are told twice, over a
// chord and over its centre, and of the chords on one scale there is one. past
// holds what was shown with the takes of the same chart before, oldest first.
// One that was shown in two takes in a row and has had no effect since rests for
// four takes, and another takes its place. Where all rest, one take is enough.
func Choose(candidates []Suggestion, past []Shown) []Suggestion {
	for _, rest := range [...]int{restFor, leastRest} {
		awake := slices.DeleteFunc(slices.Clone(candidates), func(c Suggestion) bool { return c.rests(past, rest) })
		if len(awake) > 0 {
			return best(awake)
		}
	}
	return []Suggestion{}
}

// best picks in turn the first of the kind that was picked least.
func best(open []Suggestion) (chosen []Suggestion) {
	picked := map[Kind]int{}
	for len(chosen) < Most && len(open) > 0 {
		next := slices.MinFunc(open, func(a, b Suggestion) int { return cmp.Compare(picked[a.Kind], picked[b.Kind]) })
		chosen = append(chosen, next)
		picked[next.Kind]++
		open = slices.DeleteFunc(open, next.repeats)
	}
	return chosen
}

// repeats reports whether another suggestion speaks of the same thing: it is
// the same, they share slips, or both are of chords on one scale.
func (s Suggestion) repeats(o Suggestion) bool {
	shared := func(row int) bool { return slices.Contains(o.rows, row) }
	return s.Subject == o.Subject || slices.ContainsFunc(s.rows, shared) ||
		s.Kind == Untouched && o.Kind == Untouched && s.Centre == o.Centre && s.Scale == o.Scale
}

// rests reports whether it was shown twice in a row, without effect since, so
// few takes ago.
func (s Suggestion) rests(past []Shown, takes int) bool {
	for i := max(1, len(past)-takes); i < len(past); i++ {
		first, once := find(past[i-1].Suggested, s.Subject)
		_, twice := find(past[i].Suggested, s.Subject)
		if once && twice && !s.less(first) {
			return true
		}
	}
	return false
}

// less reports whether the share is clearly smaller than it was.
func (s Suggestion) less(than Suggestion) bool {
	return s.Part*than.Whole*effectWhole <= than.Part*s.Whole*effectPart
}

func find(all []Suggestion, subject Subject) (s Suggestion, ok bool) {
	i := slices.IndexFunc(all, func(s Suggestion) bool { return s.Subject == subject })
	if i < 0 {
		return s, false
	}
	return all[i], true
}
