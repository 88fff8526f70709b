package changes

import (
	"strings"
	"unicode"

	"shedlight/analyse/harmony"
)

// hand is how a chart is written throughout, which decides what single symbols
// mean: with small letters, with the German H, with bar lines.
type hand struct {
	capitals int // roots
	german   bool
	bars     bool
}

func (h hand) allLower() bool { return h.capitals == 0 }

// handOf looks through the lines of a chart, without reading them.
func handOf(lines []string) hand {
	var h hand
	for _, line := range lines {
		if _, size, ok := sectionHead(line); ok {
			line = string([]rune(line)[size:])
		} else if _, _, ok := headerLine(line); ok {
			continue
		}
		line = strings.Map(plainSign, line)
		h.bars = h.bars || strings.Contains(line, "|")
		h.seeAll(line)
	}
	return h
}

// seeAll sees the words of a line of chords.
func (h *hand) seeAll(line string) {
	for _, word := range strings.FieldsFunc(line, func(r rune) bool { return unicode.IsSpace(r) || r == '|' || r == ',' }) {
		if word[0] == '#' {
			return // a comment, or no root
		}
		h.see(strings.Trim(word, "()/."))
	}
}

// see counts the root of a word that is a chord.
func (h *hand) see(word string) {
	if word == "" || word == "b" || isAlteration(word, "b") {
		return
	}
	if _, err := harmony.ParseSymbol(word); err != nil {
		return
	}
	switch c := word[0]; {
	case c >= 'A' && c <= 'H':
		h.capitals++
		h.german = h.german || c == 'H' || strings.Contains(word, "/H")
	case c == 'h':
		h.german = true
	}
}
