package display

import (
	"iter"
	"strings"
)

const (
	// pageWidth and pageRows are the screen that a summary keeps to, whatever
	// there is to say: the smallest common terminal.
	pageWidth, pageRows = 80, 24
	// labelCells is the column of headings.
	labelCells = 12
)

// block is a part of the page: a heading and what stands beside it.
type block struct {
	heading string
	rows    []string
	whole   bool // no row may be left out
	spare   int  // so many rows, the last, stand only where there is room
}

// laidOut writes blocks for a page of so many cells below what stands already, with
// air between them or without.
func laidOut(out []string, blocks []block, air bool, cells int) []string {
	for _, b := range blocks {
		if air && len(out) > 0 {
			out = append(out, "")
		}
		rows := b.rows
		if cells < pageWidth {
			rows = narrowed(rows, cells-labelCells)
		}
		for i, row := range rows {
			heading := ""
			if i == 0 {
				heading = b.heading
			}
			out = append(out, strings.TrimRight(cut(pad(heading, labelCells)+row, pageWidth), " "))
		}
	}
	return out
}

// narrowed breaks the rows of a block anew for so many cells: where a list goes on in
// the next row it is one, what it lists stays whole where it can, and what is broken
// off is set in.
func narrowed(rows []string, room int) (out []string) {
	for i := 0; i < len(rows); i++ {
		row := rows[i]
		for strings.HasSuffix(row, " ") && i+1 < len(rows) {
			i++
			row += strings.TrimLeft(rows[i], " ")
		}
		var whole strings.Builder
		for one := range listed(row) {
			if text := strings.TrimRight(one, " "); width(text) <= room-foldIndent {
				one = strings.ReplaceAll(text, " ", fixed) + one[len(text):]
			}
			whole.WriteString(one)
		}
		out = append(out, wrap(whole.String(), 0, foldIndent, room)...)
	}
	return out
}

// listed yields what a row lists, each with the sign and the blank behind it.
func listed(row string) iter.Seq[string] {
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
// what is to spare, then the last row of the longest block. What matters most
// stands first in a block.
func shorten(blocks []block, limit int) (total int) {
	for _, b := range blocks {
		total += len(b.rows)
	}
	for ; total > limit; total-- {
		var from *block
		for i := range blocks {
			b := &blocks[i]
			switch {
			case b.whole || from != nil && from.spare > b.spare:
			case from == nil || b.spare > from.spare || len(b.rows) >= len(from.rows):
				from = b
			}
		}
		from.dropLast()
	}
	return total
}

func (b *block) dropLast() {
	last := len(b.rows) - 1
	b.rows, b.spare = b.rows[:last], max(b.spare-1, 0)
	if above := b.rows[last-1]; strings.HasSuffix(above, " ") { // it went on below
		b.rows[last-1] = above + ellipsis
	}
}

// said writes texts after a label into the rows of a block, so many at most.
func said(label, between string, rows int, texts ...string) []string {
	if len(texts) == 0 {
		return nil
	}
	return flow(label, between, pageWidth-labelCells, rows, texts)
}

// moreRows is how many rows it takes on a page of so many cells to say what a page
// has so many for.
func moreRows(rows, cells int) int { return rows * pageWidth / cells }

func flow(label, between string, room, rows int, texts []string) []string {
	out := []string{label}
	for i, text := range texts {
		spare := 0 // for what says that more follows
		if i+1 < len(texts) {
			text += between
			spare = len(ellipsis)
		}
		last := len(out) - 1
		if width(out[last])+width(text) <= room-spare || out[last] == "" {
			out[last] += text
			continue
		}
		if len(out) == rows {
			out[last] += ellipsis
			return out
		}
		out = append(out, strings.Repeat(" ", width(label))+text)
	}
	return out
}
