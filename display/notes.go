package display

import (
	"unicode"
	"unicode/utf8"

	"shedlight/analyse"
	"shedlight/analyse/song"
)

// zone is a block of rows that holds notes. near is the row that is filled
// first, the one next to the rail; step leads away from it. rail is the row of a
// rail, where a mark stands for what had no room.
type zone struct {
	near, step, n, rail int
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
	c     *canvas
	taken []bool // by row and column
}

func (p *placing) put(z zone, x int, spellings []string, anchors []int, k ink) {
	for i, text := range spellings {
		start := max(min(x-anchors[i], p.c.w-width(text)), 0)
		for row := 0; row < z.n; row++ {
			if y := z.near + row*z.step; p.free(start, y, text) {
				p.write(start, y, text, k)
				return
			}
		}
	}
	p.c.put(x, z.rail, leftOut, plain|bold)
}

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
	ringed, before := name, 0
	if ring {
		ringed, before = "("+name+")", 1
		k |= bold
	}
	p.put(z, x,
		[]string{mark + ringed, ringed, name, "."},
		[]int{width(mark) + before, before, 0, 0}, k)
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
