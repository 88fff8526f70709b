package changes

// BarRows is a stretch of the bars of a timeline: rows, To exclusive.
type BarRows struct{ From, To int }

// How long sections are, in bars: eight are what players hear as one thought,
// sixteen the longest that a form names as one (common practice).
const (
	SectionBars    = 8
	longestSection = 16
)

// Sections cuts a form into sections: the chart's own, one longer than
// sixteen bars every eight; where the chart names none, every eight. What is
// left joins the last.
func (t *Timeline) Sections() []BarRows {
	bars := t.Bars
	var out []BarRows
	for from := 0; from < len(bars); {
		to := from + 1
		for to < len(bars) && !bars[to].Opens && bars[to].Section == bars[from].Section {
			to++
		}
		if bars[from].Section == "" || to-from > longestSection {
			for to-from >= 2*SectionBars {
				out = append(out, BarRows{From: from, To: from + SectionBars})
				from += SectionBars
			}
		}
		out = append(out, BarRows{From: from, To: to})
		from = to
	}
	return out
}
