package analyse_test

import (
	"fmt"
	"strings"

	"shedlight/analyse/phrase"
	"shedlight/analyse/song"
)

// sayPhrase tells a phrase in a line: "landed on the 3rd - 1 outside, bar 6". The
// bar is the one it ends in.
func sayPhrase(p phrase.Phrase) string {
	if p.Number == 0 {
		return ""
	}
	var b strings.Builder
	switch outside := p.End.Half == song.Outside; {
	case p.Landing == phrase.LandedOnChord:
		fmt.Fprintf(&b, "landed on %s", degreeWords(p.End.ChordDegree))
	case p.Landing == phrase.EndedAtRest:
		fmt.Fprintf(&b, "ended on %s", degreeWords(p.End.ChordDegree))
	case p.Landing == phrase.LeftHanging && outside:
		fmt.Fprintf(&b, "ended outside, on %s", p.End.Name)
	case p.Landing == phrase.LeftHanging:
		fmt.Fprintf(&b, "left hanging on %s", degreeWords(p.End.ChordDegree))
	default:
		fmt.Fprintf(&b, "ended on %s", p.End.Name)
	}
	switch {
	case p.Start.Half == song.NoPlace && p.End.Half == song.NoPlace && p.Outside == 0:
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

// degreeWords writes a degree of a chord as it is said: "the 3rd", "the root",
// "the b9".
func degreeWords(degree string) string {
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
	return "the " + degree
}
