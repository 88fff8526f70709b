package display

import (
	"strings"
	"unicode/utf8"

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
		if n := plainCluster(text); n > 0 {
			cluster, text, w, state = text[:n], text[n:], 1, -1
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

// plainCluster is the length of a first character that is plain: ASCII, or a box or a
// block as large letters and rails are drawn with, with nothing behind it that could
// join it. It is one cell wide, and most of a picture; 0 for all others.
func plainCluster(text string) int {
	n := plainLength(text)
	if n == 0 || len(text) > n && plainLength(text[n:]) == 0 {
		return 0
	}
	return n
}

func plainLength(text string) int {
	if text[0] < utf8.RuneSelf {
		return 1
	}
	// U+2500 to U+259F in UTF-8. An East Asian terminal draws them two cells wide.
	if len(text) > 2 && text[0] == 0xE2 && 0x94 <= text[1] && text[1] <= 0x96 && text[1:3] < "\x96\xa0" && uniseg.EastAsianAmbiguousWidth == 1 {
		return 3
	}
	return 0
}

// at returns what stands in a cell; nothing beyond the edges.
func (c *canvas) at(x, y int) string {
	if x < 0 || x >= c.w || y < 0 || y >= c.h {
		return ""
	}
	return c.cells[y*c.w+x].text
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
