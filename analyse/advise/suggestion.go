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

import "slices"

// Kind is what a suggestion is about.
type Kind string

const (
	Unresolved Kind = "unresolved" // outside notes stay unresolved over a chord, or over a centre
	OnBeat     Kind = "on-beat"    // other tones than the chord's fall on the beat over a kind of chord
	Untouched  Kind = "untouched"  // a chord of a family is not played
)

// Subject is what a suggestion points at. Two suggestions with the same subject
// are the same suggestion, whatever their numbers.
type Subject struct {
	Kind      Kind   `json:"kind"`
	Bar       int    `json:"bar,omitempty"`    // Unresolved: the chord's first bar; 0 over a centre
	ToBar     int    `json:"to_bar,omitempty"` // its last
	Chord     string `json:"chord,omitempty"`  // Unresolved: the symbol; empty over a centre
	ChordKind string `json:"chord_kind,omitempty"`
	View      string `json:"view,omitempty"` // OnBeat: the view that was scored
	Centre    string `json:"centre,omitempty"`
	Scale     string `json:"scale,omitempty"`  // Untouched
	Family    string `json:"family,omitempty"` // Untouched
	Step      int    `json:"step,omitempty"`   // Untouched: which chord of the family, from 1
	Name      string `json:"name,omitempty"`   // Untouched: its name
}

// Suggestion is a subject with the numbers behind it: Part of Whole speaks for
// practising it. For Unresolved these are unresolved notes of all there, for
// OnBeat scored notes that are no chord tones of all scored; for Untouched both
// count the chords of the family that were played, all of them others.
type Suggestion struct {
	Subject
	Part     int64 `json:"part"`
	Whole    int64 `json:"whole"`
	Choruses int   `json:"choruses,omitempty"` // how many were played; 0 without a chart
	Bars     []int `json:"bars,omitempty"`     // the bars it comes from, where they are no one stretch
}

// Most is how many suggestions a take gets.
const Most = 3

const (
	// restFor is for how many takes a suggestion rests that was shown twice in
	// a row without effect.
	restFor = 4
	// A share counts as smaller, and a suggestion as having an effect, once it
	// is at most effectPart of effectWhole of what it was.
	effectPart, effectWhole = 3, 4
)

// Choose returns the suggestions for a take: of the candidates, best first, at
// most three, and of the chords on one scale one. past holds what was shown
// with the takes of the same chart before, oldest first. One that was shown in
// two takes in a row and has had no effect since rests for four takes, and
// another takes its place.
func Choose(candidates []Suggestion, past [][]Suggestion) []Suggestion {
	chosen := []Suggestion{}
	for _, c := range candidates {
		if len(chosen) < Most && !c.rests(past) && !slices.ContainsFunc(chosen, c.sameScale) {
			chosen = append(chosen, c)
		}
	}
	return chosen
}

func (s Suggestion) sameScale(o Suggestion) bool {
	return s.Kind == Untouched && o.Kind == Untouched && s.Centre == o.Centre && s.Scale == o.Scale
}

func (s Suggestion) rests(past [][]Suggestion) bool {
	for i := max(1, len(past)-restFor); i < len(past); i++ {
		first, once := find(past[i-1], s.Subject)
		_, twice := find(past[i], s.Subject)
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

func find(shown []Suggestion, subject Subject) (s Suggestion, ok bool) {
	i := slices.IndexFunc(shown, func(s Suggestion) bool { return s.Subject == subject })
	if i < 0 {
		return s, false
	}
	return shown[i], true
}
