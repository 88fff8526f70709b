package display

import (
	"fmt"
	"slices"

	"shedlight/analyse/phrase"
)

// markRows lists the places that the player marked, and the phrase that was played
// there or had just been.
func markRows(r *Review, sp speller) []string {
	if len(r.Marks) == 0 {
		return []string{"nothing was marked: m marks a place while you play, or --map cc66=mark"}
	}
	var rows []string
	for i := range r.Marks {
		m := &r.Marks[i]
		row := fmt.Sprintf("%d: at %s", i+1, clock(float64(m.MS)/1000))
		if m.Bar > 0 {
			row += fmt.Sprintf(", chorus %d, bar %d, beat %s", m.Chorus, m.Bar, tenths(m.Beat))
		}
		if slices.Contains(r.Forgotten, m.Chorus) {
			row += ", forgotten"
		}
		rows = append(rows, row)
		at := slices.IndexFunc(r.Phrases, func(p phrase.Phrase) bool { return p.Number == m.Phrase })
		if at < 0 {
			continue
		}
		p := &r.Phrases[at]
		told := []string{count(int64(p.Notes), "note"), sp.landing(p)}
		if p.Start.Bar > 0 {
			told = append([]string{barsOfPhrase(p, r.Choruses)}, told...)
		}
		rows = append(rows, flow(tableIndent+fmt.Sprintf("phrase %d: ", p.Number), ", ", pageWidth, len(told)+1, told)...)
		rows = append(rows, sp.toldWhole(p)...)
	}
	return rows
}
