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

	// The beat is spoken of where at least leastScored notes on it were scored
	// and less than chordTonePercent of them were tones of the chord: eight
	// tones of which four are the chord's give half by chance, and a line that
	// steps through the scale the wrong way round still meets one in four over a
	// dominant. Proper lines (analyse/analysetest/linegen) mostly stay above it.
	leastScored      = 16
	chordTonePercent = 25

	// A chord is called untouched where at least leastFamily others of its
	// family were played: each of the eight could have come once. With fewer it
	// is the family that is little played, where at least leastLine notes were
	// played over its centre: eight chords of four tones.
	leastFamily = 8
	leastLine   = 32
)

// Candidates returns everything in a summary that is worth a suggestion, kind
// by kind, the best of a kind first. Slips come from the narrow to the wide: in
// one place, over a chord wherever it stands, over a kind of chord, over a
// centre; what is wider and has the very slips of something narrower says
// nothing new and is left out.
func Candidates(s *analyse.Summary) []Suggestion {
	var out []Suggestion
	for _, c := range everything(s) {
		if c.worth && !slices.ContainsFunc(out, c.sameSlips) {
			out = append(out, c)
		}
	}
	return out
}

func (s Suggestion) sameSlips(o Suggestion) bool {
	return len(s.rows) > 0 && slices.Equal(s.rows, o.rows)
}

// everything returns each subject of a summary with its numbers, whether it is
// worth a suggestion or not.
func everything(s *analyse.Summary) []Suggestion {
	return slices.Concat(elsewhere(s), unresolved(s), onBeat(s), untouched(s))
}

func unresolved(s *analyse.Summary) []Suggestion {
	places := overChords(s, func(c *analyse.ChordCount) Subject {
		return Subject{Kind: Unresolved, Bar: c.Bar, ToBar: c.ToBar, Chord: c.Symbol}
	})
	for i := range places {
		places[i].Bars = nil // its subject says where it is
	}
	chords := overChords(s, func(c *analyse.ChordCount) Subject { return Subject{Kind: Unresolved, Chord: c.Symbol} })
	kinds := overChords(s, func(c *analyse.ChordCount) Subject { return Subject{Kind: Unresolved, ChordKind: c.ChordKind} })
	return slices.Concat(
		weighed(places, placePercent, 0), weighed(chords, widePercent, leastPlaces),
		weighed(kinds, widePercent, leastPlaces), weighed(overCentres(s), widePercent, 0))
}

// overChords takes the chords of the chart together that have one subject.
func overChords(s *analyse.Summary, subject func(*analyse.ChordCount) Subject) (out []Suggestion) {
	at := map[Subject]int{}
	for i := range s.ChordsDetail {
		c := &s.ChordsDetail[i]
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

func overCentres(s *analyse.Summary) (out []Suggestion) {
	for i := range s.Centres {
		c := &s.Centres[i]
		over := Suggestion{
			Subject: Subject{Kind: Unresolved, Centre: c.Centre}, Part: c.Slips(), Whole: c.Notes, Choruses: s.Choruses,
		}
		for k := range s.ChordsDetail {
			if d := &s.ChordsDetail[k]; d.Centre == c.Centre {
				over.slipped(d, k)
			}
		}
		out = append(out, over)
	}
	return out
}

// slipped takes in where the slips of a row of the chart lie.
func (s *Suggestion) slipped(c *analyse.ChordCount, row int) {
	if c.Slips() > 0 {
		s.rows = append(s.rows, row)
		s.Bars = addBars(s.Bars, c)
	}
}

func addBars(bars []int, c *analyse.ChordCount) []int {
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

// onBeat looks at kinds of chord over which other tones than the chord's fall on
// the beat, where the line keeps to the beat at all.
func onBeat(s *analyse.Summary) []Suggestion {
	if !s.Feel.WithBeat {
		return nil
	}
	var out []Suggestion
	for i := range s.OnBeat {
		b := &s.OnBeat[i]
		out = append(out, Suggestion{
			Subject: Subject{Kind: OnBeat, ChordKind: b.ChordKind, View: b.View.String()},
			Part:    b.Scored - b.ChordTone, Whole: b.Scored, Choruses: s.Choruses,
			Bars:  barsWhere(s, func(c *analyse.ChordCount) bool { return c.ChordKind == b.ChordKind }),
			worth: b.Scored >= leastScored && b.ChordTone*percent < chordTonePercent*b.Scored,
		})
	}
	return ranked(out)
}

// barsWhere lists the bars of the chords that are asked for and were played over.
func barsWhere(s *analyse.Summary, asked func(*analyse.ChordCount) bool) (bars []int) {
	for i := range s.ChordsDetail {
		if c := &s.ChordsDetail[i]; c.Notes > 0 && asked(c) {
			bars = addBars(bars, c)
		}
	}
	return bars
}
