package display

import "strings"

// Start is what is shown before a session: what can be chosen, a row each.
type Start struct {
	Rows   []StartRow
	Chosen int    // the row that keys change
	Typing bool   // the value of that row is being typed
	Wrong  string // why it cannot begin so; outside text
}

// StartRow is one thing that can be chosen.
type StartRow struct {
	Name  string
	Value string     // outside text
	From  string     // who said the value; empty where nobody did
	Bars  [][]string // chord symbols, bar by bar, shown below the value
	Heard *Heard     // what is played on the instrument that the row names
}

// Heard is what is played before a session.
type Heard struct {
	Name  string // of the last note; empty before the first
	Level int    // how loud it is while a key is down, 0 to HeardSteps
}

// HeardSteps is how many boxes show how loud a note is.
const HeardSteps = 8

const (
	startHint = "Enter plays  arrows change  ? help  e types  Backspace takes back  q leaves"
	typeHint  = "Enter takes it  Esc leaves it as it was"

	// startName is the column of the names and the sign before the chosen one, and
	// startFrom that of who said so.
	startName, startFrom = 14, 14
	// startBar is the room of a bar line between two bars.
	startBar = 5
	// startFewest is how wide a screen is that says it.
	startFewest = 60
)

// startPlan is how a start screen shares out its rows.
type startPlan struct {
	high  int // rows of a value
	bars  int // rows of the line of chords
	air   int // free rows between two values
	first int // the first row of the screen that holds one
}

// planStart gives values the largest letters for which all have room, else a row each
// with or without air between.
func planStart(values, h int) startPlan {
	const around = 4 // the title, air below it, what is wrong, the foot
	for _, p := range []startPlan{
		{high: 2 * smallRows, bars: smallRows, air: 1}, {high: smallRows, bars: smallRows, air: 1}, {high: smallRows, bars: 1, air: 1},
		{high: 1, bars: 1, air: 1}, {high: 1, bars: 1},
	} {
		if need := around + values*(p.high+p.air) + p.bars; need <= h {
			p.first = 2 + (h-need)/2
			return p
		}
	}
	return startPlan{high: 1}
}

// paintStart draws the start screen. Where not all rows have room it shows those
// around the chosen one.
func (p *painter) paintStart(s *Start) {
	left, right := 0, p.c.w
	if p.c.w >= largeWidth {
		left, right = 1, p.c.w-1
	}
	plan := planStart(len(s.Rows), p.c.h)
	first, y := 0, plan.first
	if plan.bars == 0 { // too low for all
		first = min(s.Chosen, max(len(s.Rows)-max(p.c.h-1, 1), 0))
	} else {
		p.c.put(left, 0, "shedlight", faint)
	}
	for i := first; i < len(s.Rows); i++ {
		row := &s.Rows[i]
		p.paintStartRow(row, rows{y, plan.high}, left, right, i == s.Chosen, s.Typing)
		y += plan.high
		if len(row.Bars) > 0 && plan.bars > 0 {
			p.paintStartBars(row.Bars, rows{y, plan.bars}, min(left+startName, right), right)
			y += plan.bars
		}
		y += plan.air
	}
	foot := p.c.h - 1
	if foot == 0 {
		return
	}
	p.c.put(0, foot, pad("", p.c.w), plain)
	hint := startHint
	if s.Typing {
		hint = typeHint
	}
	p.c.put(left, foot, wholePieces(hint, right-left), faint)
	if s.Wrong != "" {
		p.paintWrong(s.Wrong, left, right, min(y, foot), foot)
	}
}

// paintWrong writes what is wrong above the foot, in as many rows as there are free
// ones from a row on, but in one at least.
func (p *painter) paintWrong(text string, left, right, from, foot int) {
	lines := strings.Split(Fold(p.speller.whole(text), max(right-left-2, 1)), "\n")
	if most := max(foot-from, 1); len(lines) > most {
		lines = append(lines[:most-1], strings.Join(lines[most-1:], " "))
	}
	for i, line := range lines {
		p.c.put(left, foot-len(lines)+i, pad(" "+line, max(right-left, 0)), plain|bold|reverse)
	}
}

// wholePieces cuts a line of hints behind the last that has room.
func wholePieces(text string, cells int) string {
	const between = "  "
	for width(text) > max(cells, 0) {
		at := strings.LastIndex(text, between)
		if at < 0 {
			return head(text, max(cells, 0))
		}
		text = text[:at]
	}
	return text
}

// paintStartRow writes one row: its name, its value as large as there is room, who
// said so, and what is heard.
func (p *painter) paintStartRow(row *StartRow, at rows, left, right int, chosen, typing bool) {
	k, sign, mid := plain, "  ", at.y+(at.n-1)/2
	if chosen {
		k, sign = plain|bold, "> "
	}
	x := p.c.put(left, mid, sign+row.Name, k)
	x = max(left+startName, x+gap)
	if right-left >= startFewest {
		if row.Heard != nil {
			p.paintHeard(row.Heard, right-startFrom, mid)
		} else {
			p.c.put(right-startFrom, mid, head(row.From, startFrom), faint)
		}
		right -= startFrom + gap
	} else if right-left >= startName && row.Heard != nil && row.Heard.Name != "" { // its name alone
		name, heard := p.speller.name(row.Heard.Name), faint
		if row.Heard.Level > 0 {
			heard = plain | bold | reverse
		}
		p.c.putRight(right, mid, name, heard)
		right -= width(name) + gap
	}
	value := p.speller.whole(row.Value)
	if chosen && typing {
		value += "_"
	}
	art, ok := p.largest(at.n, right-x, value)
	if !ok {
		art = []string{cut(value, max(right-x, 0))}
		if chosen && typing {
			art[0] = cutLeft(value, max(right-x, 0))
		}
		at = rows{mid, 1}
	}
	p.block(x, at, art, k)
}

// paintHeard shows how loud the last note is, and its name.
func (p *painter) paintHeard(h *Heard, x, y int) {
	for step := range HeardSteps {
		box, k := p.glyphs.empty, faint
		if step < h.Level {
			box, k = p.glyphs.full, plain|bold
		}
		x = p.c.put(x, y, box, k)
	}
	p.c.put(x+gap, y, p.speller.name(h.Name), plain|bold)
}

// paintStartBars writes the chords of some bars with bar lines between, large where all
// have room so, else as many bars as have.
func (p *painter) paintStartBars(bars [][]string, at rows, x, right int) {
	var texts []string
	large := 0 // cells
	for i, bar := range bars {
		var symbols []string
		for _, symbol := range bar {
			symbols = append(symbols, p.speller.symbol(symbol))
		}
		texts = append(texts, strings.Join(symbols, " "))
		art, ok := p.scribe.lettering(texts[i], smallRows)
		if !ok || at.n < smallRows || x+large+width(art[0]) > right {
			large = right // too much
			continue
		}
		large += width(art[0]) + startBar
	}
	for i, text := range texts {
		art := []string{text}
		if large < right {
			art, _ = p.scribe.lettering(text, smallRows)
		}
		if i > 0 {
			if x+startBar+width(art[0]) > right {
				return
			}
			for row := range art {
				p.c.put(x+startBar/2, at.y+(at.n-len(art))/2+row, p.glyphs.bar, faint)
			}
			x += startBar
		}
		if len(art) == 1 {
			art[0] = cut(text, max(right-x, 0))
		}
		p.block(x, at, art, plain)
		x += width(art[0])
	}
}
