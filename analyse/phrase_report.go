package analyse

import (
	"fmt"
	"strings"

	"shedlight/analyse/tone"
)

// Phrase is a phrase that is over: notes of the line between rests of a beat
// or more.
type Phrase struct {
	Number     int64         `json:"number"` // from 1; 0: there is none
	First      int64         `json:"first"`  // the number of its first note
	Last       int64         `json:"last"`   // and of its last
	Notes      int           `json:"notes"`
	Outside    int           `json:"outside"`
	Unresolved int           `json:"unresolved"`
	Open       int           `json:"open"` // outside notes that are not settled yet
	Start      PhraseEdge    `json:"start"`
	End        PhraseEdge    `json:"end"`
	Landing    Landing       `json:"landing"`
	Chords     []PhraseChord `json:"chords"`    // its notes, at most the first 128
	Crossings  []Crossing    `json:"crossings"` // of changes of chord, at most the first 32

	Figures     []PhraseFigure `json:"figures"`      // in order, at most the first 12
	FigureCount int            `json:"figure_count"` // all of them
}

// Landing is how a phrase ends.
type Landing string

const (
	// NoLanding: there is no chord and no scale, so nothing is said.
	NoLanding Landing = ""
	// LandedOnChord: on a tone of the written chord.
	LandedOnChord Landing = "chord"
	// EndedAtHome: on a tone of the home half that the written chord lacks, as
	// the sixth over a major seventh.
	EndedAtHome Landing = "home"
	// LeftHanging: on a tone of the dim half or outside the scale, that the
	// written chord lacks. Only the former is called so in words. This is said
	// without blame.
	LeftHanging Landing = "hanging"
)

// PhraseEdge is the first or the last note of a phrase. The last is told by the
// chord to come where it was played ahead of it.
type PhraseEdge struct {
	Chorus      int     `json:"chorus"` // as in a finding
	Bar         int     `json:"bar"`
	Beat        float64 `json:"beat"`
	Name        string  `json:"name"` // without octave
	Chord       string  `json:"chord"`
	Degree      string  `json:"degree"`       // of the scale; empty outside and without one
	ChordDegree string  `json:"chord_degree"` // of the chord, as players say it: "3", "b9"
	Half        string  `json:"half"`         // "home", "dim", "outside" or empty
	Scale       string  `json:"scale"`        // that it is heard in, as in a finding
}

// PhraseChord is the notes of a phrase under one chord.
type PhraseChord struct {
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

// String tells a phrase in a line: "landed on the 3rd - 1 outside, bar 6". The
// bar is the one it ends in.
func (p Phrase) String() string {
	if p.Number == 0 {
		return ""
	}
	var b strings.Builder
	switch outside := p.End.Half == Outside.String(); {
	case p.Landing == LandedOnChord:
		fmt.Fprintf(&b, "landed on %s", DegreeWords(p.End.ChordDegree))
	case p.Landing == EndedAtHome:
		fmt.Fprintf(&b, "ended on %s", DegreeWords(p.End.ChordDegree))
	case p.Landing == LeftHanging && outside:
		fmt.Fprintf(&b, "ended outside, on %s", p.End.Name)
	case p.Landing == LeftHanging:
		fmt.Fprintf(&b, "left hanging on %s", DegreeWords(p.End.ChordDegree))
	default:
		fmt.Fprintf(&b, "ended on %s", p.End.Name)
	}
	switch {
	case p.Start.Half == "" && p.End.Half == "" && p.Outside == 0:
		fmt.Fprintf(&b, " - %d notes", p.Notes)
	case p.Outside == 0:
		b.WriteString(" - none outside")
	case p.Unresolved == 0:
		fmt.Fprintf(&b, " - %d outside", p.Outside)
	default:
		fmt.Fprintf(&b, " - %d outside, %d unresolved", p.Outside, p.Unresolved)
	}
	if p.End.Bar > 0 {
		fmt.Fprintf(&b, ", bar %d", p.End.Bar)
	}
	return b.String()
}

func (n *played) class() tone.Class { return tone.ClassOf(n.key) }

func (e *edge) class() tone.Class { return tone.Class(e.key % 12) }

// landing says how a phrase ends that ends here.
func (e *edge) landing() Landing {
	class := e.class()
	switch place := e.context.place[class]; {
	case e.context.chordTone.Has(class):
		return LandedOnChord
	case place == Home:
		return EndedAtHome
	case place == Dim || place == Outside:
		return LeftHanging
	}
	return NoLanding
}

func (e *edge) report() PhraseEdge {
	c, class := e.context, e.class()
	return PhraseEdge{
		Chorus: e.chorus, Bar: e.bar, Beat: e.beat, Name: e.named.name[class], Chord: c.chord,
		Degree: c.degree[class], ChordDegree: chordDegree(c.changes, class), Half: c.place[class].String(), Scale: c.scaleName,
	}
}

func (x *crossing) beforeDegree() string {
	return chordDegree(x.from.changes, tone.Class(x.before%12))
}

func (x *crossing) afterDegree() string {
	return chordDegree(x.to.changes, tone.Class(x.after%12))
}

func (x *crossing) report() Crossing {
	return Crossing{
		Chorus: x.chorus, Bar: x.bar, From: x.from.chord, To: x.to.chord, Kind: crossingNames[x.kind],
		Before: x.named.name[x.before%12], After: x.to.name[x.after%12], Interval: int(x.after) - int(x.before),
		BeforeDegree: x.beforeDegree(), AfterDegree: x.afterDegree(),
	}
}

// report tells a phrase that is over.
func (at *phrase) report() Phrase {
	p := Phrase{
		Number: at.number, First: at.first, Last: at.last,
		Notes: at.notes, Outside: at.outside, Unresolved: at.unresolved, Open: at.open,
		Start: at.from.report(), End: at.to.report(), Landing: at.landing,
		Chords: []PhraseChord{}, Crossings: []Crossing{}, Figures: at.figures.report(), FigureCount: at.figures.n + at.figures.nStruck,
	}
	var over *context
	for _, n := range at.kept[:min(at.notes, phraseNotes)] {
		if over == nil || n.context.changes != over.changes {
			p.Chords = append(p.Chords, PhraseChord{Chord: n.context.chord, Chorus: int(n.chorus), Bar: int(n.bar)})
		}
		over = n.context
		last := &p.Chords[len(p.Chords)-1]
		last.Notes = append(last.Notes, n.named.name[n.key%12])
	}
	for i := range at.crossed[:min(at.crossings, phraseCrossings)] {
		p.Crossings = append(p.Crossings, at.crossed[i].report())
	}
	return p
}

// last is the last phrase that is over, the zero Phrase before there is one.
func (p *phrases) last() Phrase {
	number := p.number
	if p.playing {
		number--
	}
	if number == 0 {
		return Phrase{}
	}
	return p.at(number).report()
}
