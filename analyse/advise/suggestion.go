// Package advise says what to practise next. From the summary of a take, and
// from what was said with the takes before it, it makes at most three
// suggestions, each with the numbers it comes from and with what to play. It reads no
// file and no clock: the same summaries always give the same suggestions. How
// they are worded is not its concern.
//
// What is worth a suggestion is this project's own rule; no standard gives
// numbers for it. A suggestion needs enough notes behind it that a single slip
// does not make one, and a player whose outside notes resolve gets none about
// them.
package advise

import (
	"slices"

	"shedlight/analyse"
	"shedlight/analyse/fit"
	"shedlight/analyse/harmony"
)

// Kind is what a suggestion is about.
type Kind string

// The kinds, in the order in which a teacher speaks of them.
const (
	// Elsewhere: the line is behind or ahead of the changes, over some bars or in the
	// whole take.
	Elsewhere Kind = "elsewhere"
	// HalfStep: it is a half step or more too high or too low, over a chord, some bars or
	// in the whole take.
	HalfStep Kind = "half-step"
	// Unresolved: slips come over a chord in one place, over a chord wherever it
	// stands, over a kind of chord, or over a centre.
	Unresolved Kind = "unresolved"
	// Hanging: tones are left hanging over a kind of chord.
	Hanging Kind = "hanging"
	// OnBeat: other tones than the chord's fall on the beat over a kind of chord.
	OnBeat Kind = "on-beat"
	// Crossing: changes from one kind of chord to another are crossed by a leap.
	Crossing Kind = "crossing"
	// Rests: the line hardly rests.
	Rests Kind = "rests"
	// Untouched: a chord of a family is not played, or little of the family is.
	Untouched Kind = "untouched"
)

// kinds are all of them.
var kinds = [...]Kind{Elsewhere, HalfStep, Unresolved, Hanging, OnBeat, Crossing, Rests, Untouched}

// Subject is what a suggestion points at. Two suggestions with the same subject
// are the same suggestion, whatever their numbers.
type Subject struct {
	Kind      Kind          `json:"kind"`
	Bar       int           `json:"bar,omitempty"`        // Elsewhere, HalfStep, Unresolved: the first bar; 0 where it is no one place
	ToBar     int           `json:"to_bar,omitempty"`     // its last
	Chord     string        `json:"chord,omitempty"`      // HalfStep, Unresolved: the symbol; empty over several, over a kind and over a centre
	ChordKind string        `json:"chord_kind,omitempty"` // Hanging, OnBeat, Crossing, and Unresolved over a kind
	ToKind    string        `json:"to_kind,omitempty"`    // Crossing: the kind of chord behind the change
	View      string        `json:"view,omitempty"`       // OnBeat: the view that was scored
	Centre    string        `json:"centre,omitempty"`
	Scale     harmony.Scale `json:"scale,omitzero"`   // Untouched
	Family    string        `json:"family,omitempty"` // Untouched
	Step      int           `json:"step,omitempty"`   // Untouched: which chord of the family, from 1; 0 for all of it
	Name      string        `json:"name,omitempty"`   // Untouched: its name

	Move     float64 `json:"move,omitempty"`      // Elsewhere: by how many bars the line would have to move, negative back
	HalfStep int     `json:"half_step,omitempty"` // HalfStep: by how many half steps
}

// Suggestion is a subject with the numbers behind it: Part of Whole speaks for
// practising it. They are
//
//   - for Elsewhere and HalfStep choruses of those played there, but over one chord
//     notes that are tones of its neighbour, of all there,
//   - for Unresolved slips of all notes there,
//   - for Hanging tones left hanging over that kind of chord, and phrases,
//   - for OnBeat scored notes that are no chord tones, of all scored,
//   - for Crossing leaps of all changes of that kind,
//   - for Rests bars and the phrases that fill them,
//   - for a chord that is Untouched the chords of its family that were played, all of
//     them others, and for a family as a whole its chords, Part those not played.
type Suggestion struct {
	Subject
	Part     int64    `json:"part"`
	Whole    int64    `json:"whole"`
	Choruses int      `json:"choruses,omitempty"` // how many were played; 0 without a chart
	Rest     int64    `json:"rest,omitempty"`     // Rests: their share, in percent
	Evidence float64  `json:"evidence,omitempty"` // Elsewhere, HalfStep: as that of a fit.Verdict
	Bars     []int    `json:"bars,omitempty"`     // the bars it comes from, in order, where they are no one stretch
	Play     Exercise `json:"play"`

	worth bool  // it is worth a suggestion, by the bounds of its kind
	twice bool  // so it is where the take before bore it out
	rows  []int // Elsewhere, HalfStep, Unresolved: the chords of the chart that it lies over
}

// Shown is what the player of a take was told after it.
type Shown struct {
	Suggested []Suggestion
	Noticed   []Notice
	Met       []Met
	Played    []analyse.Alike // none where nobody says
}

// Notice is what is remembered of a candidate that speaks only where the next take bears
// it out.
type Notice struct {
	Subject
	Evidence float64 `json:"evidence,omitempty"`
}

// Most is how many suggestions a take gets.
const Most = 3

// restFor is for how many takes a suggestion rests that was shown twice in
// a row; leastRest, where nothing else is left to practise: it gives way once, and
// then it is better than none.
const restFor, leastRest = 4, 1

// Noticed is what is to be remembered of the candidates of a take.
func Noticed(candidates []Suggestion) []Notice {
	out := []Notice{}
	for i := range candidates {
		if c := &candidates[i]; c.twice {
			out = append(out, Notice{Subject: c.Subject, Evidence: c.Evidence})
		}
	}
	return out
}

// Choose returns the suggestions for a take: at most three of the candidates, one of a
// kind, in the order of the kinds. past holds what was said with the takes of the same
// chart before, oldest first.
//
// Of a kind the first candidate speaks, and no lesser one in its place. One that was
// shown, or whose neighbour was, in two takes in a row rests for four, and other kinds
// have their turn. Where all rest, one take is enough; what wants two takes is said
// after one where there is nothing else. Two takes are this one and the last that played,
// now, is like.
func Choose(candidates []Suggestion, played []analyse.Alike, past []Shown) []Suggestion {
	before := lastLike(played, past)
	borneOut := slices.DeleteFunc(slices.Clone(candidates), func(c Suggestion) bool { return c.twice && !c.borneOut(before) })
	plain := slices.DeleteFunc(slices.Clone(candidates), func(c Suggestion) bool { return c.twice && c.Kind == HalfStep })
	for _, rest := range [...]int{restFor, leastRest} {
		for _, from := range [][]Suggestion{borneOut, plain} {
			if chosen := firsts(from, past, rest); len(chosen) > 0 {
				return chosen
			}
		}
	}
	return []Suggestion{}
}

// lastLike returns what was noticed in the last take that has choruses like some of those
// that were played now, or of which nobody says; none where there is no such take.
func lastLike(played []analyse.Alike, past []Shown) []Notice {
	for _, before := range slices.Backward(past) {
		like := func(then analyse.Alike) bool {
			return slices.ContainsFunc(played, func(now analyse.Alike) bool { return now.Like(then.Was) })
		}
		if len(before.Played) == 0 || slices.ContainsFunc(before.Played, like) {
			return before.Noticed
		}
	}
	return nil
}

// borneOut reports whether the take before showed the same.
func (s *Suggestion) borneOut(before []Notice) bool {
	i := slices.IndexFunc(before, func(n Notice) bool { return n.Subject == s.Subject })
	return i >= 0 && (s.Kind != HalfStep || before[i].Evidence+s.Evidence >= fit.Claim)
}

// firsts picks the first of each kind, where it does not rest.
func firsts(candidates []Suggestion, past []Shown, rest int) (chosen []Suggestion) {
	for _, kind := range kinds {
		first := slices.IndexFunc(candidates, func(c Suggestion) bool { return c.Kind == kind })
		if first >= 0 && len(chosen) < Most && !candidates[first].rests(past, rest) && !slices.ContainsFunc(chosen, candidates[first].near) {
			chosen = append(chosen, candidates[first])
		}
	}
	return chosen
}

// rests reports whether it or a neighbour of it was shown twice in a row, so few takes
// ago.
func (s *Suggestion) rests(past []Shown, takes int) bool {
	for i := max(1, len(past)-takes); i < len(past); i++ {
		if slices.ContainsFunc(past[i-1].Suggested, s.near) && slices.ContainsFunc(past[i].Suggested, s.near) {
			return true
		}
	}
	return false
}

// near reports whether another suggestion speaks of the same thing: what is about
// places where their bars meet, all else where it is of the same kind.
func (s *Suggestion) near(o Suggestion) bool {
	switch {
	case !s.placed() || !o.placed():
		return s.Kind == o.Kind
	case s.Subject == o.Subject || s.takeLong() || o.takeLong():
		return true
	}
	return slices.ContainsFunc(s.bars(), func(bar int) bool { return slices.Contains(o.bars(), bar) })
}

// placed reports whether it is about notes that go astray somewhere.
func (s *Suggestion) placed() bool {
	return s.Kind == Elsewhere || s.Kind == HalfStep || s.Kind == Unresolved
}

// takeLong reports whether it is about the whole take.
func (s *Suggestion) takeLong() bool {
	return s.Bar == 0 && (s.Kind == Elsewhere || s.Kind == HalfStep)
}

// InAnotherKey reports whether the whole take lies in another key than the chart: a key to
// be checked and nothing to be played.
func (s *Suggestion) InAnotherKey() bool { return s.Kind == HalfStep && s.Bar == 0 }

// bars lists the bars that it speaks of.
func (s *Suggestion) bars() []int {
	if s.Bar == 0 {
		return s.Bars
	}
	var out []int
	for bar := s.Bar; bar <= s.ToBar; bar++ {
		out = append(out, bar)
	}
	return out
}

func find(all []Suggestion, subject Subject) (s Suggestion, ok bool) {
	i := slices.IndexFunc(all, func(s Suggestion) bool { return s.Subject == subject })
	if i < 0 {
		return s, false
	}
	return all[i], true
}
