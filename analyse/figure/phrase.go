package figure

import (
	"cmp"
	"shedlight/analyse/song"
	"slices"
)

// phraseFigures is how many figures of a phrase are kept while it is played: three
// bars of eighths in figures of three notes, and more than that nobody takes in.
// Finder.Most keeps more of them.
const phraseFigures = 12

// OfPhrase is a figure of a phrase.
type OfPhrase struct {
	Kind      Kind       `json:"kind"`
	Direction string     `json:"direction"` // "up" or "down"; empty for a chord and what has none
	First     int64      `json:"first"`     // the number of its first note
	Notes     int        `json:"notes"`
	Start     string     `json:"start"`      // its first note by name, without octave; the bass of a chord
	Half      song.Place `json:"half"`       // where that lies: "home", "dim", "outside" or empty
	Chords    []string   `json:"chords"`     // of an arpeggio: the written or the family chord, or those that fit; of a cell, and of a run through its seven tones, the chord
	Tones     int        `json:"tones"`      // of an arpeggio: different ones
	Of        int        `json:"of"`         // as many has the smallest of its chords
	Complete  bool       `json:"complete"`   // an arpeggio that has all tones of one of them
	HalfSteps int        `json:"half_steps"` // in a run between tones a whole step apart, in an arpeggio before a tone of it
	Without   string     `json:"without"`    // the degree that a run through a scale leaves out: "b6"
	Order     string     `json:"order"`      // of a broken arpeggio, by its tones from the lowest up: "1-3-2-4"
	Degrees   string     `json:"degrees"`    // over the chord: of a cell "1-2-3-5", of an upper part of the written chord "3-5-7-9"
	Goal      string     `json:"goal"`       // the tone that an enclosure leads to, the other tone of a trill
	Link      string     `json:"link"`       // to the run or arpeggio before: "shared", "step", "jump" or empty
}

// OfPhrase tells a figure as its phrase does.
func (g Figure) OfPhrase() OfPhrase {
	direction := "down"
	switch {
	case g.Kind == Cell, g.Kind == Enclosure, g.Kind == Repeated, g.Kind == Trill, g.Order != "":
		direction = ""
	case g.Up:
		direction = "up"
	}
	return OfPhrase{
		Kind: g.Kind, Direction: direction, First: g.N, Notes: g.Notes, Start: g.Start, Half: g.Half,
		Chords: append([]string{}, g.Chords...), Tones: g.Tones, Of: g.Of, Complete: g.Complete, HalfSteps: g.HalfSteps,
		Without: g.Without, Order: g.Order, Degrees: g.Degrees, Goal: g.Goal, Link: g.Link.String(),
	}
}

// inPhrase tells a struck chord as its phrase does.
func (c *struckChord) inPhrase() OfPhrase {
	return OfPhrase{
		Kind: StruckChord, First: c.n, Notes: c.notes, Start: c.context.Name[c.bass], Half: c.context.Place[c.bass],
		Chords: []string{c.report().Name},
	}
}

// InPhrase is the figures of one phrase, in order: those of the line, and
// the chords struck between its first note and its last.
type InPhrase struct {
	most       int // are told
	first      [phraseFigures]figure
	n          int // all of them
	struck     [phraseFigures]struckChord
	nStruck    int // all of them
	more       []figure
	moreStruck []struckChord
}

func (f *Finder) inPhrase(g *figure) {
	p := &f.phrase
	switch {
	case p.n < phraseFigures:
		p.first[p.n] = *g
	case p.n < f.Most:
		p.more = append(p.more, *g)
	}
	p.n++
}

func (f *Finder) struckInPhrase(c *struckChord) {
	p := &f.phrase
	switch {
	case p.nStruck < phraseFigures:
		p.struck[p.nStruck] = *c
	case p.nStruck < f.Most:
		p.moreStruck = append(p.moreStruck, *c)
	}
	p.nStruck++
}

// pendingChords is the chords struck since the last note of the line, the latest
// of them: they are in the phrase if it goes on. What the left hand strikes below
// the split is not among them.
type pendingChords struct {
	chords   [phraseFigures]pendingChord // chord i is at i modulo phraseFigures
	n        int
	earliest int64          // last of the first of them
	older    []pendingChord // those before chords, where more are kept
}

type pendingChord struct {
	struckChord
	last int64 // the number of the last note struck at that moment
}

func (f *Finder) pend(c struckChord, last int64) {
	p := &f.pending
	slot := &p.chords[p.n%phraseFigures]
	switch {
	case p.n == 0:
		p.earliest = last
	case p.n >= phraseFigures && p.n < f.Most:
		p.older = append(p.older, *slot)
	}
	*slot = pendingChord{struckChord: c, last: last}
	p.n++
}

// pendingInto puts the chords that were struck since the last note of the line into
// the phrase whose first note is opener, if they were struck in it.
func (f *Finder) pendingInto(opener int64) {
	p := &f.pending
	strike := func(c *pendingChord) {
		if c.last >= opener {
			f.struckInPhrase(&c.struckChord)
		}
	}
	for i := range p.older {
		strike(&p.older[i])
	}
	before := max(0, p.n-phraseFigures)
	for i := before; i < p.n; i++ {
		strike(&p.chords[i%phraseFigures])
	}
	if p.earliest >= opener {
		f.phrase.nStruck += before - len(p.older) // they are counted all the same
	}
	p.n, p.older = 0, p.older[:0]
}

// Report lists the figures in the order of their first notes: the first 12, or as many
// as Finder.Most says.
func (p *InPhrase) Report() []OfPhrase {
	out := []OfPhrase{}
	line := func(figures []figure) {
		for i := range figures {
			out = append(out, figures[i].report().OfPhrase())
		}
	}
	struck := func(chords []struckChord) {
		for i := range chords {
			out = append(out, chords[i].inPhrase())
		}
	}
	line(p.first[:min(p.n, phraseFigures)])
	line(p.more)
	struck(p.struck[:min(p.nStruck, phraseFigures)])
	struck(p.moreStruck)
	slices.SortStableFunc(out, func(a, b OfPhrase) int { return cmp.Compare(a.First, b.First) })
	return out[:min(len(out), p.most)] // between those behind them some may be missing
}

// Rest ends the figures that are under way: the phrase is over. It gives those of
// the phrase to its owner.
func (f *Finder) Rest(of *InPhrase) {
	f.end()
	f.phrase.most = max(phraseFigures, f.Most)
	*of = f.phrase
	f.phrase.n, f.phrase.nStruck, f.phrase.more, f.phrase.moreStruck = 0, 0, nil, nil
}

// Count returns how many figures there are, struck chords included, and how many of
// them are struck chords.
func (p *InPhrase) Count() (all, struck int) { return p.n + p.nStruck, p.nStruck }
