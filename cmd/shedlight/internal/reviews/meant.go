package reviews

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"shedlight/analyse"
	"shedlight/analyse/fate"
	"shedlight/display"
)

// Marks are the places to mark as meant, and those to take back.
type Marks struct{ Meant, Not []Place }

// Any reports whether there are any.
func (m Marks) Any() bool { return len(m.Meant)+len(m.Not) > 0 }

// markMeant counts the slips at the places as meant.
func (r *Report) markMeant(places []Place) {
	for i := range r.slips {
		f := &r.slips[i]
		if slices.ContainsFunc(places, func(p Place) bool { return p.holds(f) }) {
			r.TakeMeant(*f)
			r.MeantNotes = append(r.MeantNotes, f.N)
			for i := range r.Phrases {
				if p := &r.Phrases[i]; f.Role == analyse.Line && p.First <= f.N && f.N <= p.Last {
					p.TakeMeant(f.Fate == fate.Unresolved)
				}
			}
		}
	}
}

// newMarks checks that there is something to mark at each place.
func (r *Report) newMarks(places []Place, o display.Options) error {
	for _, p := range places {
		if !slices.ContainsFunc(r.slips, func(f analyse.Finding) bool { return p.holds(&f) }) {
			return fmt.Errorf("--meant %s: %s", p, r.nothingAt(p, o))
		}
	}
	return nil
}

// nothingAt says what is at a place where nothing slipped, and which notes
// near it are.
func (r *Report) nothingAt(p Place, o display.Options) string {
	if n := len(r.Findings); n > 0 && r.Findings[n-1].Spot().Bar == 0 {
		return "places are bars of a chart, and this was played without one"
	}
	slips := slices.DeleteFunc(slices.Clone(r.slips), func(f analyse.Finding) bool { return f.Spot().Bar == 0 })
	if len(slips) == 0 {
		return "nothing in this take is a slip"
	}
	slices.SortStableFunc(slips, func(a, b analyse.Finding) int { return cmp.Compare(p.barsAway(&a), p.barsAway(&b)) })
	var near, there []string
	for i := range slips {
		near = append(near, display.NoteName(slips[i].Name, o)+" at "+notePlace(&slips[i]))
	}
	answer := "no note there"
	for i := range r.Findings {
		if f := &r.Findings[i]; p.holds(f) {
			answer = "no slip there"
			name := display.NoteName(f.Name, o) + " (" + display.Verdict(f) + ")"
			if p.beat > 0 && !slices.Contains(there, name) {
				there = append(there, name)
			}
		}
	}
	if len(there) > 0 {
		answer += ", only " + listed(there)
	}
	return answer + "; slips: " + listed(near)
}

// mostThere is how many notes are named where nothing can be marked: what a line
// holds.
const mostThere = 3

func listed(names []string) string {
	if more := len(names) - mostThere; more > 0 {
		names = append(names[:mostThere:mostThere], fmt.Sprintf("and %d more", more))
	}
	return strings.Join(names, ", ")
}
