package display

import (
	"unicode"
	"unicode/utf8"

	"shedlight/analyse"
	"shedlight/analyse/song"
)

// zone is a block of rows that holds notes. near is the row that is filled
// first, the one next to the rail; step leads away from it, in rows of the screen.
// rail is the row of a rail, where a mark stands for what had no room.
type zone struct {
	near, step, n, rail int
	high                int // rows of the screen for each of its own
}

// leftOut marks the place on a rail where notes had no room at all. It is a sign
// that no rail has, in either set of glyphs.
const leftOut = "*"

// placing writes the notes of a page into their zones, each with its name in
// the column of its onset:
//
//  1. A line note is its name with a mark before it for up, down or the same,
//     as against the line note before, and with a ring if it is a tone of the
//     written chord. A note of a struck chord has a bracket in place of the
//     mark, so that a chord is a stack behind a bracket.
//  2. A note takes the first row, counted from its rail, where it touches no
//     other. A stream of eighth notes so spreads over the rows of its rail.
//  3. Where no row has room it goes without its mark, then without its ring,
//     then it is a dot; and where not even a dot has room it is left out and its
//     rail gets a mark in its column. The counts below the page have every note.
//
// Line notes are placed first, in the order in which they were played: no
// chord hides the line, and no note moves because of a later one.
type placing struct {
	c      *canvas
	taken  []bool // by row and column
	scribe *scribe
}

func (p *placing) put(z zone, x int, spellings [][]string, anchors []int, k ink) {
	for i, art := range spellings {
		start := max(min(x-anchors[i], p.c.w-width(art[0])), 0)
		for row := 0; row < z.n; row++ {
			y := z.near + row*z.step
			if !p.freeFor(start, y, art) {
				continue
			}
			for i, text := range art {
				p.write(start, y+i, text, k)
			}
			return
		}
	}
	p.c.put(x, z.rail, leftOut, plain|bold)
}

// freeFor reports whether a name can stand somewhere. Large letters need a cell of
// distance on both sides.
func (p *placing) freeFor(x, y int, art []string) bool {
	for i, text := range art {
		if !p.free(x, y+i, text) || len(art) > 1 && (p.at(x-1, y+i) || p.at(x+width(text), y+i)) {
			return false
		}
	}
	return true
}

// at reports whether a note stands in a cell.
func (p *placing) at(x, y int) bool { return x >= 0 && x < p.c.w && p.taken[y*p.c.w+x] }

// free reports whether a text can stand somewhere without touching a name. A
// mark, a ring or a bracket is distance enough.
func (p *placing) free(x, y int, text string) bool {
	w := width(text)
	for i := x; i < x+w; i++ {
		if i >= p.c.w || p.taken[y*p.c.w+i] {
			return false
		}
	}
	first, _ := utf8.DecodeRuneInString(text)
	if x > 0 && p.taken[y*p.c.w+x-1] && unicode.IsLetter(first) {
		return false
	}
	if x+w < p.c.w && p.taken[y*p.c.w+x+w] {
		next, _ := utf8.DecodeRuneInString(p.c.cells[y*p.c.w+x+w].text)
		return !unicode.IsLetter(next)
	}
	return true
}

func (p *placing) write(x, y int, text string, k ink) {
	p.c.put(x, y, text, k)
	for i := x; i < x+width(text); i++ {
		p.taken[y*p.c.w+i] = true
	}
}

// note writes one note. mark says how it stands to the line note before; it is
// empty for the first.
func (p *placing) note(z zone, x int, name, mark string, ring bool, k ink) {
	art := p.name(name, z.high)
	ringed, before := art, 0
	if ring {
		open, shut := p.name("(", z.high), p.name(")", z.high)
		if z.high > 1 {
			air := inMiddle(" ", z.high)
			open, shut = beside(open, air), beside(air, shut)
		}
		ringed, before = beside(open, art, shut), width(open[0])
		k |= bold
	}
	marked := ringed
	if mark != "" {
		marked = beside(inMiddle(mark, z.high), ringed)
	}
	p.put(z, x,
		[][]string{marked, ringed, art, onLast(".", z.high)},
		[]int{width(mark) + before, before, 0, 0}, k)
}

// name writes a name in so many rows, 1 or smallRows.
func (p *placing) name(text string, high int) []string {
	if high == smallRows {
		if art, ok := p.scribe.lettering(text, high); ok {
			return art
		}
	}
	return inMiddle(text, high)
}

// beside sets texts of the same height side by side.
func beside(arts ...[]string) []string {
	out := make([]string, len(arts[0]))
	for _, art := range arts {
		for i := range out {
			out[i] += art[i]
		}
	}
	return out
}

// inMiddle and onLast write a text in the middle and in the last of so many rows.
func inMiddle(text string, high int) []string { return inRow(text, high/2, high) }
func onLast(text string, high int) []string   { return inRow(text, high-1, high) }

func inRow(text string, row, high int) []string {
	out := make([]string, high)
	for i := range out {
		out[i] = pad("", width(text))
	}
	out[row] = text
	return out
}

// direction marks how a line note stands to the one before.
func (g *glyphs) direction(from, to uint8) string {
	switch {
	case to > from:
		return g.rising
	case to < from:
		return g.falling
	}
	return g.same
}

// inkOf returns the ink of a note by its place, or as one that has slipped.
func inkOf(n *analyse.PageNote, slipped bool) ink {
	switch {
	case n.Place == song.Home:
		return home
	case n.Place == song.Dim:
		return half
	case slipped:
		return slip
	}
	return plain
}
