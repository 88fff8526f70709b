package harmony

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Signs that have no ASCII letter of their own, or whose ASCII stand-in means
// something else in another place.
const (
	signFlat byte = iota + 1
	signDoubleFlat
	signDoubleSharp
	signNatural
	signCircle
	signHalfDim
	signUnknown // no sign of a chord symbol: refused where it stands
)

// glyphs lists what musicians and their programs type for each sign. The
// private characters E260 to E264 and E870 to E874 are those of the Standard
// Music Font Layout (SMuFL), from memory.
var glyphs = [...]struct {
	runes string
	sign  byte
}{
	{"♭\uE260", signFlat},
	{"♯\uE262", '#'},
	{"♮\uE261", signNatural},
	{"𝄫\uE264", signDoubleFlat},
	{"𝄪\uE263", signDoubleSharp},
	{"°º˚∘○◦⁰\uE870", signCircle},
	{"øØ∅⌀ϕφΦ\uE871", signHalfDim},
	{"Δ△∆▲▵\uE873", '^'},
	{"−–‐‑—⁻₋\uE874", '-'},
	{"⁺₊\uE872", '+'},
	{"⁄∕", '/'},
	{"⁽₍", '('},
	{"⁾₎", ')'},
	{"ᵐ", 'm'},
	{"ᴹ", 'M'},
	{"₀", '0'}, {"¹₁", '1'}, {"²₂", '2'}, {"³₃", '3'}, {"⁴₄", '4'},
	{"⁵₅", '5'}, {"⁶₆", '6'}, {"⁷₇", '7'}, {"⁸₈", '8'}, {"⁹₉", '9'},
}

// Full-width forms, U+FF01 to U+FF5E, stand in the order of ASCII.
const (
	fullWidthFirst = '！'
	fullWidthLast  = '～'
	fullWidthShift = fullWidthFirst - '!'
)

// signOf returns the sign of a character.
func signOf(c rune) byte {
	if c >= fullWidthFirst && c <= fullWidthLast {
		c -= fullWidthShift
	}
	if c < utf8.RuneSelf {
		if c == '\\' {
			return '/'
		}
		return byte(c)
	}
	if unicode.Is(unicode.Zs, c) {
		return ' '
	}
	for i := range glyphs {
		if strings.ContainsRune(glyphs[i].runes, c) {
			return glyphs[i].sign
		}
	}
	return signUnknown
}

// fill turns the text into signs and steps over what may stand around a symbol.
func (r *reader) fill() *SymbolError {
	for i, c := range r.text {
		if r.end == maxSymbol {
			return r.fail(r.end, fmt.Sprintf("a symbol of at most %d characters", maxSymbol))
		}
		if unicode.IsControl(c) {
			return r.fail(r.end, "no control characters")
		}
		if _, size := utf8.DecodeRuneInString(r.text[i:]); c == utf8.RuneError && size == 1 {
			return r.fail(r.end, "text in UTF-8")
		}
		r.signs[r.end] = signOf(c)
		r.end++
	}
	for r.at < r.end && strings.IndexByte(" |", r.signs[r.at]) >= 0 {
		r.at++
	}
	for r.end > r.at {
		if last := r.signs[r.end-1]; strings.IndexByte(" |*,;.:", last) < 0 {
			slashes := r.end
			for slashes > r.at && r.signs[slashes-1] == '/' {
				slashes--
			}
			if last != '/' || slashes == r.at || r.signs[slashes-1] != ' ' {
				break
			}
			r.end = slashes // the slashes of further beats: "C7 / /"
		}
		r.end--
	}
	return nil
}

// noChord reports whether the signs say N.C., in any of its spellings.
func (r *reader) noChord() bool {
	var letters [len("nochord")]byte
	n := 0
	for _, c := range r.signs[r.at:r.end] {
		if strings.IndexByte(" ./()[]", c) >= 0 {
			continue
		}
		if n == len(letters) {
			return false
		}
		letters[n] = lower(c)
		n++
	}
	said := string(letters[:n])
	return said == "nc" || said == "nochord"
}

func lower(c byte) byte {
	if c >= 'A' && c <= 'Z' {
		c += 'a' - 'A'
	}
	return c
}
