package display

import (
	"fmt"
	"iter"
	"slices"
	"strings"
)

const (
	// pageWidth and pageRows are the screen that a summary keeps to, whatever
	// there is to say: the smallest common terminal.
	pageWidth, pageRows = 80, 24
	// labelCells is the column of headings.
	labelCells = 12
	besides    = pageWidth - labelCells // cells beside a heading
)

// block is a part of the page: a heading and what is told beside it.
type block struct {
	heading string
	told    []telling
	whole   bool // none of it may be left out but what is to spare
}

// telling is one thing that is told: a sentence, which is told whole or not at
// all, or a list, which says how many more there are where it does not stand there
// whole.
type telling struct {
	rows  []string
	list  list
	spare int // so many rows, the last, stand only where there is room
}

// list is texts after a label.
type list struct {
	label, between string
	hang           int // by how much rows below the first are set in
	texts          []string
	stands         []int  // for how many things each text stands; nil: for one
	behind         int    // so many more are there than the texts tell
	noun           string // what they are, in "and 2 more places"; empty for "and 2 more"
}

// sentence tells a sentence, on as many rows as it takes.
func sentence(text string) telling { return telling{rows: wrapWords("", text, besides)} }

// hangMost is how far the rows of a list below the first are set in at the most, to stand
// below its texts; below a longer label they are set in by hangLess.
const hangMost, hangLess = 16, 3

// listed tells texts after a label on so many rows at the most, as things of some kind;
// nothing where there are none.
func listed(label, between, noun string, rows int, texts ...string) []telling {
	if len(texts) == 0 {
		return nil
	}
	l := list{label: label, between: between, noun: noun, hang: width(label), texts: texts}
	if l.hang > hangMost {
		l.hang = hangLess
	}
	return []telling{{list: l, rows: l.on(rows, besides)}}
}

// spared has rows beyond so many stand only where there is room.
func spared(told []telling, least int) []telling {
	for i := range told {
		told[i].spare = max(len(told[i].rows)-least, 0)
	}
	return told
}

// rows are the rows of a block, for a page of so many cells.
func (b block) rows(cells int) (rows []string) {
	for i := range b.told {
		told := b.told[i].rows
		if cells < pageWidth {
			told = narrowed(told, cells-labelCells)
		}
		rows = append(rows, told...)
	}
	return rows
}

// laidOut writes blocks for a page of so many cells below what stands already, with
// air between them or without.
func laidOut(out []string, blocks []block, air bool, cells int) []string {
	for _, b := range blocks {
		if air && len(out) > 0 {
			out = append(out, "")
		}
		for i, row := range b.rows(cells) {
			heading := ""
			if i == 0 {
				heading = b.heading
			}
			out = append(out, strings.TrimRight(cut(pad(heading, labelCells)+row, pageWidth), " "))
		}
	}
	return out
}

// narrowed breaks the rows of one thing that is told anew for so many cells: what it
// lists stays whole where it can, and what is broken off is set in.
func narrowed(rows []string, room int) []string {
	row := ""
	for i, more := range rows {
		if i > 0 {
			row, more = strings.TrimRight(row, " ")+" ", strings.TrimLeft(more, " ")
		}
		row += more
	}
	var whole strings.Builder
	for one := range listing(row) {
		if text := strings.TrimRight(one, " "); width(text) <= room-foldIndent {
			one = strings.ReplaceAll(text, " ", fixed) + one[len(text):]
		}
		whole.WriteString(one)
	}
	return wrap(whole.String(), 0, foldIndent, room)
}

// listing yields what a row lists, each with the sign and the blank behind it.
func listing(row string) iter.Seq[string] {
	return func(yield func(string) bool) {
		for row != "" {
			end := len(row)
			for _, sign := range []string{", ", "; "} {
				if i := strings.Index(row, sign); i >= 0 {
					end = min(end, i+len(sign))
				}
			}
			if !yield(row[:end]) {
				return
			}
			row = row[end:]
		}
	}
}

// shorten takes rows off the blocks until they fit, and returns how many are left:
// what is to spare, then from the end of the longest block. What matters most
// stands first in a block, and something of each block stays.
func shorten(blocks []block, limit int) (total int) {
	for {
		total = 0
		var from *block
		for i := range blocks {
			b := &blocks[i]
			total += len(b.rows(pageWidth))
			switch {
			case b.whole && b.spare() == 0 || len(b.told) == 1 && len(b.told[0].list.texts) == 0 || len(b.rows(pageWidth)) == 1:
			case from == nil, b.spare() > from.spare(), b.spare() == from.spare() && len(b.rows(pageWidth)) >= len(from.rows(pageWidth)):
				from = b
			}
		}
		if total <= limit || from == nil {
			return total
		}
		from.drop()
	}
}

// spare is how many rows of a block stand only where there is room.
func (b *block) spare() (rows int) {
	for i := range b.told {
		rows += b.told[i].spare
	}
	return rows
}

// drop takes a row off the last thing that has one to spare, or else off the last: a
// row of a list, or the whole of a sentence.
func (b *block) drop() {
	at := len(b.told) - 1
	for i := range b.told {
		if b.told[i].spare > 0 {
			at = i
		}
	}
	t := &b.told[at]
	if len(t.list.texts) > 0 && len(t.rows) > 1 {
		t.rows = t.list.on(len(t.rows)-1, besides)
		t.spare = max(t.spare-1, 0)
		return
	}
	b.told = slices.Delete(b.told, at, at+1)
}

// on lays a list out on so many rows at the most of so many cells. Where it does not
// stand there whole, it says how many more there are.
func (l list) on(rows, cells int) (out []string) {
	more := l.behind
	for n := len(l.texts); ; n-- {
		texts := l.texts[:n:n]
		if more > 0 {
			texts = append(texts, l.andMore(more))
		}
		if n == 0 && l.noun == others && l.label != "" {
			return []string{strings.TrimSuffix(l.label, ": ")} // no room for any
		}
		if out = l.flow(texts, cells); len(out) <= rows || n == 0 {
			return out[:min(len(out), rows)]
		}
		if more++; l.stands != nil {
			more += l.stands[n-1] - 1
		}
	}
}

// others is the noun of a list whose texts are counts of kinds: how many kinds more there
// are would be taken for another count.
const others = "others"

func (l list) andMore(n int) string {
	switch l.noun {
	case "":
		return fmt.Sprintf("and %d more", n)
	case others:
		return "and others"
	}
	return "and " + count(int64(n), "more "+l.noun)
}

func (l list) flow(texts []string, cells int) []string {
	out := []string{l.label}
	for i, text := range texts {
		if i+1 < len(texts) {
			text += l.between
		}
		last := len(out) - 1
		if width(out[last])+width(strings.TrimRight(text, " ")) <= cells || out[last] == "" {
			out[last] += text
			continue
		}
		out[last] = strings.TrimRight(out[last], " ")
		out = append(out, strings.Repeat(" ", l.hang)+text)
	}
	return out
}

// flow lays texts out after a label, on so many rows at the most of so many cells.
func flow(label, between string, cells, rows int, texts []string) []string {
	return list{label: label, between: between, hang: width(label), texts: texts}.on(rows, cells)
}

// moreRows is how many rows it takes on a page of so many cells to say what a page
// has so many for.
func moreRows(rows, cells int) int { return rows * pageWidth / cells }
