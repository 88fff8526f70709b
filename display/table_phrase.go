package display

import (
	"fmt"
	"math"
	"strings"

	"shedlight/analyse/phrase"
)

// figureRows is how many rows the figures of a phrase have at the most.
const figureRows = 3

// phraseRows lists the phrases: where each began and ended, and on what, and
// below that its first note and its last in the scale, its notes under the
// chords, how it went over each change, and its figures in order.
func phraseRows(r *Review, sp speller) []tableRow {
	var out []tableRow
	for i := range r.Phrases {
		p := &r.Phrases[i]
		name := fmt.Sprint(p.Number)
		if p.Start.Bar > 0 {
			name += fmt.Sprintf(": chorus %d, %s", p.Start.Chorus, barsFromTo(p.Start.Bar, p.End.Bar))
		}
		out = append(out, tableRow{
			name: name, notes: int64(p.Notes), outside: int64(p.Outside), slips: int64(p.Slips()),
			more: append([]string{sp.landing(p)}, phraseWent(&r.Summary, p.First)...), below: sp.toldWhole(p),
		})
	}
	return out
}

// toldWhole is the rows below a phrase.
func (s speller) toldWhole(p *phrase.Phrase) (rows []string) {
	add := func(label, between string, most int, texts []string) {
		if len(texts) > 0 {
			rows = append(rows, flow(tableIndent+label, between, pageWidth, most, texts)...)
		}
	}
	all := func(texts []string) int { return len(texts) + 1 }
	edges := []string{"from " + beatOf(&p.Start) + s.edge(&p.Start), "to " + beatOf(&p.End) + s.edge(&p.End)}
	notes, crossings := s.underChords(p), s.crossings(p)
	add("", ", ", all(edges), edges)
	add("notes: ", " ", all(notes), notes)
	add("across: ", "; ", all(crossings), crossings)
	if made := s.madeOf(tableIndent+"made of: ", p); len(made.texts) > 0 {
		rows = append(rows, made.on(figureRows, pageWidth)...)
	}
	return rows
}

// edge says what the first or the last note of a phrase is: "A over F6 (3 of F6
// dim, six)".
func (s speller) edge(e *phrase.Edge) string {
	text := s.name(e.Name)
	if e.Chord != "" {
		text += " over " + s.symbol(e.Chord)
	}
	scale := e.Scale
	switch {
	case scale.None():
		return text
	case e.Degree == "":
		return text + " (outside " + s.short(scale) + ")"
	}
	return fmt.Sprintf("%s (%s of %s, %s)", text, s.degree(e.Degree), s.short(scale), placeWord(e.Half, scale.Kind))
}

// underChords lists the notes of a phrase, each chord before its first.
func (s speller) underChords(p *phrase.Phrase) (texts []string) {
	for i := range p.Chords {
		c := &p.Chords[i]
		for j, note := range c.Notes {
			text := s.name(note)
			if j == 0 && c.Chord != "" {
				text = s.symbol(c.Chord) + ": " + text
			}
			if j == len(c.Notes)-1 && i < len(p.Chords)-1 {
				text += ";"
			}
			texts = append(texts, text)
		}
	}
	if more := p.Notes - len(texts); more > 0 && len(texts) > 0 {
		texts = append(texts, fmt.Sprintf("and %d more", more))
	}
	return texts
}

// crossings tells how each change of chord was crossed: "C7 to F6: E to F, 3 to
// 1, half step up".
func (s speller) crossings(p *phrase.Phrase) (texts []string) {
	for i := range p.Crossings {
		c := &p.Crossings[i]
		how := crossedBy(c)
		line := s.name(c.Before) + " " + how
		if c.Interval != 0 {
			line = s.name(c.Before) + " to " + s.name(c.After)
		}
		if c.BeforeDegree != "" && c.AfterDegree != "" {
			line += ", " + s.degree(c.BeforeDegree) + " to " + s.degree(c.AfterDegree)
		}
		if c.Interval != 0 {
			line += ", " + how
		}
		texts = append(texts, s.symbol(c.From)+" to "+s.symbol(c.To)+": "+line)
	}
	return texts
}

// crossedBy says how far the line went over a change: "held", "half step up", "fourth
// down".
func crossedBy(c *phrase.Crossing) string {
	direction, size := "up", c.Interval
	if size < 0 {
		direction, size = "down", -size
	}
	if size == 0 {
		return c.Kind
	}
	return interval(size) + " " + direction
}

// interval names a number of half steps, as players do.
func interval(halfSteps int) string {
	names := [...]string{
		"unison", "half step", "whole step", "minor third", "major third", "fourth", "tritone", "fifth",
		"minor sixth", "major sixth", "minor seventh", "major seventh", "octave", "minor ninth", "ninth", "minor tenth",
	}
	if halfSteps < len(names) {
		return names[halfSteps]
	}
	return "leap of more than a tenth"
}

// withArticle puts the article before an interval: "a ninth", "an octave".
func withArticle(interval string) string {
	if strings.HasPrefix(interval, "o") {
		return "an " + interval
	}
	return "a " + interval
}

// beatOf says on which beat a phrase began or ended: "beat 2.5, ", to the tenth of a
// beat; nothing where there are no bars.
func beatOf(e *phrase.Edge) string {
	if e.Bar == 0 {
		return ""
	}
	return "beat " + tenths(e.Beat) + ", "
}

// tenths writes a beat to its tenth; 4.99 is not yet 5.
func tenths(beat float64) string {
	const thousandths, hundred = 1000, 100 // findings tell the thousandths of a beat
	return fmt.Sprintf("%g", float64(int64(math.Round(beat*thousandths))/hundred)/10)
}
