package display

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/rivo/uniseg"
	"golang.org/x/text/unicode/rangetable"
)

const (
	// cleanWidth is how many cells a text from outside gets: more than any
	// line has to spare, less than would fill the screen.
	cleanWidth = 64
	// cleanMarks is how many combining marks may follow one letter: what
	// written languages use, too few to paint over the neighbouring rows.
	cleanMarks = 2
	// replacement stands for what cannot be shown.
	replacement = '?'
	ellipsis    = "..."
)

// invisible are the letters that show nothing: the Hangul fillers, which Unicode
// counts among letters (The Unicode Standard 15, Default_Ignorable_Code_Point).
var invisible = rangetable.New(0x115F, 0x1160, 0x3164, 0xFFA0)

// Clean makes a text from outside (a port, track, title or chord name)
// harmless for a terminal. Control bytes, escapes, C1 controls, bidirectional
// overrides and all else that does not print, and bytes that are not UTF-8,
// each become a question mark; other spaces become a plain one. The result is
// at most 64 cells wide, cut with "...".
func Clean(s string) string {
	const enough = (cleanWidth + 1) * (1 + cleanMarks) * utf8.UTFMax
	return cut(Harmless(s[:min(len(s), enough)]), cleanWidth)
}

// Harmless is Clean without a limit to the width.
func Harmless(s string) string {
	var b strings.Builder
	marks := 0
	for len(s) > 0 {
		r, size := utf8.DecodeRuneInString(s)
		s = s[size:]
		switch {
		case r == utf8.RuneError:
			r = replacement
		case unicode.Is(invisible, r):
			r = replacement
		case unicode.Is(unicode.Variation_Selector, r):
			r = replacement // it changes the width of the letter before it
		case unicode.IsMark(r):
			if marks++; marks > cleanMarks {
				r = replacement
			}
		case unicode.Is(unicode.Zs, r):
			r = ' '
		case !unicode.IsPrint(r):
			r = replacement
		}
		if !unicode.IsMark(r) {
			marks = 0
		}
		b.WriteRune(r)
	}
	return b.String()
}

// width returns how many cells a text takes, counted as tcell counts them.
func width(s string) int {
	cells := 0
	for rest := s; rest != ""; cells++ {
		n := plainCluster(rest)
		if n == 0 {
			return uniseg.StringWidth(s)
		}
		rest = rest[n:]
	}
	return cells
}

// cut shortens a text to a width, ending it in "..." where there is room.
func cut(s string, cells int) string {
	if width(s) <= cells {
		return s
	}
	tail := ellipsis
	if cells < 2*len(ellipsis) {
		tail = ""
	}
	return head(s, cells-len(tail)) + tail
}

// head returns as much of the start of a text as fits into a width.
func head(s string, cells int) string {
	used, end, state := 0, 0, -1
	for rest := s; rest != ""; {
		var cluster string
		var w int
		cluster, rest, w, state = uniseg.FirstGraphemeClusterInString(rest, state)
		if used += w; used > cells {
			break
		}
		end += len(cluster)
	}
	return s[:end]
}

// cutLeft shortens a text from its start, as suits a path.
func cutLeft(s string, cells int) string {
	if width(s) <= cells || cells < len(ellipsis) {
		return head(s, max(cells, 0))
	}
	runes := []rune(s)
	runes = runes[max(len(runes)-cells*(1+cleanMarks), 0):]
	for len(runes) > 0 && width(string(runes)) > cells-len(ellipsis) {
		runes = runes[1:]
	}
	return ellipsis + string(runes)
}

// pad fills a text with spaces up to a width, or cuts it down to it.
func pad(s string, cells int) string {
	s = cut(s, cells)
	return s + strings.Repeat(" ", cells-width(s))
}
