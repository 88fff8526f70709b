package display

import "shedlight/analyse"

// glyphs are the characters of the page, in one of two sets.
type glyphs struct {
	rail, played         string // a rail to come and one that has been played
	upTick, upPlayed     string // a beat on the upper rail
	downTick, downPlayed string // a beat on the lower rail
	bar, cross           string // a bar line, alone and through a rail
	crossed              string // the same where it has been played
	rising, falling      string
	same                 string
	full, empty          string // a beat that has come and one to come
}

var unicodeGlyphs = glyphs{
	rail: "─", played: "━", upTick: "┴", upPlayed: "┷", downTick: "┬", downPlayed: "┯",
	bar: "│", cross: "┼", crossed: "┿", rising: "▴", falling: "▾", same: "=", full: "█", empty: "░",
}

var asciiGlyphs = glyphs{
	rail: "-", played: "=", upTick: "'", upPlayed: "'", downTick: ".", downPlayed: ".",
	bar: "|", cross: "+", crossed: "+", rising: "/", falling: `\`, same: "=", full: "#", empty: ".",
}

// painter paints frames onto a canvas.
type painter struct {
	options Options
	speller speller
	glyphs  *glyphs
	scribe  scribe
	help    helpPage // the page of help that is open
	asks    bool     // it has what a player can ask for

	c     canvas
	at    [parts]rows
	page  page
	taken []bool

	struck []*analyse.PageNote
	chorus chorusNews
}

func newPainter(o Options) *painter {
	g := &unicodeGlyphs
	if o.ASCII {
		g = &asciiGlyphs
	}
	return &painter{options: o, speller: newSpeller(o), glyphs: g, scribe: scribe{ascii: o.ASCII}}
}

// paint makes the picture of a frame for a screen of the given size.
func (p *painter) paint(f *Frame, w, h int) *canvas {
	p.c.reset(w, h)
	if p.c.w == 0 || p.c.h == 0 {
		return &p.c
	}
	if f.Start != nil {
		p.paintStart(f.Start)
	} else {
		p.paintSession(f, w, h)
	}
	if p.help != noHelp {
		p.paintHelp(f.Start != nil)
	}
	return &p.c
}

// paintSession makes the picture of a frame of a session.
func (p *painter) paintSession(f *Frame, w, h int) {
	p.at = layout(w, h, f.Snapshot.Hands)
	in := room{screen: w, pad: barPad + p.unit() - 1}
	if p.byTone() {
		in.labels = p.unit() * nameCells
	}
	p.page = newPage(&f.Snapshot.Page, f.Snapshot.Tick, in)
	p.paintTop(f)
	p.paintBeats(f)
	if p.at[upperRail].n > 0 {
		p.paintChart(f)
		p.paintRails(&f.Snapshot)
		p.paintLabels(f)
		p.paintNotes(f)
		p.paintHands(&f.Snapshot)
	}
	one := p.says(f)
	p.paintSaid(f, one)
	p.paintLately(one)
	p.paintCounts(f)
	p.paintFoot(f, one)
}

// margin is the column where text begins, in line with the page and its names.
func (p *painter) margin() int {
	if p.c.w < largeWidth {
		return 0
	}
	return max(p.page.x-p.page.labels, 1)
}

// byTone reports whether each tone of the scale has a row of its own.
func (p *painter) byTone() bool { return p.at[upper].n >= halfTones }

// unit is how many rows of the screen a row of the page takes: one, or as many as a
// small large letter.
func (p *painter) unit() int {
	if p.at[upper].n >= halfTones*smallRows {
		return smallRows
	}
	return 1
}

// nameCells is how many cells the names of the tones have at the left of the page.
const nameCells = 3

// right is the column after the last one for text.
func (p *painter) right() int {
	if p.c.w < largeWidth {
		return p.c.w
	}
	return p.c.w - p.margin()
}

// piece is a text with its ink.
type piece struct {
	text string
	ink  ink
}

// line writes pieces one after the other, with two cells between them, as far
// as they fit up to a column; a first one that is too long is cut.
func (p *painter) line(x, limit, y int, pieces []piece) {
	first := true
	for _, one := range pieces {
		if one.text == "" {
			continue
		}
		if !first {
			x += gap
		}
		if x+width(one.text) > limit {
			if first {
				p.c.put(x, y, cut(one.text, max(limit-x, 0)), one.ink)
			}
			return
		}
		x = p.c.put(x, y, one.text, one.ink)
		first = false
	}
}

// gap is the distance between pieces of a line, in cells.
const gap = 2
