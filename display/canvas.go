package display

import (
	"strings"

	"github.com/rivo/uniseg"
)

// ink says what a piece of text means; the palette says how that looks. The
// low bits are a hue, bold and reverse are added to it.
type ink uint8

const (
	plain ink = iota
	faint     // there to be found, not to be seen
	home      // the home half
	half      // the dim half
	slip      // nothing explains it, or held against its chord
	hues

	bold    ink = 1 << 6
	reverse ink = 1 << 7
)

// cell is one cell of the terminal. The second cell of a wide character has no
// text.
type cell struct {
	text string
	ink  ink
}

var blank = cell{text: " "}

// canvas is a picture of the whole terminal. It is painted anew for each frame
// and compared with the one before, so that the terminal only gets what
// changed.
type canvas struct {
	w, h  int
	cells []cell
}

// reset makes the canvas empty and of the given size, keeping its memory.
func (c *canvas) reset(w, h int) {
	c.w, c.h = max(w, 0), max(h, 0)
	if n := c.w * c.h; cap(c.cells) < n {
		c.cells = make([]cell, n)
	} else {
		c.cells = c.cells[:n]
	}
	for i := range c.cells {
		c.cells[i] = blank
	}
}

// put writes a text and returns the column after it. What lies beyond the
// edges is left out.
func (c *canvas) put(x, y int, text string, k ink) int {
	if y < 0 || y >= c.h {
		return x + width(text)
	}
	for state := -1; text != ""; {
		var cluster string
		var w int
		if b := text[0]; b < 0x80 && (len(text) == 1 || text[1] < 0x80) {
			cluster, text, w, state = text[:1], text[1:], 1, -1
		} else {
			cluster, text, w, state = uniseg.FirstGraphemeClusterInString(text, state)
		}
		if w > 0 && x >= 0 && x+w <= c.w {
			c.cells[y*c.w+x] = cell{text: cluster, ink: k}
			for i := 1; i < w; i++ {
				c.cells[y*c.w+x+i] = cell{ink: k}
			}
		}
		x += w
	}
	return x
}

// putRight writes a text so that it ends before column x.
func (c *canvas) putRight(x, y int, text string, k ink) {
	c.put(x-width(text), y, text, k)
}

// String prints the picture without its inks, a line for each row.
func (c *canvas) String() string {
	var b strings.Builder
	for y := 0; y < c.h; y++ {
		var row strings.Builder
		for _, one := range c.cells[y*c.w : (y+1)*c.w] {
			row.WriteString(one.text)
		}
		b.WriteString(strings.TrimRight(row.String(), " "))
		b.WriteByte('\n')
	}
	return b.String()
}
