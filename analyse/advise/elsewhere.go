package advise

import (
	"cmp"
	"slices"

	"shedlight/analyse"
	"shedlight/analyse/fit"
)

// leastChoruses is in how many choruses a line must be off over the same bars to be
// worth practising there: once can be chance. A whole take is told at once.
const leastChoruses = 2

// elsewhere looks for bars over which the line goes better with other changes, the
// whole take first, then what came in most choruses.
func elsewhere(s *analyse.Summary) (out []Suggestion) {
	at := map[Subject]int{}
	played := map[[2]int]int64{} // choruses in which bars had notes enough to tell
	for i := range s.Fit {
		v := &s.Fit[i]
		if v.Span != fit.Section && v.Span != fit.Take || v.Says == fit.TooLittle {
			continue
		}
		of := Subject{Kind: Elsewhere, Move: v.Bars(), HalfStep: v.Elsewhere.Semitones}
		if v.Span == fit.Section {
			of.Bar, of.ToBar = v.FromBar, v.LastBar()
		}
		played[[2]int{of.Bar, of.ToBar}]++
		if v.Says != fit.Elsewhere {
			continue
		}
		k, known := at[of]
		if !known {
			k = len(out)
			at[of] = k
			out = append(out, Suggestion{Subject: of, Choruses: s.Choruses, rows: rowsIn(s, of)})
		}
		out[k].Part++
	}
	for i := range out {
		o := &out[i]
		o.Whole = played[[2]int{o.Bar, o.ToBar}]
		o.worth = o.Bar == 0 || o.Part >= leastChoruses
	}
	slices.SortStableFunc(out, func(a, b Suggestion) int {
		return cmp.Or(cmp.Compare(a.Bar, 0)-cmp.Compare(b.Bar, 0), cmp.Compare(b.Part, a.Part))
	})
	return out
}

// rowsIn lists the chords of the chart that lie within the bars of a subject, all of
// them where it is the whole take.
func rowsIn(s *analyse.Summary, of Subject) (rows []int) {
	for i := range s.ChordsDetail {
		if c := &s.ChordsDetail[i]; of.Bar == 0 || of.Bar <= c.Bar && c.ToBar <= of.ToBar {
			rows = append(rows, i)
		}
	}
	return rows
}
