package advise

import (
	"cmp"
	"slices"

	"shedlight/analyse"
	"shedlight/analyse/fit"
	"shedlight/analyse/harmony"
)

const (
	// leastChoruses is in how many choruses a line must be off over the same bars to be
	// worth practising there, and in offPart of offWhole of them, or of those that are alike
	// (analyse.Was): once can be chance, and what goes wrong at a fast tempo alone is right at
	// the others. The
	// evidence of the choruses adds up, each being played anew, to what one span needs to
	// claim; see fit.Claim. So does that of a take and the one before, over a single
	// chord. A whole take that claims is told at once.
	leastChoruses     = 2
	offPart, offWhole = 2, 3
	// nearest is by how many half steps a line over some bars is moved at most where no
	// chorus alone claims it: further lies much that is played on purpose.
	nearest = 2
)

// elsewhere looks for bars over which the line is behind or ahead of the changes.
func elsewhere(s *analyse.Summary, chart []over) []Suggestion {
	return off(s, chart, func(v *fit.Verdict) (Subject, bool) {
		return Subject{Kind: Elsewhere, Move: v.Bars()}, v.Elsewhere.Semitones == 0
	}, twoChoruses)
}

// halfSteps looks for bars over which the line is moved in pitch, and for single chords.
func halfSteps(s *analyse.Summary, chart []over) []Suggestion {
	bars := off(s, chart, func(v *fit.Verdict) (Subject, bool) {
		return Subject{Kind: HalfStep, HalfStep: v.Elsewhere.Semitones}, v.Elsewhere.Semitones != 0
	}, fourChoruses)
	for i := range bars {
		switch first := bars[i].rows; {
		case bars[i].InAnotherKey():
			bars[i].Play = Exercise{}
		case len(first) > 0:
			bars[i].Play.Chord, bars[i].Play.Notes = chart[first[0]].Symbol, chart[first[0]].down(paceOf(s)).Notes
		}
	}
	var chords []Suggestion
	for i := range chart {
		o := &chart[i]
		nearest, evidence := o.Tones.Nearest(o.chord, o.scale, harmony.Resolves(o.chord, o.next))
		for _, move := range [...]int{-1, 1} {
			c := Suggestion{
				Subject: Subject{Kind: HalfStep, Bar: o.Bar, ToBar: o.ToBar, Chord: o.Symbol, HalfStep: move},
				Whole:   o.Notes, Choruses: s.Choruses, rows: []int{i}, Play: o.down(paceOf(s)),
			}
			if move == nearest && s.Choruses >= leastChoruses {
				c.Part, c.Evidence = o.Tones.Of(o.chord.Set().Transpose(-move)), evidence
				c.worth, c.twice = true, evidence < fit.Claim
			}
			chords = append(chords, c)
		}
	}
	slices.SortStableFunc(chords, func(a, b Suggestion) int { return cmp.Compare(b.Evidence, a.Evidence) })
	return slices.Concat(bars, chords)
}

// off gathers the bars over which the fit claims another place that is asked for, the
// whole take first, then what came in most choruses.
func off(s *analyse.Summary, chart []over, asked func(*fit.Verdict) (Subject, bool), times int) (out []Suggestion) {
	at := map[Subject]int{}
	alike := alikeIn(s)
	played := map[inBars]int64{} // choruses in which bars had notes enough to tell
	offs := map[inAlike]*counted{}
	choruses := map[int][]int{} // that a row comes from
	for i := range s.Fit {
		v := &s.Fit[i]
		if v.Span != fit.Section && v.Span != fit.Take || v.Says == fit.TooLittle {
			continue
		}
		of, is := asked(v)
		if v.Span == fit.Section {
			of.Bar, of.ToBar = v.FromBar, v.LastBar()
		}
		in := alike[v.Chorus]
		played[inBars{of.Bar, of.ToBar, 0}]++
		if in > 0 {
			played[inBars{of.Bar, of.ToBar, in}]++
		}
		if !is {
			continue
		}
		k, known := at[of]
		if !known {
			k = len(out)
			at[of] = k
			out = append(out, Suggestion{
				Subject: of, Choruses: s.Choruses, rows: rowsIn(chart, of),
				Play: Exercise{Bar: of.Bar, ToBar: of.ToBar, Times: times},
			})
		}
		if v.Says == fit.Elsewhere {
			out[k].worth = true
		}
		if v.Evidence > 0 {
			out[k].Part++
			out[k].Evidence += v.Evidence
			choruses[k] = append(choruses[k], v.Chorus)
			now := inAlike{row: k, alike: in}
			if offs[now] == nil {
				offs[now] = &counted{}
			}
			offs[now].part++
			offs[now].evidence += v.Evidence
		}
	}
	for i := range out {
		o := &out[i]
		o.Whole = played[inBars{o.Bar, o.ToBar, 0}]
		o.Play.Tempo = paceOf(s, choruses[i]...).at(mending)
		again := o.again()
		for in := 1; in <= len(alike) && !again; in++ {
			if c := offs[inAlike{row: i, alike: in}]; c != nil {
				only := *o
				only.Part, only.Evidence, only.Whole = c.part, c.evidence, played[inBars{o.Bar, o.ToBar, in}]
				if again = only.again(); again {
					*o = only
				}
			}
		}
		o.worth = o.worth && o.Bar == 0 || again && (o.worth || -nearest <= o.HalfStep && o.HalfStep <= nearest)
	}
	slices.SortStableFunc(out, func(a, b Suggestion) int {
		return cmp.Or(cmp.Compare(a.Bar, 0)-cmp.Compare(b.Bar, 0), cmp.Compare(b.Part, a.Part))
	})
	return out
}

// again reports whether it is off in choruses enough of those that were played.
func (s *Suggestion) again() bool {
	return s.Part >= leastChoruses && offWhole*s.Part >= offPart*s.Whole && s.Evidence >= fit.Claim
}

// inBars is some bars in choruses that are alike, by their number from 1; 0: in all.
type inBars struct{ from, to, alike int }

// inAlike is a row of suggestions in choruses that are alike.
type inAlike struct{ row, alike int }

// counted is in how many choruses a line was off, and the evidence of it.
type counted struct {
	part     int64
	evidence float64
}

// alikeIn numbers the choruses by which are alike, from 1: 0 is none. A line that is off by
// a place of the form is so in any key.
func alikeIn(s *analyse.Summary) map[int]int {
	var firsts []analyse.Was
	of := map[int]int{}
	for i := range s.ChorusesDetail {
		c := s.ChorusesDetail[i].InAnyKey()
		k := slices.IndexFunc(firsts, c.Like)
		if k < 0 {
			k = len(firsts)
			firsts = append(firsts, c)
		}
		of[s.ChorusesDetail[i].Chorus] = k + 1
	}
	return of
}

// cleared returns the subject of bars that the fit was asked about and that are off no
// more.
func cleared(s *analyse.Summary, of Subject) (Suggestion, bool) {
	if of.Kind != Elsewhere && of.Kind != HalfStep {
		return Suggestion{}, false
	}
	now := Suggestion{Subject: of, Choruses: s.Choruses}
	for i := range s.Fit {
		v := &s.Fit[i]
		whole := v.Span == fit.Take && of.Bar == 0
		if v.Says != fit.TooLittle && (whole || v.Span == fit.Section && v.FromBar == of.Bar && v.LastBar() == of.ToBar) {
			now.Whole++
		}
	}
	return now, now.Whole > 0
}

// rowsIn lists the chords of the chart that lie within the bars of a subject, all of
// them where it is the whole take.
func rowsIn(chart []over, of Subject) (rows []int) {
	for i := range chart {
		if c := &chart[i]; of.Bar == 0 || of.Bar <= c.Bar && c.ToBar <= of.ToBar {
			rows = append(rows, i)
		}
	}
	return rows
}
