package advise

import (
	"cmp"
	"slices"

	"shedlight/analyse"
)

const (
	percent = 100

	// A place is pointed at where at least leastUnresolved notes
	// slipped and they are at least placePercent of what was played there:
	// two slips can be chance. What takes several places together has more
	// notes: a chord wherever it stands, a kind of chord, a centre, at
	// widePercent. Over the first two the slips lie in at least leastPlaces:
	// those of one place are told of that place or not at all.
	leastUnresolved = 3
	placePercent    = 10
	widePercent     = 5
	leastPlaces     = 2
)

// Candidates returns everything in a summary that is worth a suggestion, kind
// by kind, the best of a kind first. Slips come from the narrow to the wide: in
// one place, over a chord wherever it stands, over a kind of chord, over a
// centre; what is wider and has the very slips of something narrower says
// nothing new and is left out. So are slips in bars that go with other changes: there
// they are one fault. A whole take in another key stands alone: before that is put right
// there is nothing to practise.
func Candidates(s *analyse.Summary) []Suggestion {
	var out []Suggestion
	for _, c := range everything(s) {
		if c.worth && !slices.ContainsFunc(out, c.explained) {
			out = append(out, c)
		}
	}
	if i := slices.IndexFunc(out, func(c Suggestion) bool { return c.InAnotherKey() }); i >= 0 {
		return out[i : i+1]
	}
	return out
}

// explained reports whether what is said before says all that it says.
func (s Suggestion) explained(by Suggestion) bool {
	if !s.placed() || !by.placed() || by.twice {
		return false
	}
	if by.Kind == Unresolved {
		return len(s.rows) > 0 && slices.Equal(s.rows, by.rows)
	}
	return by.takeLong() || slices.ContainsFunc(s.rows, func(row int) bool { return slices.Contains(by.rows, row) })
}

// everything returns each subject of a summary with its numbers, whether it is
// worth a suggestion or not.
func everything(s *analyse.Summary) []Suggestion {
	chart := chartOf(s)
	return slices.Concat(elsewhere(s, chart), halfSteps(s, chart), unresolved(s, chart), hanging(s, chart), onBeat(s, chart),
		crossings(s, chart), rests(s), untouched(s, chart))
}

func unresolved(s *analyse.Summary, chart []over) []Suggestion {
	places := overChords(s, chart, func(c *over) Subject {
		return Subject{Kind: Unresolved, Bar: c.Bar, ToBar: c.ToBar, Chord: c.Symbol}
	})
	for i := range places {
		places[i].Bars = nil // its subject says where it is
	}
	chords := overChords(s, chart, func(c *over) Subject { return Subject{Kind: Unresolved, Chord: c.Symbol} })
	kinds := overChords(s, chart, func(c *over) Subject { return Subject{Kind: Unresolved, ChordKind: c.ChordKind} })
	all := slices.Concat(
		weighed(places, placePercent, 0), weighed(chords, widePercent, leastPlaces),
		weighed(kinds, widePercent, leastPlaces), weighed(overCentres(s, chart), widePercent, 0))
	for i := range all {
		if worst := mostSlips(chart, all[i].rows); worst != nil {
			all[i].Play = worst.up(paceOf(s))
		}
	}
	return all
}

// mostSlips is the one of some chords of the chart with the most slips; nil of none.
func mostSlips(chart []over, rows []int) (worst *over) {
	for _, row := range rows {
		if o := &chart[row]; worst == nil || o.Slips() > worst.Slips() {
			worst = o
		}
	}
	return worst
}

// overChords takes the chords of the chart together that have one subject.
func overChords(s *analyse.Summary, chart []over, subject func(*over) Subject) (out []Suggestion) {
	at := map[Subject]int{}
	for i := range chart {
		c := &chart[i]
		of := subject(c)
		k, known := at[of]
		if !known {
			k = len(out)
			at[of] = k
			out = append(out, Suggestion{Subject: of, Choruses: s.Choruses})
		}
		out[k].Part += c.Slips()
		out[k].Whole += c.Notes
		out[k].slipped(c, i)
	}
	return out
}

func overCentres(s *analyse.Summary, chart []over) (out []Suggestion) {
	for i := range s.Centres {
		c := &s.Centres[i]
		over := Suggestion{
			Subject: Subject{Kind: Unresolved, Centre: c.Centre}, Part: c.Slips(), Whole: c.Notes, Choruses: s.Choruses,
		}
		for k := range chart {
			if d := &chart[k]; d.Centre == c.Centre {
				over.slipped(d, k)
			}
		}
		over.Play = scaleOf(c.Centre, paceOf(s)) // where no chord of a chart says more
		out = append(out, over)
	}
	return out
}

// slipped takes in where the slips of a row of the chart lie.
func (s *Suggestion) slipped(c *over, row int) {
	if c.Slips() > 0 {
		s.rows = append(s.rows, row)
		s.Bars = addBars(s.Bars, c)
	}
}

func addBars(bars []int, c *over) []int {
	for bar := c.Bar; bar <= c.ToBar; bar++ {
		if len(bars) == 0 || bars[len(bars)-1] < bar { // two chords of a bar name it once
			bars = append(bars, bar)
		}
	}
	return bars
}

// weighed says which are worth a suggestion, and puts the best first.
func weighed(all []Suggestion, share int64, places int) []Suggestion {
	for i := range all {
		a := &all[i]
		a.worth = a.Part >= leastUnresolved && a.Part*percent >= share*a.Whole && len(a.rows) >= places
	}
	return ranked(all)
}

// ranked sorts by Part squared over Whole: many notes, and a large part.
func ranked(all []Suggestion) []Suggestion {
	slices.SortStableFunc(all, func(a, b Suggestion) int {
		return cmp.Compare(b.Part*b.Part*a.Whole, a.Part*a.Part*b.Whole)
	})
	return all
}

// barsWhere lists the bars of the chords that are asked for and were played over.
func barsWhere(chart []over, asked func(*over) bool) (bars []int) {
	for i := range chart {
		if c := &chart[i]; c.Notes > 0 && asked(c) {
			bars = addBars(bars, c)
		}
	}
	return bars
}
