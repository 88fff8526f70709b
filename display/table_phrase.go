package display

import (
	"fmt"
	"strings"

	"shedlight/analyse"
)

// figureRows is how many rows the figures of a phrase have at the most.
const figureRows = 3

// phraseRows lists the phrases: where each began and ended, and on what, and
// below that its figures in order.
func phraseRows(r *Review, sp speller) []tableRow {
	var out []tableRow
	for i := range r.Phrases {
		p := &r.Phrases[i]
		name := fmt.Sprint(p.Number)
		if p.Start.Bar > 0 {
			name += ": " + edgePlace(&p.Start) + " to " + edgePlace(&p.End)
		}
		var figures []string
		if len(p.Figures) > 0 {
			figures = wrap(tableIndent, sp.figures(p), figureRows)
		}
		out = append(out, tableRow{
			name: name, notes: int64(p.Notes), outside: int64(p.Outside), unresolved: int64(p.Unresolved),
			more: []string{sp.landing(p)}, below: figures,
		})
	}
	return out
}

func edgePlace(e *analyse.PhraseEdge) string {
	return fmt.Sprintf("%d/%d:%.3g", e.Chorus, e.Bar, e.Beat)
}

// landing says what a phrase ended on.
func (s speller) landing(p *analyse.Phrase) string {
	switch {
	case p.Landing == analyse.NoLanding:
		return "ended on " + s.name(p.End.Name)
	case p.Landing == analyse.LeftHanging && p.End.Half == analyse.Outside.String():
		return "ended outside, on " + s.name(p.End.Name)
	}
	text, _, _ := strings.Cut(p.String(), " - ")
	return s.alterations(text)
}

// phrase tells a phrase in a line: "landed on the 3rd - 1 outside, bar 6".
func (s speller) phrase(p *analyse.Phrase) string {
	_, rest, _ := strings.Cut(p.String(), " - ")
	text := s.landing(p) + " - " + rest
	if p.Open > 0 {
		text += fmt.Sprintf(", %d still open", p.Open)
	}
	return text
}
