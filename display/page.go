package display

import (
	"shedlight/analyse"
	"shedlight/analyse/timebase"
)

const (
	// barPad is the room at the start of a bar: the bar line, and a mark and a
	// ring before a note on the first beat.
	barPad = 3
	// minQuarter is how many cells a quarter note must have for the names of
	// eighth notes, spread over the rows of a rail, to be read.
	minQuarter = 3
	// maxQuarter keeps the page of a very wide screen together.
	maxQuarter = 12
)

// page lays the bars of a snapshot's page out over the width of the screen. It
// shows all four where a quarter note gets at least minQuarter cells, else the
// two or the one that are being played. Every cell of a bar stands for the
// same time, whatever the meter.
type page struct {
	bars  []analyse.PageBar
	start int64 // tick of the first bar shown
	end   int64 // tick after the last
	x, w  int   // where it stands and how wide it is, the last bar line included
	num   int64 // cells for den ticks
	den   int64
}

func newPage(p *analyse.Page, now int64, screen int) page {
	if len(p.Bars) == 0 {
		return page{w: screen}
	}
	var out page
	for shown := analyse.PageBars; shown >= 1; shown /= 2 {
		if out = pageOf(p, now, screen, shown); out.num >= minQuarter*out.den/timebase.Quarter {
			break
		}
	}
	return out
}

// pageOf lays out a page of so many bars. A page that the end of the form cuts
// short keeps the scale of a whole one.
func pageOf(p *analyse.Page, now int64, screen, shown int) page {
	first := 0
	for i := range p.Bars {
		if p.Bars[i].Start <= now {
			first = i - i%shown
		}
	}
	last := min(first+shown, len(p.Bars))
	out := page{bars: p.Bars[first:last], start: p.Bars[first].Start, end: p.End}
	if last < len(p.Bars) {
		out.end = p.Bars[last].Start
	}
	whole := (out.end - out.start) * int64(shown) / int64(len(out.bars))
	room := int64(screen - 1 - shown*barPad)
	out.num, out.den = room, max(whole, 1)
	if quarter := min(room*timebase.Quarter/out.den, maxQuarter); quarter >= 1 {
		out.num, out.den = quarter, timebase.Quarter
	}
	full := 1 + shown*barPad + int(whole*out.num/out.den)
	out.x = max((screen-full)/2, 0)
	out.w = out.line(len(out.bars)) + 1 - out.x
	return out
}

// line returns the column of the bar line before bar i of the page, or after
// the last one.
func (p *page) line(i int) int {
	if i == len(p.bars) {
		return p.x + i*barPad + p.cells(p.end-p.start)
	}
	return p.x + i*barPad + p.cells(p.bars[i].Start-p.start)
}

func (p *page) cells(ticks int64) int { return int(ticks * p.num / p.den) }

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
	return p.line(i) + barPad + p.cells(tick-p.bars[i].Start), true
}
