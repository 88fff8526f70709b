package advise

import (
	"slices"

	"shedlight/analyse"
	"shedlight/analyse/changes"
	"shedlight/analyse/harmony"
	"shedlight/analyse/tone"
)

const (
	// The beat is spoken of where at least leastScored notes on it were scored
	// and less than chordTonePercent of them were tones of the chord: eight
	// tones of which four are the chord's give half by chance, and a line that
	// steps through the scale the wrong way round still meets one in four over a
	// dominant. Proper lines (analyse/analysetest/linegen) mostly stay above it.
	leastScored      = 16
	chordTonePercent = 25

	// leastHanging is how often one degree must be left hanging over a kind of chord:
	// it is news and no reproach, and twice can be what was wanted.
	leastHanging = 3

	// Of leastCrossed changes from one kind of chord to another, leapPart of leapWhole
	// were crossed by a leap: lines that step on do so in half of them or more.
	leastCrossed        = 6
	leapPart, leapWhole = 2, 3

	// A line hardly rests under hurried percent, where its phrases last for more than
	// longBars bars on the average.
	hurried, longBars = 10, 6
)

// hanging looks at what was left hanging over each kind of chord, the most first.
func hanging(s *analyse.Summary, chart []over) (out []Suggestion) {
	type degree struct{ kind, degree string }
	at := map[string]int{}
	row := func(kind string) *Suggestion {
		k, known := at[kind]
		if !known {
			k = len(out)
			at[kind] = k
			out = append(out, Suggestion{Subject: Subject{Kind: Hanging, ChordKind: kind}, Whole: s.Phrases.Phrases, Choruses: s.Choruses})
		}
		return &out[k]
	}
	for i := range chart {
		row(chart[i].ChordKind) // also where nothing hangs
	}
	times := map[degree]int64{}
	for _, h := range s.LeftHanging.Over { // the most frequent first
		chord := read(h.Chord)
		r := row(chord.Kind())
		r.Part += h.Times
		name, err := tone.ParseName(h.Name)
		if err != nil {
			continue
		}
		of := degree{chord.Kind(), harmony.DegreeOver(chord, name.Class())}
		if times[of] += h.Times; times[of] >= leastHanging {
			r.worth = true
		}
		const phrases = 4
		if r.Play.Chord == "" {
			r.Play = Exercise{Chord: h.Chord, Tempo: paceOf(s).at(mending), Times: phrases}
		}
		if r.Play.Chord == h.Chord {
			r.Play.Notes, r.Play.Then = append(r.Play.Notes, h.Name), append(r.Play.Then, h.Wants)
		}
	}
	return ranked(out)
}

// onBeat looks at kinds of chord over which other tones than the chord's fall on
// the beat, where the line keeps to the beat at all.
func onBeat(s *analyse.Summary, chart []over) (out []Suggestion) {
	if !s.Feel.WithBeat {
		return nil
	}
	for i := range s.OnBeat {
		b := &s.OnBeat[i]
		c := Suggestion{
			Subject: Subject{Kind: OnBeat, ChordKind: b.ChordKind, View: b.View.String()},
			Part:    b.Scored - b.ChordTone, Whole: b.Scored, Choruses: s.Choruses,
			worth: b.Scored >= leastScored && b.ChordTone*percent < chordTonePercent*b.Scored,
		}
		if most := mostPlayed(s, chart, b.ChordKind); most != nil {
			c.Play = most.down(paceOf(s))
			c.Play.Bar, c.Play.ToBar = 0, 0
			c.Bars = barsWhere(chart, func(o *over) bool { return o.Symbol == most.Symbol })
		}
		c.worth = c.worth && len(c.Play.Notes) > 0
		out = append(out, c)
	}
	return ranked(out)
}

// mostPlayed is the chord of a kind over which most was played; without a chart the home
// chord of a centre.
func mostPlayed(s *analyse.Summary, chart []over, kind string) (most *over) {
	for i := range chart {
		if o := &chart[i]; o.chord.Kind() == kind && (most == nil || o.Notes > most.Notes) {
			most = o
		}
	}
	for i := range s.Centres {
		if centre, err := changes.ParseCentre(s.Centres[i].Centre); err == nil && len(chart) == 0 {
			home := over{ChordCount: &analyse.ChordCount{}, chord: centre.Scale().HomeChord(), scale: centre.Scale()}
			home.Symbol, home.names = home.chord.Symbol(), home.scale.Spelling(home.chord, false)
			if home.chord.Kind() == kind {
				return &home
			}
		}
	}
	return most
}

// crossings looks at how the line goes from one kind of chord to another. What is to be
// played is the change that was leapt over most.
func crossings(s *analyse.Summary, chart []over) (out []Suggestion) {
	at := map[Subject]int{}
	most := map[Subject]int64{}
	for i := range s.Phrases.Changes {
		c := &s.Phrases.Changes[i]
		from, to := read(c.From), read(c.To)
		of := Subject{Kind: Crossing, ChordKind: from.Kind(), ToKind: to.Kind()}
		k, known := at[of]
		if !known {
			k = len(out)
			at[of] = k
			out = append(out, Suggestion{Subject: of, Choruses: s.Choruses})
		}
		r := &out[k]
		r.Part += c.Leaps
		r.Whole += c.Times
		row := slices.IndexFunc(chart, func(o over) bool { return o.Bar == c.Bar && o.Symbol == c.To })
		if c.Leaps > most[of] && row >= 0 {
			before := &chart[(row+len(chart)-1)%len(chart)]
			if note, third, ok := before.stepping(); ok && before.Symbol == c.From {
				const changes = 8
				most[of] = c.Leaps
				r.Play = Exercise{
					Bar: before.ToBar, ToBar: c.Bar, Chord: c.From, Next: c.To, Notes: []string{note}, Then: []string{third},
					Tempo: paceOf(s).at(mending), Times: changes,
				}
			}
		}
	}
	for i := range out {
		o := &out[i]
		o.worth = o.Whole >= leastCrossed && leapWhole*o.Part >= leapPart*o.Whole && o.Play.Times > 0
	}
	return ranked(out)
}

// rests looks at how much the line rests. Once can be how one felt that day.
func rests(s *analyse.Summary) []Suggestion {
	p := &s.Phrases
	if p.Phrases == 0 || s.Bars == 0 {
		return nil
	}
	return []Suggestion{{
		Subject: Subject{Kind: Rests}, Part: int64(s.Bars) * (percent - p.Rest) / percent, Whole: p.Phrases,
		Choruses: s.Choruses, Rest: p.Rest, Play: Exercise{Tempo: paceOf(s).at(mending), Times: threeChoruses},
		worth: p.Rest < hurried && int64(s.Bars)*(percent-p.Rest) > longBars*percent*p.Phrases, twice: true,
	}}
}
