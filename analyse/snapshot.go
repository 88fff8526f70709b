package analyse

import (
	"shedlight/analyse/figure"
	"shedlight/analyse/fit"
	"shedlight/analyse/harmony"
	"shedlight/analyse/phrase"
	"shedlight/analyse/song"
	"shedlight/analyse/tone"
)

// Snapshot is the state of the playing at one tick, as a screen needs it. It
// shares no memory with the analyser and may be kept and read anywhere.
type Snapshot struct {
	Tick int64

	// Song position; Chorus and Bar are 0 without a chart and before bar 1.
	// CountIn is the number of beats until bar 1 while they are counted.
	HasChart bool
	Chorus   int
	Bar      int
	Bars     int     // the number of the last bar of a chorus
	Beat     float64 // from 1
	CountIn  int
	Section  string

	Chord     string        // the symbol now: the home chord of the centre without a chart
	NextChord string        // the next different one, empty if there is none
	Centre    string        // "F major"; empty when there is none
	Scale     harmony.Scale // the active scale of the view
	Scales    bool          // the view is of each chord, not of one key

	Held      []Held // keys sounding, pedal included, from the lowest up
	HeldChord string // what they are together, where they are three or more
	Hands     bool   // the hands are parted, by a split or by their channels

	Page   Page
	Counts Counts
	Recent Recent

	// What the line did lately. Run and Arpeggio are the longest of the last four
	// bars or 32 notes, Outlined is the arpeggio of the last two beats or eight
	// notes, Struck the last struck chord.
	Run, Arpeggio, Outlined figure.Figure
	Struck                  figure.Struck
	Fits                    fit.Verdict // in a rest: where the last bars would go better; says nothing as long as they fit

	Phrase   phrase.Phrase // the last one that is over; its Number is 0 before there is one
	InPhrase bool          // another has begun since
	Fought   Fight         // in a rest: the last note of that phrase that was held against its chord; Times is 0 for none

	// SlipsBefore is how many slips there were, as far as it was known when the
	// latest phrase began.
	SlipsBefore int64

	// While the first bar of a chorus lasts, the two choruses before it, the
	// later first. Chorus is 0 where there is none, nothing was played in it, or it
	// is forgotten.
	Choruses [2]ChorusCount

	// How many choruses had something in the bars of the goal, as far as those are
	// over, and how many of them were without a slip there.
	GoalMet, GoalOf int
}

// Held is one sounding key.
type Held struct {
	Channel, Key uint8
	Name         string // spelled, without octave
	Place        song.Place
}

// Snapshot returns the present state for a screen.
func (a *Analyser) Snapshot() Snapshot {
	p := a.song.Find(a.now, a.meter)
	c := a.song.At(&p)
	s := Snapshot{
		Tick: a.now, Chorus: p.Chorus, Bar: p.Bar, Beat: p.Beat,
		Chord: c.Symbol, Centre: c.Centre, Scale: c.Scale, Scales: a.song.View() == song.ChordView,
		Counts: a.counts.running(), SlipsBefore: a.counts.slipsBefore,
	}
	if t := a.setup.Timeline; t != nil {
		s.HasChart, s.Bars = true, t.Bars[len(t.Bars)-1].Number
		if p.BarRow >= 0 {
			s.Section = t.Bars[p.BarRow].Section
		} else if p.Within < 0 {
			s.CountIn = int((-p.Within + p.BeatTicks - 1) / p.BeatTicks)
		}
		s.NextChord = a.nextSymbol(&p)
		if a.counts.goal != nil {
			s.GoalMet, s.GoalOf = a.counts.goalSoFar(&p)
		}
	}
	a.keys.Each(func(ch, key uint8) {
		s.Held = append(s.Held, Held{Channel: ch, Key: key, Name: a.direction.names(c, key)[key%12], Place: c.Place[key%12]})
	})
	s.HeldChord, s.Hands = heldChord(s.Held, c), a.setup.parts()
	s.Page = a.pageAt(p)
	s.Recent = a.recently(p)
	a.lately(&s, p)
	if p.BarRow == 0 {
		s.Choruses = a.counts.before(p.Chorus)
	}
	return s
}

// lately fills in what the line did in the last bars, as seen from p.
func (a *Analyser) lately(s *Snapshot, p song.Position) {
	figures := &a.melody.phrases.Figures
	s.Run, s.Arpeggio = figures.Longest(a.now - figure.Bars*p.BarTicks)
	s.Outlined = figures.Outlined(a.now - figure.OutlineBeats*p.BeatTicks)
	s.Struck = figures.Struck()
	s.Phrase = a.melody.phrases.Last()
	if s.InPhrase, _ = a.melody.phrases.Playing(); !s.InPhrase {
		s.Fits, _ = a.FitNow()
		if n := a.page.fightOf; s.Phrase.First <= n && n <= s.Phrase.Last {
			s.Fought = a.page.fight
		}
	}
}

// nextSymbol returns the next chord symbol that is not the one at a position.
func (a *Analyser) nextSymbol(p *song.Position) string {
	now := a.song.At(p).Symbol
	for c := range a.song.From(p) {
		if c.Symbol != now {
			return c.Symbol
		}
	}
	return ""
}

// heldChord names three sounding keys or more, in the spelling of the context.
func heldChord(held []Held, c *song.Context) string {
	var set tone.Set
	for _, h := range held {
		set |= 1 << (h.Key % 12)
	}
	if len(held) < chordKeys {
		return ""
	}
	chord, ok := harmony.NameChordIn(set, tone.Class(held[0].Key%12), c.Roots)
	if !ok {
		return ""
	}
	return chord.Symbol()
}

// Over is what of the playing is over: it changes when there is something new to
// say of a phrase or of a chorus. Its fields are those of a Snapshot.
type Over struct {
	Phrase   int64 // the number of the last phrase that is over; 0 before there is one
	InPhrase bool  // another has begun since
	Choruses [2]ChorusCount
}

// Over says what is over, for whoever wants to know at each event whether to ask
// for a Snapshot. It allocates nothing and costs a hundredth of one.
func (a *Analyser) Over() Over {
	o := Over{Phrase: a.PhrasesOver()}
	o.InPhrase, _ = a.melody.phrases.Playing()
	if p := a.song.Find(a.now, a.meter); p.BarRow == 0 {
		o.Choruses = a.counts.before(p.Chorus)
	}
	return o
}

// Verdicts returns how the spans fit that were closed by the last call of Add,
// AdvanceTo or Finish, in that order; the slice is valid until the next of them.
func (a *Analyser) Verdicts() []fit.Verdict { return a.melody.fit.news }

// FitNow returns where the last bars would go better, for a rest while playing: ok
// is false where there is nothing to say.
func (a *Analyser) FitNow() (v fit.Verdict, ok bool) {
	at, known := a.song.SongTick(a.now)
	if !known || !a.song.Running() {
		return v, false
	}
	return a.melody.fit.Now(at)
}
