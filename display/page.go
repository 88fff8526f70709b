package display

import (
	"shedlight/analyse"
	"shedlight/analyse/timebase"
)

const (
	// barPad is the room at the start of a bar: the bar line, and a mark and a
	// ring before a note on the first beat. A large ring takes more.
	barPad = 3
	// minQuarter is how many cells a quarter note must have for the names of
	// eighth notes, spread over the rows of a rail, to be read.
	minQuarter = 3
	// maxQuarter keeps the page of a very wide screen together.
	maxQuarter = 12
)

// room is what a page has of the width of a screen, in cells.
type room struct {
	screen int
	labels int // for the names of the tones, at its left
	pad    int // at the start of each bar
}

// page lays the bars of a snapshot's page out over the width of the screen. It
// shows all four where a quarter note gets at least minQuarter cells, else the
// two or the one that are being played. Every cell of a bar stands for the
// same time, whatever the meter.
type page struct {
	line  *analyse.PageLine // the line of the chart that it shows
	shown int               // as many bars has a whole page
	bars  []analyse.PageBar
	start int64 // tick of the first bar shown
	end   int64 // tick after the last
	x, w  int   // where it stands and how wide it is, the last bar line included
	num   int64 // cells for den ticks
	den   int64

	room
}

func newPage(p *analyse.Page, now int64, in room) page {
	if len(p.Bars) == 0 {
		return page{w: in.screen}
	}
	var out page
	for shown := analyse.PageBars; shown >= 1; shown /= 2 {
		first := 0
		for i := range p.Bars {
			if p.Bars[i].Start <= now {
				first = i - i%shown
			}
		}
		if out = pageOf(&p.PageLine, first, shown, in); out.num >= minQuarter*out.den/timebase.Quarter {
			break
		}
	}
	return out
}

// pageOf lays out so many bars of a line of the chart. A page that the end of the
// form cuts short keeps the scale of a whole one.
func pageOf(line *analyse.PageLine, first, shown int, in room) page {
	last := min(first+shown, len(line.Bars))
	out := page{line: line, bars: line.Bars[first:last], shown: shown, room: in, start: line.Bars[first].Start, end: line.End}
	if last < len(line.Bars) {
		out.end = line.Bars[last].Start
	}
	whole := (out.end - out.start) * int64(shown) / int64(len(out.bars))
	cells := int64(in.screen - in.labels - 1 - shown*in.pad)
	out.num, out.den = cells, max(whole, 1)
	if quarter := min(cells*timebase.Quarter/out.den, maxQuarter); quarter >= 1 {
		out.num, out.den = quarter, timebase.Quarter
	}
	full := 1 + shown*in.pad + int(whole*out.num/out.den)
	out.x = max((in.screen-in.labels-full)/2, 0) + in.labels
	out.w = out.edge(len(out.bars)) + 1 - out.x
	return out
}

// after lays out what comes behind this page, in so many pages of as many bars.
func (g *page) after(p *analyse.Page, pages int) (out []page) {
	lay := func(line *analyse.PageLine) {
		for first := 0; first < len(line.Bars) && len(out) < pages; first += g.shown {
			if line.Bars[first].Start >= g.end {
				out = append(out, pageOf(line, first, g.shown, g.room))
			}
		}
	}
	lay(&p.PageLine)
	for i := range p.Ahead {
		lay(&p.Ahead[i])
	}
	return out
}

// edge returns the column of the bar line before bar i of the page, or after
// the last one.
func (p *page) edge(i int) int {
	if i == len(p.bars) {
		return p.x + i*p.pad + p.cells(p.end-p.start)
	}
	return p.x + i*p.pad + p.cells(p.bars[i].Start-p.start)
}

// stretch is the column where a tick stands, and how many cells a text has there up to
// what stands at a later one, or to the end of the page.
func (p *page) stretch(from, to int64) (x, cells int, ok bool) {
	x, ok = p.column(from)
	limit := p.x + p.w
	if next, on := p.column(to); on {
		limit = next - 1
	}
	return x, limit - x, ok
}

func (p *page) cells(ticks int64) int { return int(ticks * p.num / p.den) }

// played returns the column up to which the page has been played, as it is counted, by
// half beats: a line that crept on by cells would be a picture of its own for each.
func (p *page) played(tick int64) (x int) {
	switch {
	case len(p.bars) == 0 || tick < p.start:
		return p.x
	case tick >= p.end:
		return p.x + p.w
	}
	i := len(p.bars) - 1
	for i > 0 && p.bars[i].Start > tick {
		i--
	}
	within := tick - p.bars[i].Start
	x, _ = p.column(tick - within%(p.bars[i].Meter.Beat()/2))
	return x
}

// column returns where a tick stands; ok is false for one that is not on the
// page.
func (p *page) column(tick int64) (x int, ok bool) {
	if tick < p.start || tick >= p.end {
		return 0, false
	}
	i := len(p.bars) - 1
	for i > 0 && p.bars[i].Start > tick {
		i--
	}
	return p.edge(i) + p.pad + p.cells(tick-p.bars[i].Start), true
}
