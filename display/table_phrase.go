package display

import (
	"fmt"
	"strings"

	"shedlight/analyse"
)

// phraseRows lists the phrases: where each began and ended, and on what.
func phraseRows(r *Review, sp speller) []tableRow {
	var out []tableRow
	for i := range r.Phrases {
		p := &r.Phrases[i]
		name := fmt.Sprint(p.Number)
		if p.Start.Bar > 0 {
			name += ": " + edgePlace(&p.Start) + " to " + edgePlace(&p.End)
		}
		out = append(out, tableRow{name, int64(p.Notes), int64(p.Outside), int64(p.Unresolved), sp.landing(p)})
	}
	return out
}

func edgePlace(e *analyse.PhraseEdge) string {
	return fmt.Sprintf("%d/%d:%.3g", e.Chorus, e.Bar, e.Beat)
}

// landing says what a phrase ended on.
func (s speller) landing(p *analyse.Phrase) string {
	if p.Landing == analyse.NoLanding {
		return "ended on " + s.name(p.End.Name)
	}
	text, _, _ := strings.Cut(p.String(), " - ")
	return text
}

// phrase tells a phrase in a line: "landed on the 3rd - 1 outside, bar 6".
func (s speller) phrase(p *analyse.Phrase) string {
	_, rest, _ := strings.Cut(p.String(), " - ")
	return s.landing(p) + " - " + rest
}
