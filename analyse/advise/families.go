package advise

import (
	"cmp"
	"slices"

	"shedlight/analyse"
	"shedlight/analyse/changes"
	"shedlight/analyse/figure"
	"shedlight/analyse/song"
	"shedlight/analyse/tone"
)

const (
	// A chord is called untouched where at least leastFamily others of its
	// family were played: each of the eight could have come once. With fewer it
	// is the family that is little played, where at least leastLine notes were
	// played over its centre: eight chords of four tones.
	leastFamily = 8
	leastLine   = 32
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
func untouched(s *analyse.Summary, chart []over) []Suggestion {
	families, of := familiesOf(s, chart)
	var chords []Suggestion
	for i := range s.Family {
		f := &s.Family[i]
		played := of[wholeOf(f)].times
		c := Suggestion{Subject: wholeOf(f), Whole: played, Choruses: s.Choruses, worth: f.Times == 0 && played >= leastFamily, twice: true}
		c.Step, c.Name = f.Step, f.Name
		c.Play = familyExercise(s, c.Subject, f.Step)
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
func familiesOf(s *analyse.Summary, chart []over) (families []*family, of map[Subject]*family) {
	of = map[Subject]*family{}
	for i := range s.Family {
		chord := &s.Family[i]
		subject := wholeOf(chord)
		f := of[subject]
		if f == nil {
			f = &family{whole: Suggestion{Subject: subject, Choruses: s.Choruses, twice: true}}
			of[subject] = f
			families = append(families, f)
		}
		f.times += chord.Times
		f.whole.Whole++
		if chord.Times == 0 {
			if f.whole.Part++; f.whole.Part == 1 {
				f.whole.Play = familyExercise(s, subject, chord.Step)
			}
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
			w.Bars = barsWhere(chart, func(c *over) bool { return c.Centre == w.Centre })
		}
		w.worth = w.Part > 0 && f.times < leastFamily && f.notes >= leastLine && (oneKey || f.times > 0)
	}
	return families, of
}

// familyExercise is a chord of a family and then its first one, or from the first the
// second. Place says over which bars.
func familyExercise(s *analyse.Summary, of Subject, step int) Exercise {
	e := Exercise{Tempo: paceOf(s).at(learning), Times: fourChoruses}
	then := 1
	if step == then {
		then++
	}
	e.Notes, e.Then = ofFamily(of, step), ofFamily(of, then)
	return e
}

// ofFamily names the tones of a chord of a family, from the bass up in close position;
// nothing where the family is of a voicing that is no chord.
func ofFamily(of Subject, step int) (names []string) {
	tones := of.Scale.Tones()
	chord := read(of.Family)
	if chord.None() || of.Scale.None() || step < 1 {
		return nil
	}
	set, bass := chord.Set(), int(chord.Bass.Class())
	for up := range tone.Octave {
		class := tone.ClassOf(bass + up)
		if !set.Has(class) {
			continue
		}
		i, ok := of.Scale.Index(class)
		if !ok {
			return nil
		}
		names = append(names, tones[(i+step-1)%len(tones)].String())
	}
	return names
}

// scaleOf is the exercise over a centre of which there is no chart: its scale, up and
// down.
func scaleOf(centre string, p pace) Exercise {
	c, err := changes.ParseCentre(centre)
	if err != nil {
		return Exercise{}
	}
	e := Exercise{Tempo: p.at(mending), Times: fourChoruses}
	for _, name := range c.Scale().Tones() {
		e.Notes = append(e.Notes, name.String())
	}
	return e
}
