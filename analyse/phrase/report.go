package phrase

import (
	"shedlight/analyse/figure"
	"shedlight/analyse/harmony"
	"shedlight/analyse/song"
	"shedlight/analyse/tone"
)

// Phrase is a phrase that is over: notes of the line between two rests, or from or to
// a leap away from a long note.
type Phrase struct {
	Number     int64       `json:"number"` // from 1; 0: there is none
	Chorus     int         `json:"chorus"` // the one it is counted in: that of its last note
	First      int64       `json:"first"`  // the number of its first note
	Last       int64       `json:"last"`   // and of its last
	Notes      int         `json:"notes"`
	Outside    int         `json:"outside"`
	Unresolved int         `json:"unresolved"`
	Against    int         `json:"against"` // held against their chord, and not unresolved
	Open       int         `json:"open"`    // outside notes that are not settled yet
	Start      Edge        `json:"start"`
	End        Edge        `json:"end"`
	Landing    Landing     `json:"landing"`
	Chords     []OverChord `json:"chords"`    // its notes: the first 4096, or 128 where phrases are not kept whole
	Crossings  []Crossing  `json:"crossings"` // of changes of chord: the first 4096, or 32

	Figures     []figure.OfPhrase `json:"figures"`      // in order: the first 4096, or 12
	FigureCount int               `json:"figure_count"` // all of them
}

// Slips returns how many of its notes count against the player.
func (p *Phrase) Slips() int { return p.Unresolved + p.Against }

// TakeMeant takes a slip of the phrase out of its counts: the player meant it.
func (p *Phrase) TakeMeant(unresolved bool) {
	if unresolved {
		p.Unresolved--
	} else {
		p.Against--
	}
}

// Landing is how a phrase ends.
type Landing string

const (
	// NoLanding: there is no chord and no scale, so nothing is said.
	NoLanding Landing = ""
	// LandedOnChord: on a tone of the written chord.
	LandedOnChord Landing = "chord"
	// EndedAtRest: on a tone that the written chord lacks and that may stand over it,
	// as the sixth over a major seventh, or a ninth.
	EndedAtRest Landing = "home"
	// LeftHanging: on a tone that stays open over the chord, or outside the scale
	// and no colour of the chord. Only the former is called so in words. This is
	// said without blame.
	LeftHanging Landing = "hanging"
)

// Edge is the first or the last note of a phrase. The last is told by the
// chord to come where it was played ahead of it.
type Edge struct {
	Chorus      int           `json:"chorus"` // as in a finding
	Bar         int           `json:"bar"`
	Beat        float64       `json:"beat"`
	On          string        `json:"on"`   // the beat that it is counted at: "2", "2.5"
	Name        string        `json:"name"` // without octave
	Chord       string        `json:"chord"`
	Degree      string        `json:"degree"`       // of the scale; empty outside and without one
	ChordDegree string        `json:"chord_degree"` // of the chord, as players say it: "3", "b9"
	Half        song.Place    `json:"half"`         // "home", "dim", "outside" or empty
	Scale       harmony.Scale `json:"scale"`        // that it is heard in, as in a finding
	Wants       string        `json:"wants"`        // the tone that it wants to go to, where it stays open over the chord; else empty
}

// OverChord is the notes of a phrase under one chord.
type OverChord struct {
	Chord  string   `json:"chord"`
	Chorus int      `json:"chorus"` // of the first of them
	Bar    int      `json:"bar"`
	Notes  []string `json:"notes"` // by name, without octave
}

// Crossing is how the line went over a change of chord.
type Crossing struct {
	Chorus       int    `json:"chorus"` // of the note after
	Bar          int    `json:"bar"`
	From         string `json:"from"` // chord symbols
	To           string `json:"to"`
	Kind         string `json:"kind"`   // "held", "repeated", "step", "leap"
	Before       string `json:"before"` // the last note before, by name
	After        string `json:"after"`  // the first after; the same note where it was held
	Interval     int    `json:"interval"`
	BeforeDegree string `json:"before_degree"` // over the chord before
	AfterDegree  string `json:"after_degree"`  // over the new chord
}

func (e *edge) class() tone.Class { return tone.Class(e.key % 12) }

// landing says how a phrase ends that ends here.
func (e *edge) landing() Landing {
	class := e.class()
	switch c := e.context; {
	case c.ChordTone.Has(class):
		return LandedOnChord
	case c.Hanging.Has(class), c.Place[class] == song.Outside && !c.Colours.Has(class):
		return LeftHanging
	case c.Place[class] == song.NoPlace:
		return NoLanding
	}
	return EndedAtRest
}

func (e *edge) report() Edge {
	c, class := e.context, e.class()
	return Edge{
		Chorus: e.at.Chorus, Bar: e.at.Bar, Beat: e.at.Beat, On: e.pulse.Part().String(), Name: e.named[class], Chord: c.Symbol,
		Degree: c.Degree[class], ChordDegree: harmony.DegreeOver(c.Chord, class), Half: c.Place[class], Scale: c.Scale,
		Wants: wants(c, class),
	}
}

func (x *crossing) beforeDegree() string {
	return harmony.DegreeOver(x.from.Chord, tone.Class(x.before%12))
}

func (x *crossing) afterDegree() string {
	return harmony.DegreeOver(x.to.Chord, tone.Class(x.after%12))
}

func (x *crossing) report() Crossing {
	return Crossing{
		Chorus: x.at.Chorus, Bar: x.at.Bar, From: x.from.Symbol, To: x.to.Symbol, Kind: crossingNames[x.kind],
		Before: x.named[x.before%12], After: x.ahead[x.after%12], Interval: int(x.after) - int(x.before),
		BeforeDegree: x.beforeDegree(), AfterDegree: x.afterDegree(),
	}
}

// report tells a phrase that is over.
func (at *phrase) report() Phrase {
	all, _ := at.figures.Count()
	p := Phrase{
		Number: at.number, Chorus: at.chorus, First: at.first, Last: at.last,
		Notes: at.notes, Outside: at.outside, Unresolved: at.unresolved, Against: at.against, Open: at.open,
		Start: at.from.report(), End: at.to.report(), Landing: at.landing,
		Chords: []OverChord{}, Crossings: []Crossing{}, Figures: at.figures.Report(), FigureCount: all,
	}
	var over *song.Context
	for _, notes := range [...][]keptNote{at.kept[:min(at.notes, phraseNotes)], at.more} {
		for _, n := range notes {
			if over == nil || n.context.Chord != over.Chord {
				p.Chords = append(p.Chords, OverChord{Chord: n.context.Symbol, Chorus: int(n.chorus), Bar: int(n.bar)})
			}
			over = n.context
			last := &p.Chords[len(p.Chords)-1]
			last.Notes = append(last.Notes, n.named[n.key%12])
		}
	}
	for _, crossed := range [...][]crossing{at.crossed[:min(at.crossings, phraseCrossings)], at.moreCrossed} {
		for i := range crossed {
			p.Crossings = append(p.Crossings, crossed[i].report())
		}
	}
	return p
}

// Last is the last phrase that is over, the zero Phrase before there is one.
func (p *Finder) Last() Phrase {
	if p.Over() == 0 {
		return Phrase{}
	}
	return p.at(p.Over()).report()
}

// Over returns how many phrases are over.
func (p *Finder) Over() int64 {
	if p.playing {
		return p.number - 1
	}
	return p.number
}

// Kept is how many phrases back Phrase reaches.
const Kept = keptPhrases - 1

// Phrase returns a phrase by its number, from 1, while it is one of the last Kept
// that are over; ok is false for others. What became of its outside notes is
// complete once its Open is 0.
func (p *Finder) Phrase(number int64) (told Phrase, ok bool) {
	if number < 1 || number > p.Over() || number <= p.Over()-Kept {
		return told, false
	}
	return p.at(number).report(), true
}
