package display

import (
	"cmp"
	"fmt"
	"slices"

	"shedlight/analyse"
	"shedlight/analyse/fate"
	"shedlight/analyse/song"
)

// paintChart writes the line of the chart that is played above the page, and those
// that come below it.
func (p *painter) paintChart(f *Frame) {
	high := p.unit()
	p.paintSymbols(&p.page, rows{p.at[symbols].y, high}, f.Snapshot.Tick)
	for i, next := range p.page.after(&f.Snapshot.Page, p.at[ahead].n/high) {
		if next.line.Again && f.LastChorus {
			return
		}
		at := rows{p.at[ahead].y + i*high, high}
		for bar := range len(next.bars) + 1 {
			for row := range high {
				p.c.put(next.edge(bar), at.y+row, p.glyphs.bar, faint)
			}
		}
		p.paintSymbols(&next, at, f.Snapshot.Tick)
	}
}

// paintSymbols writes the chord symbols of a page, large where they have the rows
// and the room.
func (p *painter) paintSymbols(on *page, at rows, now int64) {
	if on.line == nil {
		return
	}
	all := on.line.Symbols
	for i := range all {
		start := max(all[i].Start, on.start)
		end := on.line.End
		if i+1 < len(all) {
			end = all[i+1].Start
		}
		if end <= on.start {
			continue
		}
		x, cells, ok := on.stretch(start, end)
		if !ok {
			continue
		}
		k := plain
		if all[i].Start <= now && now < end {
			k |= bold
		}
		text := p.speller.symbol(all[i].Symbol)
		art, ok := p.scribe.lettering(text, smallRows)
		if !ok || at.n < smallRows || width(art[0]) > cells {
			art = []string{head(text, cells)}
		}
		p.block(x, at, art, k)
	}
}

// paintRails draws both rails, heavy as far as they have been played (page.played), with
// the beats on them, and the bar lines through the whole page.
func (p *painter) paintRails(s *analyse.Snapshot) {
	g, page := p.glyphs, &p.page
	now := page.played(s.Tick)
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
		p.paintBarLine(page.edge(i), now)
		if bar.Number > 0 {
			p.c.put(page.edge(i)+1, ups, fmt.Sprint(bar.Number), faint)
		}
	}
	if len(page.bars) > 0 {
		p.paintBarLine(page.edge(len(page.bars)), now)
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

// paintLabels names the rows of the tones at the left of the page, each by its tone of
// the scale that is active now. A page with few rows has no room for that.
func (p *painter) paintLabels(f *Frame) {
	if below := p.at[below]; below.n > 0 && slices.ContainsFunc(f.Snapshot.Page.Notes, func(n analyse.PageNote) bool {
		_, on := p.page.column(n.Tick)
		return on && f.slipped(&n)
	}) {
		p.c.putRight(p.page.x+p.page.w-1, below.y+below.n-1, " slips ", slip)
	}
	scale := p.speller.scale(f.Snapshot.Scale)
	if !p.byTone() || scale.None() {
		return
	}
	there, put := speller{ascii: p.speller.ascii}, placing{scribe: &p.scribe}
	for i, tone := range scale.Tones() {
		z, k := p.row(i), home
		if i%2 == 1 {
			k = half
		}
		art := put.name(there.print(tone), z.high)
		p.block(p.page.x-1-width(art[0]), rows{z.near, z.high}, art, k|bold)
	}
}

// row is where the notes of a tone of the scale stand, where each has a row: the
// higher tone of a half above the lower.
func (p *painter) row(tone int) zone {
	at, rail := p.at[upper], p.at[upperRail].y
	if tone%2 == 1 {
		at, rail = p.at[lower], p.at[lowerRail].y
	}
	high := p.unit()
	return zone{near: at.y + (halfTones-1-tone/2)*high, n: 1, rail: rail, high: high}
}

func (p *painter) paintNotes(f *Frame) {
	if n := p.c.w * p.c.h; cap(p.taken) < n {
		p.taken = make([]bool, n)
	} else {
		p.taken = p.taken[:n]
		clear(p.taken)
	}
	put := placing{c: &p.c, taken: p.taken, scribe: &p.scribe}
	notes := f.Snapshot.Page.Notes
	var before *analyse.PageNote
	p.struck = p.struck[:0]
	for i := range notes {
		n := &notes[i]
		switch {
		case n.Left && !f.slipped(n): // its chords stand above the page by name
			continue
		case n.Role == analyse.Struck:
			p.struck = append(p.struck, n)
			continue
		}
		mark := ""
		if before != nil {
			mark = p.glyphs.direction(before.Key, n.Key)
		}
		before = n
		p.paintNote(f, n, mark, &put)
	}
	for _, n := range p.stacked() {
		p.paintNote(f, n, "[", &put)
	}
	p.paintFates(f, &put)
}

// paintNote writes a note behind a mark, but where its tone has a row of its own and
// stands there already, at the same time in another octave.
func (p *painter) paintNote(f *Frame, n *analyse.PageNote, mark string, put *placing) {
	x, on := p.page.column(n.Tick)
	if !on {
		return
	}
	slipped, name := f.slipped(n), p.speller.name(n.Name)
	z := p.zone(n, slipped)
	if p.byTone() && n.Row >= 0 && put.at(x, z.near+z.high/2) {
		return
	}
	// A ring costs the room of the note after it where there is one row for all; what is
	// written gets its word.
	ring := n.ChordTone && (z.n > 1 || n.Place != song.Outside)
	put.note(z, x, name, mark, ring, inkOf(n, slipped))
}

// paintFates writes beside each outside note between the rails what became of it, as
// far as there is room: no word takes that of a note.
func (p *painter) paintFates(f *Frame, put *placing) {
	for i := range f.Snapshot.Page.Notes {
		n := &f.Snapshot.Page.Notes[i]
		x, on := p.page.column(n.Tick)
		if !on || n.Place != song.Outside || n.Fate <= fate.Pending || n.Left || f.slipped(n) {
			continue
		}
		z := p.zone(n, false)
		name := put.name(p.speller.name(n.Name), z.high)
		for row := range z.n {
			y := z.near + row*z.step
			if p.c.at(x, y) != head(name[0], 1) || !put.at(x, y) {
				continue
			}
			word := fateWord(n.Fate, p.speller.degree(n.Colour))
			if at := x + width(name[0]); put.free(at, y+z.high/2, " "+word) {
				put.write(at, y+z.high/2, " "+word, faint)
				break
			}
			for row++; row < z.n; row++ { // else below it
				if y := z.near + row*z.step; put.free(x, y, word+" ") {
					put.write(x, y, word+" ", faint)
					break
				}
			}
			break
		}
	}
}

// stacked returns the notes of struck chords in the order in which they are
// placed, so that high stands above low: the upper rail is filled from below,
// everything else from above.
func (p *painter) stacked() []*analyse.PageNote {
	slices.SortStableFunc(p.struck, func(a, b *analyse.PageNote) int {
		up := cmp.Compare(a.Key, b.Key)
		if a.Place != song.Home || b.Place != song.Home {
			up = -up
		}
		return cmp.Or(cmp.Compare(a.Place, b.Place), up)
	})
	return p.struck
}

// zone says where a note stands: in the row of its tone or on its rail, or between the
// rails while it is open, and below only when it has slipped.
func (p *painter) zone(n *analyse.PageNote, slipped bool) zone {
	down := func(at part, rail part) zone {
		high := min(p.unit(), p.at[at].n)
		return zone{near: p.at[at].y, step: high, n: p.at[at].n / max(high, 1), rail: p.at[rail].y, high: high}
	}
	switch {
	case p.at[below].n > 0 && (n.Left || n.Place == song.Outside && slipped):
		return down(below, lowerRail)
	case n.Row >= 0 && p.byTone():
		return p.row(n.Row)
	case n.Place == song.Home:
		at := p.at[upper]
		return zone{near: at.y + at.n - 1, step: -1, n: at.n, rail: p.at[upperRail].y, high: 1}
	case n.Place == song.Dim:
		return down(lower, lowerRail)
	}
	return down(between, upperRail)
}

// paintHands names the chords of the left hand above the page.
func (p *painter) paintHands(s *analyse.Snapshot) {
	at := p.at[hands]
	if at.n == 0 {
		return
	}
	chords := s.Page.Chords
	for i := range chords {
		until := p.page.end
		if i+1 < len(chords) {
			until = chords[i+1].Tick
		}
		if x, cells, on := p.page.stretch(chords[i].Tick, until); on {
			p.c.put(x, at.y, head(p.speller.symbol(chords[i].Name), cells), plain)
		}
	}
}
