package display

import (
	"fmt"

	"shedlight/analyse"
)

// headline is what stands largest: the chord; the key centre without a chart;
// the beat of the bar while it is counted in.
func headline(s *analyse.Snapshot, sp speller) string {
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

// coming is what stands beside it: the chord that comes, or the end.
func coming(f *Frame, sp speller) string {
	s := &f.Snapshot
	switch {
	case s.CountIn > 0:
		return sp.symbol(s.Chord)
	case f.Ending:
		return "end"
	case s.NextChord != "":
		return sp.symbol(s.NextChord)
	}
	return ""
}

// then is the sign before what comes.
const then = ">"

// paintTop writes the chord now and, as large, the chord next: in the largest letters
// in which both have room, else in plain ones.
func (p *painter) paintTop(f *Frame) {
	at, left, right := p.at[top], p.margin(), p.right()
	unicode := p.speller
	unicode.ascii = false // the large alphabet has its own ASCII form
	sounds, comes := headline(&f.Snapshot, unicode), coming(f, unicode)
	for _, size := range []int{2 * letterRows, letterRows, 2 * smallRows, smallRows} {
		if size > at.n {
			continue
		}
		now, ok := p.scribe.lettering(sounds, size)
		next, has := p.scribe.lettering(comes, size)
		sign, _ := p.scribe.lettering(then, size)
		if !ok || !has && comes != "" {
			continue
		}
		if !has {
			next, sign = make([]string, size), make([]string, size)
		}
		if left+width(now[0])+gap+width(sign[0])+1+width(next[0]) > right {
			continue
		}
		for i := range size {
			y := at.y + (at.n-size)/2 + i
			p.c.put(left, y, now[i], plain|bold)
			p.c.putRight(right-width(next[i])-1, y, sign[i], faint)
			p.c.putRight(right, y, next[i], plain)
		}
		return
	}
	pieces := []piece{{headline(&f.Snapshot, p.speller), plain | bold}}
	if next := coming(f, p.speller); next != "" {
		pieces = append(pieces, piece{then + " " + next, plain | bold})
	}
	if p.at[boxes].n == 0 {
		pieces = append(pieces, p.where(f)...)
	}
	p.line(left, right, at.y+at.n/2, pieces)
}

// where says where we are, the most needed first.
func (p *painter) where(f *Frame) (out []piece) {
	s := &f.Snapshot
	if p.at[spoken].n == 0 {
		name, word, k := lastWord(f, p.speller)
		if name != "" {
			out = append(out, piece{name + "  " + word, k | bold})
		}
	}
	if s.Bar > 0 {
		place := fmt.Sprintf("bar %d of %d", s.Bar, s.Bars)
		if s.Section != "" {
			place = p.speller.text(s.Section) + "  " + place
		}
		out = append(out, piece{place, plain})
	}
	if s.Chorus > 0 {
		out = append(out, piece{fmt.Sprintf("chorus %d", s.Chorus), plain})
	}
	if !s.Scale.None() {
		view := ""
		switch {
		case !s.HasChart:
		case s.Scales:
			view = "each chord"
		case s.Centre != "":
			view = p.speller.centre(s.Centre)
		}
		out = append(out, piece{p.speller.short(s.Scale), faint}, piece{view, faint})
	}
	return out
}

// boxCells is how wide the box of a beat is, and boxGap the room between two.
const boxCells, boxGap = 4, 1

// paintBeats draws the beats of the bar as boxes, those that have come full, and
// beside them where we are and what is held or was struck.
func (p *painter) paintBeats(f *Frame) {
	s, at := &f.Snapshot, p.at[boxes]
	if at.n == 0 {
		return
	}
	x, limit := p.margin(), p.right()
	if s.Bar > 0 || s.CountIn > 0 {
		for beat := 1; beat <= meterAt(&s.Page, s.Tick).Beats(); beat++ {
			box, k := p.glyphs.empty, faint
			if beat <= int(s.Beat) {
				box, k = p.glyphs.full, plain|bold
			}
			for range boxCells {
				for row := range at.n {
					p.c.put(x, at.y+row, box, k)
				}
				x++
			}
			x += boxGap
		}
		x++
	}
	y := at.y + at.n - 1
	limit = p.paintHeld(s, x, limit, y)
	p.line(x, limit, y, p.where(f))
}

// paintHeld writes at the right what is held: the chord's name, and its keys as far as
// half of the line has room for them. Where the hands are parted and have no row of
// their own it is what the left one struck last. It returns where it begins.
func (p *painter) paintHeld(s *analyse.Snapshot, left, limit, y int) int {
	var pieces []piece
	switch {
	case s.Hands && p.at[hands].n == 0:
		for i := range s.Page.Chords {
			if c := &s.Page.Chords[i]; c.Left {
				pieces = []piece{{"left", faint}, {p.speller.symbol(c.Name), plain | bold}}
			}
		}
	case len(s.Held) > 1: // a single one is the last note, which stands large
		pieces = []piece{{"held", faint}}
		if s.HeldChord != "" {
			pieces = append(pieces, piece{p.speller.symbol(s.HeldChord), plain | bold})
		}
		for i := range s.Held {
			k := inkOf(&analyse.PageNote{Place: s.Held[i].Place}, false)
			pieces = append(pieces, piece{p.speller.name(s.Held[i].Name), k})
		}
	}
	cells, n := -gap, 0
	for ; n < len(pieces) && cells+gap+width(pieces[n].text) <= (limit-left)/2; n++ {
		cells += gap + width(pieces[n].text)
	}
	if n < 2 { // the heading alone
		return limit
	}
	p.line(limit-cells, limit, y, pieces[:n])
	return limit - cells - gap
}
