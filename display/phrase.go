package display

import (
	"fmt"

	"shedlight/analyse/phrase"
	"shedlight/analyse/song"
)

// phrase tells a phrase in a line: "landed on the 3rd - 1 outside, bar 6". The bar
// is the one it ends in.
func (s speller) phrase(p *phrase.Phrase) string {
	return s.landing(p) + " - " + inBar(p)
}

// inBar says how a phrase lay on the scale, and in which bar it ended: "1 outside,
// bar 6".
func inBar(p *phrase.Phrase) string {
	text := outsideOf(p)
	if p.End.Bar > 0 {
		text += fmt.Sprintf(", bar %d", p.End.Bar)
	}
	if p.Open > 0 {
		text += fmt.Sprintf(", %d still open", p.Open)
	}
	return text
}

// ended says what a phrase ended on and how it lay on the scale.
func (s speller) ended(p *phrase.Phrase) string { return s.landing(p) + " - " + outsideOf(p) }

// landing says what a phrase ended on.
func (s speller) landing(p *phrase.Phrase) string {
	switch {
	case p.Landing == phrase.LandedOnChord:
		return "landed on " + s.degreeWords(p.End.ChordDegree)
	case p.Landing == phrase.EndedAtRest:
		return "ended on " + s.degreeWords(p.End.ChordDegree)
	case p.Landing == phrase.LeftHanging && p.End.Half == song.Outside:
		return "ended outside, on " + s.name(p.End.Name)
	case p.Landing == phrase.LeftHanging && p.End.Wants != "":
		return fmt.Sprintf("%s held over %s: it wants %s", s.name(p.End.Name), s.symbol(p.End.Chord), s.name(p.End.Wants))
	}
	return "ended on " + s.name(p.End.Name)
}

// landed is the shortest form of landing: "on the 3rd", "F > E".
func (s speller) landed(p *phrase.Phrase) string {
	switch {
	case p.Landing == phrase.LandedOnChord, p.Landing == phrase.EndedAtRest:
		return "on " + s.degreeWords(p.End.ChordDegree)
	case p.Landing == phrase.LeftHanging && p.End.Half != song.Outside && p.End.Wants != "":
		return s.name(p.End.Name) + " > " + s.name(p.End.Wants)
	}
	return "on " + s.name(p.End.Name)
}

// outsideOf says how many notes of a phrase were outside: "2 outside, 1 slip".
// Where there was no scale it says how many there were.
func outsideOf(p *phrase.Phrase) string {
	began, ended := p.Start.Half != song.NoPlace, p.End.Half != song.NoPlace
	switch {
	case p.Outside == 0 && !began && !ended:
		return fmt.Sprintf("%d notes", p.Notes)
	case p.Slips() > 0:
		return fmt.Sprintf("%d outside, %s", p.Outside, count(int64(p.Slips()), "slip"))
	case p.Outside == 0:
		return "none outside"
	}
	return fmt.Sprintf("%d outside", p.Outside)
}

// degreeWords writes a degree of a chord as it is said: "the 3rd", "the root",
// "the ♭9".
func (s speller) degreeWords(degree string) string {
	switch degree {
	case "1":
		return "the root"
	case "3":
		return "the 3rd"
	case "maj3":
		return "the major 3rd"
	case "maj7":
		return "the major 7th"
	case "4", "5", "6", "7", "9", "11", "13":
		return "the " + degree + "th"
	}
	return "the " + s.degree(degree)
}
