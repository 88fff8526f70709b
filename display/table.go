package display

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"shedlight/analyse"
)

// By is what the rows of a table are.
type By string

const (
	ByChord  By = "chord"
	ByCentre By = "centre"
	ByChorus By = "chorus"
	ByBar    By = "bar"
	ByPhrase By = "phrase"
	ByHabit  By = "habit"
	ByMark   By = "mark"
)

// tableRow is one row of a table of notes.
type tableRow struct {
	name                  string
	notes, outside, slips int64
	lead                  string   // stands before what else is to be said
	more                  []string // what else is to be said
	below                 []string // rows of their own
}

// WriteTable writes how a take went chord by chord, centre by centre, chorus by
// chorus, bar by bar or phrase by phrase, without what was not played, or the
// habits of its line; as wide as the options say. The error is the writer's.
func WriteTable(w io.Writer, by By, r Review, o Options) error {
	sp := newSpeller(o)
	var rows []tableRow
	switch s := &r.Summary; by {
	case ByChord:
		rows = chordRows(s, sp)
	case ByCentre:
		for _, c := range s.Centres {
			rows = append(rows, tableRow{name: sp.centre(c.Centre), notes: c.Notes, outside: c.Outside, slips: c.Slips()})
		}
	case ByChorus:
		for _, c := range s.ChorusesDetail {
			rows = append(rows, tableRow{name: sp.chorus(&c), notes: c.Notes, outside: c.Outside, slips: c.Slips(), more: append(chorusWas(s, &c, sp), chorusWent(s, c.Chorus)...)})
		}
	case ByBar:
		rows = barRows(&r, sp, o.width())
	case ByPhrase:
		rows = phraseRows(&r, sp)
	case ByHabit:
		return writeRows(w, habitLines(&r, sp, o.width()), o.width())
	case ByMark:
		return writeRows(w, markRows(&r, sp), o.width())
	}
	out := tableRows(by, rows, o.width())
	if by == ByChorus {
		out = append(out, underChoruses(&r.Outcome, sp)...)
	}
	return writeRows(w, out, o.width())
}

const (
	// tableCells is the least width of a table's first column.
	tableCells = 8
	// tableIndent stands before the rows that belong to the one above them.
	tableIndent = "   "
)

// tableColumns are the columns of counts in a table.
type tableColumns struct {
	head, row string // how they are written
	cells     int    // of all of them
}

// columnsFor has the columns closer together on a page too narrow for the first
// column and wide ones.
func columnsFor(cells int) tableColumns {
	const wideTable = 60
	if cells < wideTable {
		return tableColumns{head: " %5s %7s %11s", row: " %5d %7d %5d %5s  ", cells: 26}
	}
	return tableColumns{head: " %7s %8s %16s", row: " %7d %8d %10d %5s  ", cells: 36}
}

// tableRows writes a table. A name too wide for its column has a row of its own.
func tableRows(by By, rows []tableRow, cells int) []string {
	columns := columnsFor(cells)
	most, first := cells-columns.cells, tableCells
	for i := range rows {
		if w := width(rows[i].name); w <= most {
			first = max(first, w)
		}
	}
	out := []string{column(string(by), first) + fmt.Sprintf(columns.head, "notes", "outside", "slips")}
	for i := range rows {
		r := &rows[i]
		if r.notes == 0 {
			continue
		}
		name := r.name
		if width(name) > most {
			out = append(out, cut(name, pageWidth))
			name = ""
		}
		line := column(name, first) + fmt.Sprintf(columns.row, r.notes, r.outside, r.slips, share(r.slips, r.notes))
		below := r.below
		if more := r.lead + strings.Join(r.more, ", "); width(line)+width(more) <= cells {
			line += more
		} else {
			below = append(flow(tableIndent+r.lead, ", ", cells, len(r.more)+1, r.more), below...)
		}
		for _, line := range append([]string{line}, below...) {
			out = append(out, strings.TrimRight(cut(line, pageWidth), " "))
		}
	}
	if len(out) == 1 {
		return []string{"nothing to tell apart: no note was played over a " + string(by)}
	}
	return out
}

// chordRows takes the places of each symbol together.
func chordRows(s *analyse.Summary, sp speller) []tableRow {
	var out []tableRow
	rows := map[string]int{}
	went := map[int][]string{}
	for i := range s.ChordsDetail {
		c := &s.ChordsDetail[i]
		if c.Notes == 0 {
			continue
		}
		bars := bareStretch(c.Bar, c.ToBar)
		row, ok := rows[c.Symbol]
		if !ok {
			row = len(out)
			rows[c.Symbol] = row
			out = append(out, tableRow{name: sp.symbol(c.Symbol), lead: "in bar ", more: []string{bars}})
			if c.ToBar > c.Bar {
				out[row].lead = "in bars "
			}
		} else if more := out[row].more; more[len(more)-1] != bars {
			out[row].lead, out[row].more = "in bars ", append(more, bars)
		}
		out[row].notes += c.Notes
		out[row].outside += c.Outside
		out[row].slips += c.Slips()
		for _, one := range barsWent(s, c.Bar, c.ToBar) {
			if !slices.Contains(went[row], one) {
				went[row] = append(went[row], one)
			}
		}
	}
	for row, all := range went {
		out[row].more = append(out[row].more, all...)
	}
	return out
}

// barRows lists the bars, and in each the notes that slipped. Of a name too wide for a
// row there stands less, so that what --meant needs is whole.
func barRows(r *Review, sp speller, cells int) []tableRow {
	slips := map[int][]string{}
	for _, s := range r.Slips {
		meant := " (--meant " + s.Place + ")"
		slips[s.Bar] = append(slips[s.Bar], cut(sp.name(s.Name), cells-width(tableIndent+meant+","))+meant)
	}
	var out []tableRow
	for _, b := range r.BarsDetail {
		out = append(out, tableRow{
			name: fmt.Sprint(b.Bar), notes: b.Notes, outside: b.Outside, slips: b.Slips(),
			more: append(slips[b.Bar], barsWent(&r.Summary, b.Bar, b.Bar)...),
		})
	}
	return out
}
