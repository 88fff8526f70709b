package reviews

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"shedlight/analyse"
	"shedlight/analyse/song"
	"shedlight/display"
)

// Marks are the places to mark as meant, and those to take back.
type Marks struct{ Meant, Not []Place }

// Any reports whether there are any.
func (m Marks) Any() bool { return len(m.Meant)+len(m.Not) > 0 }

// markMeant counts the slips at the places as meant.
func (r *Report) markMeant(places []Place) {
	if len(places) == 0 {
		return
	}
	for f := range r.slips {
		if slices.ContainsFunc(places, func(p Place) bool { return p.holds(f) }) {
			r.TakeMeant(*f)
			r.MeantNotes, r.meant = append(r.MeantNotes, f.N), append(r.meant, *f)
		}
	}
}

// newMarks checks that there is something to mark at each place.
func (r *Report) newMarks(places []Place, o display.Options) error {
	for _, p := range places {
		if !r.slipAt(p) {
			return fmt.Errorf("--meant %s: %s", p, r.nothingAt(p, o))
		}
	}
	return nil
}

func (r *Report) slipAt(p Place) bool {
	for f := range r.slips {
		if p.holds(f) {
			return true
		}
	}
	return false
}

// nothingAt says what is at a place where nothing slipped, and which notes
// near it are.
func (r *Report) nothingAt(p Place, o display.Options) string {
	var near, there []string
	answer, last := "no note there", song.Spot{Bar: p.bar}
	for f := range r.Findings() {
		if last = f.Spot(); p.holds(f) {
			answer = "no slip there"
			name := display.NoteName(f.Name, o) + " (" + display.Verdict(f, o) + ")"
			if p.beat > 0 && !slices.Contains(there, name) {
				there = append(there, name)
			}
		}
	}
	if last.Bar == 0 {
		return "places are bars of a chart, and this was played without one"
	}
	slips := slices.DeleteFunc(slices.Collect(r.slips), func(f *analyse.Finding) bool { return f.Spot().Bar == 0 })
	if len(slips) == 0 {
		return "nothing in this take is a slip"
	}
	slices.SortStableFunc(slips, func(a, b *analyse.Finding) int { return cmp.Compare(p.barsAway(a), p.barsAway(b)) })
	for _, f := range slips {
		near = append(near, display.NoteName(f.Name, o)+" at "+notePlace(f))
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
