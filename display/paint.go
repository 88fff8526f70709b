package display

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"shedlight/analyse"
	"shedlight/analyse/song"
)

// glyphs are the characters of the page, in one of two sets.
type glyphs struct {
	rail, played         string // a rail to come and one that has been played
	upTick, upPlayed     string // a beat on the upper rail
	downTick, downPlayed string // a beat on the lower rail
	bar, cross           string // a bar line, alone and through a rail
	crossed              string // the same where it has been played
	rising, falling      string
	same                 string
}

var unicodeGlyphs = glyphs{
	rail: "─", played: "━", upTick: "┴", upPlayed: "┷", downTick: "┬", downPlayed: "┯",
	bar: "│", cross: "┼", crossed: "┿", rising: "▴", falling: "▾", same: "=",
}

var asciiGlyphs = glyphs{
	rail: "-", played: "=", upTick: "'", upPlayed: "'", downTick: ".", downPlayed: ".",
	bar: "|", cross: "+", crossed: "+", rising: "/", falling: `\`, same: "=",
}

// painter paints frames onto a canvas.
type painter struct {
	options Options
	speller speller
	glyphs  *glyphs
	help    bool // the help page is open

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
	return &painter{options: o, speller: newSpeller(o), glyphs: g}
}

// paint makes the picture of a frame for a screen of the given size.
func (p *painter) paint(f *Frame, w, h int) *canvas {
	p.c.reset(w, h)
	if p.c.w == 0 || p.c.h == 0 {
		return &p.c
	}
	p.at = layout(w, h)
	p.page = newPage(&f.Snapshot.Page, f.Snapshot.Tick, w)
	p.paintTop(f)
	if p.at[upperRail].n > 0 {
		p.paintSymbols(&f.Snapshot)
		p.paintRails(&f.Snapshot)
		p.paintLabels(f)
		p.paintNotes(f)
	}
	p.paintVerdict(f)
	p.paintHeld(&f.Snapshot)
	p.paintOutlined(f)
	p.paintFit(f)
	p.paintCounts(f)
	p.paintFoot(&f.Status)
	if p.help {
		p.paintHelp()
	}
	return &p.c
}

// margin is the column where text begins, in line with the page.
func (p *painter) margin() int {
	if p.c.w < largeWidth {
		return 0
	}
	return max(p.page.x, 1)
}

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

// headline is what stands largest: the chord; the key centre without a chart;
// the beat of the bar while it is counted in.
func (p *painter) headline(s *analyse.Snapshot, sp speller) string {
	switch {
	case s.CountIn > 0:
		return fmt.Sprint(int(s.Beat)) // as a band counts: 1 2 3 4
	case s.HasChart:
		return sp.symbol(s.Chord)
	case s.Centre != "":
		return sp.centre(s.Centre)
	}
	return "no key"
}

func (p *painter) paintTop(f *Frame) {
	s, at := &f.Snapshot, p.at[top]
	beside := p.beside(f)
	if at.n < letterRows {
		one := []piece{{p.headline(s, p.speller), plain | bold}}
		p.line(p.margin(), p.right(), at.y, append(one, beside...))
		return
	}
	limit := p.right()
	col := 0
	for _, one := range beside {
		col = max(col, width(one.text))
	}
	unicode := p.speller
	unicode.ascii = false // the large alphabet has its own ASCII form
	art, ok := large(p.headline(s, unicode), p.options.ASCII)
	if !ok || width(art[0]) > limit-p.margin() {
		p.c.put(p.margin(), at.y+letterRows/2, cut(p.headline(s, p.speller), limit-p.margin()), plain|bold)
		art = [letterRows]string{}
		art[0] = strings.Repeat(" ", width(p.headline(s, p.speller)))
	} else {
		for i, row := range art {
			p.c.put(p.margin(), at.y+i, row, plain|bold)
		}
	}
	if p.margin()+width(art[0])+2*gap+col <= limit {
		y := at.y
		for _, one := range beside {
			if one.text == "" || y == at.y+letterRows {
				continue
			}
			p.c.putRight(limit, y, one.text, one.ink)
			y++
		}
		return
	}
	if at := p.at[where]; at.n > 0 {
		p.line(p.margin(), limit, at.y, beside)
	}
}

// beside is what stands beside the headline, the most needed first.
func (p *painter) beside(f *Frame) []piece {
	s := &f.Snapshot
	var out []piece
	if s.CountIn > 0 {
		out = append(out, piece{"then " + p.speller.symbol(s.Chord), plain | bold})
	} else if f.Ending {
		out = append(out, piece{"then the end", plain | bold})
	} else if s.NextChord != "" {
		out = append(out, piece{"next " + p.speller.symbol(s.NextChord), plain | bold})
	}
	if p.at[verdict].n == 0 {
		name, word, k := lastWord(f, p.speller.name)
		out = append(out, piece{strings.TrimSpace(name + "  " + word), k | bold})
	}
	if s.Bar > 0 {
		place := fmt.Sprintf("bar %d of %d", s.Bar, s.Bars)
		if s.Section != "" {
			place = p.speller.text(s.Section) + "  " + place
		}
		out = append(out, piece{place, plain})
		place = fmt.Sprintf("beat %d", int(s.Beat))
		if s.Chorus > 0 {
			place = fmt.Sprintf("chorus %d  ", s.Chorus) + place
		}
		out = append(out, piece{place, plain})
	}
	if !s.Scale.None() {
		view := "one key"
		if s.Scales {
			view = "each chord"
		}
		if !s.HasChart {
			view = ""
		} else if s.Centre != "" && !s.Scales {
			view = p.speller.centre(s.Centre)
		}
		out = append(out, piece{strings.TrimSpace(p.speller.short(s.Scale) + "  " + view), faint})
	}
	return out
}

func (p *painter) paintSymbols(s *analyse.Snapshot) {
	y, all := p.at[symbols].y, s.Page.Symbols
	for i := range all {
		start := max(all[i].Start, p.page.start)
		end := s.Page.End
		if i+1 < len(all) {
			end = all[i+1].Start
		}
		if end <= p.page.start {
			continue
		}
		x, ok := p.page.column(start)
		if !ok {
			continue
		}
		limit := p.page.x + p.page.w
		if next, ok := p.page.column(end); ok {
			limit = min(limit, next-1)
		}
		k := faint
		if all[i].Start <= s.Tick && s.Tick < end {
			k = plain | bold
		}
		p.c.put(x, y, head(p.speller.symbol(all[i].Symbol), limit-x), k)
	}
}

// paintRails draws both rails, heavy as far as they have been played, with the
// beats on them, and the bar lines through the whole page.
func (p *painter) paintRails(s *analyse.Snapshot) {
	g, page := p.glyphs, &p.page
	now := page.x
	if x, ok := page.column(s.Tick); ok {
		now = x
	} else if len(page.bars) > 0 && s.Tick >= page.end {
		now = page.x + page.w
	}
	ups, downs := p.at[upperRail].y, p.at[lowerRail].y
	for x := page.x; x < page.x+page.w; x++ {
		glyph, k := g.rail, faint
		if x < now {
			glyph, k = g.played, plain
		}
		p.c.put(x, ups, glyph, k)
		p.c.put(x, downs, glyph, k)
	}
	for i, bar := range page.bars {
		for beat := 0; beat < bar.Meter.Beats(); beat++ {
			x, ok := page.column(bar.Start + int64(beat)*bar.Meter.Beat())
			switch {
			case !ok:
			case x < now:
				p.c.put(x, ups, g.upPlayed, plain)
				p.c.put(x, downs, g.downPlayed, plain)
			default:
				p.c.put(x, ups, g.upTick, faint)
				p.c.put(x, downs, g.downTick, faint)
			}
		}
		p.paintBarLine(page.line(i), now)
		if bar.Number > 0 {
			p.c.put(page.line(i)+1, ups, fmt.Sprint(bar.Number), faint)
		}
	}
	if len(page.bars) > 0 {
		p.paintBarLine(page.line(len(page.bars)), now)
	}
}

func (p *painter) paintBarLine(x, now int) {
	for y := p.at[symbols].y; y < p.at[below].y+p.at[below].n; y++ {
		p.c.put(x, y, p.glyphs.bar, faint)
	}
	cross, k := p.glyphs.cross, faint
	if x < now {
		cross, k = p.glyphs.crossed, plain
	}
	p.c.put(x, p.at[upperRail].y, cross, k)
	p.c.put(x, p.at[lowerRail].y, cross, k)
}

func (p *painter) paintLabels(f *Frame) {
	if p.at[upperLabel].n == 0 {
		return
	}
	upperText, lowerText := p.speller.halves(f.Snapshot.Scale)
	if upperText != "" {
		x := p.labelColumn(f, max(width(upperText), width(lowerText))+2)
		p.c.put(x, p.at[upperLabel].y, " "+upperText+" ", home|bold)
		p.c.put(x, p.at[lowerLabel].y, " "+lowerText+" ", half|bold)
	}
	for i := range f.Snapshot.Page.Notes {
		n := &f.Snapshot.Page.Notes[i]
		if _, on := p.page.column(n.Tick); on && f.slipped(n) {
			p.c.putRight(p.page.x+p.page.w-1, p.at[lowerLabel].y, " below: slips ", slip)
			return
		}
	}
}

// labelIndent is how far a bar's first note stands behind where its label does.
const labelIndent = 2

// labelColumn is where the rails are labelled: at the left, and in the view of
// each chord at the bar that is played, since the label holds for it alone.
func (p *painter) labelColumn(f *Frame, cells int) int {
	left := p.page.x + 1
	if !f.Snapshot.Scales {
		return left
	}
	x := left
	for _, b := range f.Snapshot.Page.Bars {
		if column, on := p.page.column(b.Start); on && b.Start <= f.Snapshot.Tick {
			x = column - labelIndent
		}
	}
	return max(left, min(x, p.page.x+p.page.w-1-cells))
}

func (p *painter) paintNotes(f *Frame) {
	if n := p.c.w * p.c.h; cap(p.taken) < n {
		p.taken = make([]bool, n)
	} else {
		p.taken = p.taken[:n]
		clear(p.taken)
	}
	put := placing{c: &p.c, taken: p.taken}
	notes := f.Snapshot.Page.Notes
	var before *analyse.PageNote
	for i := range notes {
		n := &notes[i]
		if n.Role == analyse.Struck {
			continue
		}
		mark := ""
		if before != nil {
			mark = p.glyphs.direction(before.Key, n.Key)
		}
		before = n
		if x, ok := p.page.column(n.Tick); ok {
			put.note(p.zone(n, f.slipped(n)), x, p.speller.name(n.Name), mark, n.ChordTone, inkOf(n, f.slipped(n)))
		}
	}
	for _, n := range p.stacked(notes) {
		if x, ok := p.page.column(n.Tick); ok {
			put.note(p.zone(n, f.slipped(n)), x, p.speller.name(n.Name), "[", n.ChordTone, inkOf(n, f.slipped(n)))
		}
	}
}

// stacked returns the notes of struck chords in the order in which they are
// placed, so that high stands above low: the upper rail is filled from below,
// everything else from above.
func (p *painter) stacked(notes []analyse.PageNote) []*analyse.PageNote {
	p.struck = p.struck[:0]
	for i := range notes {
		if notes[i].Role == analyse.Struck {
			p.struck = append(p.struck, &notes[i])
		}
	}
	slices.SortStableFunc(p.struck, func(a, b *analyse.PageNote) int {
		up := cmp.Compare(a.Key, b.Key)
		if a.Place != song.Home || b.Place != song.Home {
			up = -up
		}
		return cmp.Or(cmp.Compare(a.Place, b.Place), up)
	})
	return p.struck
}

// zone says where a note stands: on its rail, or between the rails while it is
// open, and below only when it has slipped.
func (p *painter) zone(n *analyse.PageNote, slipped bool) zone {
	up, low := p.at[upperRail].y, p.at[lowerRail].y
	switch {
	case n.Place == song.Home:
		at := p.at[upper]
		return zone{near: at.y + at.n - 1, step: -1, n: at.n, rail: up}
	case n.Place == song.Dim:
		return zone{near: p.at[lower].y, step: 1, n: p.at[lower].n, rail: low}
	case slipped && p.at[below].n > 0:
		return zone{near: p.at[below].y, step: 1, n: p.at[below].n, rail: low}
	}
	return zone{near: p.at[between].y, step: 1, n: p.at[between].n, rail: up}
}
