package advise

import (
	"cmp"
	"slices"

	"shedlight/analyse"
)

const (
	percent = 100

	// A place is pointed at where at least leastUnresolved notes stayed
	// unresolved and they are at least placePercent of what was played there:
	// two slips can be chance. A centre as a whole, which has more notes, at
	// centrePercent.
	leastUnresolved = 3
	placePercent    = 10
	centrePercent   = 5

	// The beat is spoken of where at least leastScored notes on it were scored
	// and less than chordTonePercent of them were tones of the chord: eight
	// tones of which four are the chord's give half by chance, and a line that
	// steps through the scale the wrong way round still meets one in four over a
	// dominant. Proper lines (analyse/linegen) mostly stay above it.
	leastScored      = 16
	chordTonePercent = 25

	// A chord is called untouched where at least leastFamily others of its
	// family were played: each of the eight could have come once.
	leastFamily = 8
)

// Candidates returns everything in a summary that is worth a suggestion: the
// best of each kind first, then the others. Best is where notes are both many
// and a large part of what was played.
func Candidates(s *analyse.Summary) []Suggestion {
	kinds := [...][]Suggestion{unresolved(s), onBeat(s), untouched(s)}
	var out []Suggestion
	for rank := 0; ; rank++ {
		before := len(out)
		for _, all := range kinds {
			if rank < len(all) {
				out = append(out, all[rank])
			}
		}
		if len(out) == before {
			return out
		}
	}
}

// unresolved points at chords, then at centres whose slips are spread over many
// chords.
func unresolved(s *analyse.Summary) []Suggestion {
	var chords, centres []Suggestion
	pointed := map[string]bool{}
	for i := range s.ChordsDetail {
		if c := overChord(&s.ChordsDetail[i], s.Choruses); c.worth(placePercent) {
			chords = append(chords, c)
			pointed[s.ChordsDetail[i].Centre] = true
		}
	}
	for i := range s.Centres {
		if c := overCentre(s, &s.Centres[i]); c.worth(centrePercent) && !pointed[c.Centre] {
			centres = append(centres, c)
		}
	}
	return append(ranked(chords), ranked(centres)...)
}

func (s Suggestion) worth(share int64) bool {
	return s.Part >= leastUnresolved && s.Part*percent >= share*s.Whole
}

// ranked sorts by Part squared over Whole: many notes, and a large part.
func ranked(all []Suggestion) []Suggestion {
	slices.SortStableFunc(all, func(a, b Suggestion) int {
		return cmp.Compare(b.Part*b.Part*a.Whole, a.Part*a.Part*b.Whole)
	})
	return all
}

func overChord(c *analyse.ChordCount, choruses int) Suggestion {
	return Suggestion{
		Subject: Subject{Kind: Unresolved, Bar: c.Bar, ToBar: c.ToBar, Chord: c.Symbol},
		Part:    c.Unresolved, Whole: c.Notes, Choruses: choruses,
	}
}

func overCentre(s *analyse.Summary, c *analyse.CentreCount) Suggestion {
	return Suggestion{
		Subject: Subject{Kind: Unresolved, Centre: c.Centre}, Part: c.Unresolved, Whole: c.Notes, Choruses: s.Choruses,
		Bars: barsWhere(s, func(d *analyse.ChordCount) bool { return d.Centre == c.Centre && d.Unresolved > 0 }),
	}
}

// barsWhere lists the bars of the chords that are asked for, each once.
func barsWhere(s *analyse.Summary, asked func(*analyse.ChordCount) bool) (bars []int) {
	for i := range s.ChordsDetail {
		if d := &s.ChordsDetail[i]; asked(d) && !slices.Contains(bars, d.Bar) {
			bars = append(bars, d.Bar)
		}
	}
	return bars
}

// onBeat points at kinds of chord over which other tones than the chord's fall on
// the beat, where the line keeps to the beat at all.
func onBeat(s *analyse.Summary) []Suggestion {
	if !s.Feel.WithBeat {
		return nil
	}
	var out []Suggestion
	for i := range s.OnBeat {
		b := &s.OnBeat[i]
		if b.Scored >= leastScored && b.ChordTone*percent < chordTonePercent*b.Scored {
			out = append(out, offBeat(s, b))
		}
	}
	return ranked(out)
}

func offBeat(s *analyse.Summary, b *analyse.OnBeat) Suggestion {
	return Suggestion{
		Subject: Subject{Kind: OnBeat, ChordKind: b.ChordKind, View: b.View},
		Part:    b.Scored - b.ChordTone, Whole: b.Scored, Choruses: s.Choruses,
		Bars: barsWhere(s, func(d *analyse.ChordCount) bool { return d.ChordKind == b.ChordKind && d.Notes > 0 }),
	}
}

// untouched points at the chords of a family that were not played, of the
// family that was played most first.
func untouched(s *analyse.Summary) []Suggestion {
	var out []Suggestion
	for i := range s.Family {
		f := &s.Family[i]
		played := familyTimes(s, f)
		if f.Times == 0 && played >= leastFamily {
			out = append(out, notPlayed(s, f, played))
		}
	}
	return ranked(out)
}

func notPlayed(s *analyse.Summary, f *analyse.FamilyUse, played int64) Suggestion {
	return Suggestion{
		Subject: Subject{Kind: Untouched, Centre: f.Centre, Scale: f.Scale, Family: f.Family, Step: f.Step, Name: f.Name},
		Part:    played, Whole: played, Choruses: s.Choruses,
	}
}

// familyTimes is how often chords of the same family were played.
func familyTimes(s *analyse.Summary, of *analyse.FamilyUse) (n int64) {
	for i := range s.Family {
		if f := &s.Family[i]; f.Centre == of.Centre && f.Scale == of.Scale && f.Family == of.Family {
			n += f.Times
		}
	}
	return n
}
