package display

import "strings"

// letterRows is the height of a large letter of a chord symbol.
const letterRows = 5

// letters is the large alphabet, in the characters of its ASCII form: # is a
// full cell, . its lower and ' its upper half. It holds what chord symbols,
// centres and places need, no more.
var letters = map[rune][]string{
	'A': {".#####.", "##   ##", "#######", "##   ##", "##   ##"},
	'B': {"######.", "##   ##", "######.", "##   ##", "######'"},
	'C': {".#####.", "##   ''", "##     ", "##   ..", "'#####'"},
	'D': {"#####. ", "##  '#.", "##   ##", "##  .#'", "#####' "},
	'E': {"#######", "##     ", "#####  ", "##     ", "#######"},
	'F': {"#######", "##     ", "#####  ", "##     ", "##     "},
	'G': {".#####.", "##   ''", "##  ###", "##   ##", "'#####'"},
	'M': {"##   ##", "### ###", "## # ##", "##   ##", "##   ##"},
	'N': {"##   ##", "###. ##", "## ####", "##  '##", "##   ##"},

	'0': {".####.", "##  ##", "##  ##", "##  ##", "'####'"},
	'1': {".##", "'##", " ##", " ##", " ##"},
	'2': {".####.", "''  ##", " .##' ", ".##'  ", "######"},
	'3': {".####.", "''  ##", "  ### ", "..  ##", "'####'"},
	'4': {"##  ##", "##  ##", "'#####", "    ##", "    ##"},
	'5': {"######", "##    ", "#####.", "    ##", "#####'"},
	'6': {".####'", "##    ", "#####.", "##  ##", "'####'"},
	'7': {"######", "   .#'", "  .#' ", "  ##  ", "  ##  "},
	'8': {".####.", "##  ##", ".####.", "##  ##", "'####'"},
	'9': {".####.", "##  ##", "'#####", "    ##", ".####'"},

	'♭': {"##   ", "##   ", "##.#.", "##.#'", "##'  "},
	'♯': {" #  # ", "######", " #  # ", "######", " #  # "},
	'△': {"   .   ", "  .#.  ", " .#'#. ", ".#' '#.", "#######"},
	'ø': {"      ", ".###.#", "##.'##", "##' ##", "#'###'"},
	'°': {".##.", "#  #", "'##'", "    ", "    "},
	'+': {"      ", "  ##  ", "######", "  ##  ", "      "},
	'>': {"'#.  ", "  '#.", "   ##", "  .#'", ".#'  "},
	'-': {"     ", "     ", "#####", "     ", "     "},
	'/': {"    .#", "   .#'", "  .#' ", " .#'  ", ".#'   "},
	'(': {".#'", "## ", "## ", "## ", "'#."},
	')': {"'#.", " ##", " ##", " ##", ".#'"},
	'.': {"  ", "  ", "  ", "  ", "##"},
	',': {"  ", "  ", "  ", "  ", ".#"},
	' ': {"   ", "   ", "   ", "   ", "   "},

	'a': {"      ", ".####.", "  ..##", "##''##", "'#####"},
	'b': {"##    ", "#####.", "##  ##", "##  ##", "#####'"},
	'd': {"    ##", ".#####", "##  ##", "##  ##", "'#####"},
	'e': {"      ", ".####.", "##..##", "##''''", "'####."},
	'i': {"##", "  ", "##", "##", "##"},
	'j': {"  ##", "    ", "  ##", "  ##", "'##'"},
	'l': {"##", "##", "##", "##", "##"},
	'm': {"        ", "#######.", "## ## ##", "## ## ##", "## ## ##"},
	'n': {"      ", "#####.", "##  ##", "##  ##", "##  ##"},
	'o': {"      ", ".####.", "##  ##", "##  ##", "'####'"},
	'p': {"      ", "#####.", "##  ##", "#####'", "##    "},
	'r': {"     ", "##.##", "###''", "##   ", "##   "},
	's': {"      ", ".#####", "'###. ", "  '###", "#####'"},
	't': {" ##  ", "#####", " ##  ", " ##  ", " '##'"},
	'u': {"      ", "##  ##", "##  ##", "##  ##", "'#####"},
	'v': {"      ", "##  ##", "##  ##", "'#..#'", " '##' "},
	'x': {"      ", "##. ##", " '##' ", ".####.", "##  ##"},
}

// likeness maps signs to the large letter that stands for them.
var likeness = map[rune]rune{'#': '♯', 'Δ': '△', '∆': '△', 'Ø': 'ø', 'º': '°', '−': '-', '–': '-', '[': '(', ']': ')'}

var blocks = strings.NewReplacer("#", "█", ".", "▄", "'", "▀")

// scribe writes large letters and remembers what it wrote last: most of a picture is
// that of the one before.
type scribe struct {
	ascii bool
	known map[inscription][]string // nil for what cannot be written
}

type inscription struct {
	text string
	rows int
}

// remembered is how many texts are remembered.
const remembered = 256

// lettering is the function of that name.
func (s *scribe) lettering(text string, rows int) (art []string, ok bool) {
	key := inscription{text, rows}
	art, known := s.known[key]
	if !known {
		if len(s.known) >= remembered || s.known == nil {
			s.known = make(map[inscription][]string, remembered)
		}
		art, _ = lettering(text, rows, s.ascii)
		s.known[key] = art
	}
	return art, art != nil
}

// lettering writes a text in large letters of so many rows: smallRows, letterRows or
// twice those. ok is false where a letter is missing, and for the small ones in
// ASCII, which has no half cells to draw them with.
func lettering(text string, rows int, ascii bool) (art []string, ok bool) {
	alphabet, height := letters, letterRows
	if rows%letterRows != 0 {
		alphabet, height = smallLetters, smallRows
	}
	if text == "" || ascii && rows == smallRows {
		return nil, false
	}
	art = make([]string, height)
	for i, r := range text {
		if like, is := likeness[r]; is {
			r = like
		}
		glyph, known := alphabet[r]
		if !known {
			return nil, false
		}
		for row := range art {
			if i > 0 {
				art[row] += " "
			}
			art[row] += glyph[row]
		}
	}
	if rows > height {
		art = doubled(art)
	}
	if !ascii {
		for row := range art {
			art[row] = blocks.Replace(art[row])
		}
	}
	return art, true
}

// doubled draws twice as wide and twice as high.
func doubled(art []string) (out []string) {
	for _, row := range art {
		out = append(out, upperHalves.Replace(row), lowerHalves.Replace(row))
	}
	return out
}

var (
	upperHalves = strings.NewReplacer("#", "##", ".", "  ", "'", "##", " ", "  ")
	lowerHalves = strings.NewReplacer("#", "##", ".", "##", "'", "  ", " ", "  ")
)
