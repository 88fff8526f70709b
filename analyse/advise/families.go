package advise

import (
	"cmp"
	"slices"

	"shedlight/analyse"
	"shedlight/analyse/figure"
	"shedlight/analyse/song"
)

// family is what was played of one family of chords.
type family struct {
	whole Suggestion
	times int64 // its chords were played
	notes int64 // over its centre
}

// untouched looks at the chords of the families, of the family played most
// first, then at the families as a whole, played most first and of those that
// were not played the one whose centre was played over most.
func untouched(s *analyse.Summary) []Suggestion {
	families, of := familiesOf(s)
	var chords []Suggestion
	for i := range s.Family {
		f := &s.Family[i]
		played := of[wholeOf(f)].times
		c := Suggestion{Subject: wholeOf(f), Whole: played, Choruses: s.Choruses, worth: f.Times == 0 && played >= leastFamily}
		c.Step, c.Name = f.Step, f.Name
		if f.Times == 0 {
			c.Part = played
		}
		chords = append(chords, c)
	}
	slices.SortStableFunc(families, func(a, b *family) int {
		return cmp.Or(cmp.Compare(b.times, a.times), cmp.Compare(b.notes, a.notes))
	})
	all := ranked(chords)
	for _, f := range families {
		all = append(all, f.whole)
	}
	return all
}

// wholeOf is the subject of the family that a chord is of.
func wholeOf(f *figure.FamilyUse) Subject {
	return Subject{Kind: Untouched, Centre: f.Centre, Scale: f.Scale, Family: f.Family}
}

// familiesOf sums the chords of a summary up by family. A scale that was chosen
// for each chord lasts as long as that chord, which the summary does not say: in
// that view a family is spoken of once it was begun, and without bars.
func familiesOf(s *analyse.Summary) (families []*family, of map[Subject]*family) {
	of = map[Subject]*family{}
	for i := range s.Family {
		chord := &s.Family[i]
		subject := wholeOf(chord)
		f := of[subject]
		if f == nil {
			f = &family{whole: Suggestion{Subject: subject, Choruses: s.Choruses}}
			of[subject] = f
			families = append(families, f)
		}
		f.times += chord.Times
		f.whole.Whole++
		if chord.Times == 0 {
			f.whole.Part++
		}
	}
	oneKey := s.View == song.KeyView && len(s.Views) < 2
	for _, f := range families {
		w := &f.whole
		for i := range s.Centres {
			if s.Centres[i].Centre == w.Centre {
				f.notes = s.Centres[i].Notes
			}
		}
		if oneKey {
			w.Bars = barsWhere(s, func(c *analyse.ChordCount) bool { return c.Centre == w.Centre })
		}
		w.worth = w.Part > 0 && f.times < leastFamily && f.notes >= leastLine && (oneKey || f.times > 0)
	}
	return families, of
}
