package material

import (
	"fmt"
	"strings"

	"shedlight/analyse/timebase"
)

// How music is written as text, by Write and for Read.
const (
	restWord  = "r" // an eighth of silence
	holdWord  = "-" // what sounds goes on for an eighth
	barSign   = "|"
	chordSign = ":" // behind a chord's symbol
)

// Bars writes the music of each bar, in ASCII: a chord as its symbol and a colon, an
// eighth as a note with its octave, "r" for a rest, "-" for what is held on, the three
// notes of a triplet in brackets, another meter than the bar before had in braces.
func (e *Exercise) Bars() []string {
	var out []string
	meter := timebase.Common
	for _, bar := range e.Line.Bars {
		var words []string
		if bar.Meter != meter {
			meter = bar.Meter
			words = append(words, "{"+meter.String()+"}")
		}
		end := bar.Start + bar.Meter.Bar()
		for tick := bar.Start; tick < end; {
			if slot := e.Line.Slots[e.Line.SlotAt(tick, 0)]; slot.Start == tick || tick == bar.Start {
				words = append(words, slot.Symbol+chordSign)
			}
			word, took := e.word(tick)
			words = append(words, word)
			tick += took
		}
		out = append(out, strings.Join(words, " "))
	}
	return out
}

// word is what stands for the eighth, or the beat of a triplet, at a tick.
func (e *Exercise) word(tick int64) (word string, took int64) {
	for i, n := range e.Notes {
		switch {
		case n.Tick == tick && n.Length%eighth != 0:
			return fmt.Sprintf("(%s %s %s)", e.Pitch(i), e.Pitch(i+1), e.Pitch(i+2)), 2 * eighth
		case n.Tick == tick:
			return e.Pitch(i).String(), eighth
		case n.Tick < tick && n.end() > tick:
			return holdWord, eighth
		}
	}
	return restWord, eighth
}

// Rows writes the music in rows of whole bars that are no wider than so many
// characters, where a bar is not.
func (e *Exercise) Rows(width int) []string {
	var rows []string
	row := ""
	for _, bar := range e.Bars() {
		if row != "" && len(row)+len(bar)+len(" "+barSign+" ") > width {
			rows = append(rows, row)
			row = ""
		}
		if row == "" {
			row = barSign
		}
		row += " " + bar + " " + barSign
	}
	return append(rows, row)
}
