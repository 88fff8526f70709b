package harmony

import "strings"

// saying is what a word of a chord symbol means.
type saying uint8

const (
	sayMajor saying = iota + 1
	sayTriangle
	sayMinor
	sayDiminished
	sayHalfDim
	sayAugmented
	sayDominant
	saySus
	saySusFlat2
	saySusSharp4
	sayAltered
	sayAdd
	sayOmit
	sayFlat
	sayDoubleFlat
	saySharp
	sayNatural
	saySeparator
)

// words is the vocabulary between the root and the bass; longer words stand
// before their beginnings. Case counts only where exact is set. A word is not
// taken before the letters in unless: Cmadd9 is m + add9, Cmino5 is mi + no5.
var words = [...]struct {
	text   string
	means  saying
	exact  bool
	unless string
}{
	{text: "half-diminished", means: sayHalfDim},
	{text: "half diminished", means: sayHalfDim},
	{text: "halfdiminished", means: sayHalfDim},
	{text: "half-dim", means: sayHalfDim},
	{text: "half dim", means: sayHalfDim},
	{text: "halfdim", means: sayHalfDim},
	{text: "hdim", means: sayHalfDim},
	{text: "h", means: sayHalfDim, exact: true},
	{text: string(rune(signHalfDim)), means: sayHalfDim},
	{text: "diminished", means: sayDiminished},
	{text: "dim", means: sayDiminished},
	{text: "dominant", means: sayDominant},
	{text: "dom", means: sayDominant},
	{text: "omitted", means: sayOmit},
	{text: "omit", means: sayOmit},
	{text: "o", means: sayDiminished},
	{text: "0", means: sayDiminished},
	{text: string(rune(signCircle)), means: sayDiminished},
	{text: "augmented", means: sayAugmented},
	{text: "aug", means: sayAugmented},
	{text: "altered", means: sayAltered},
	{text: "alt", means: sayAltered},
	{text: "added", means: sayAdd},
	{text: "add", means: sayAdd},
	{text: "major", means: sayMajor},
	{text: "maj", means: sayMajor},
	{text: "ma", means: sayMajor, unless: "dd"},
	{text: "mj", means: sayMajor},
	{text: "minor", means: sayMinor},
	{text: "min", means: sayMinor, unless: "o5"},
	{text: "mi", means: sayMinor},
	{text: "M", means: sayMajor, exact: true},
	{text: "m", means: sayMinor, exact: true},
	{text: "j", means: sayTriangle},
	{text: "^", means: sayTriangle},
	{text: "suspended", means: saySus},
	{text: "susb2", means: saySusFlat2},
	{text: "sus\x012", means: saySusFlat2}, // signFlat
	{text: "sus#4", means: saySusSharp4},
	{text: "sus", means: saySus},
	{text: "no", means: sayOmit},
	{text: "flat", means: sayFlat},
	{text: "bb", means: sayDoubleFlat, exact: true},
	{text: string(rune(signDoubleFlat)), means: sayDoubleFlat},
	{text: "b", means: sayFlat, exact: true},
	{text: string(rune(signFlat)), means: sayFlat},
	{text: "sharp", means: saySharp},
	{text: "#", means: saySharp},
	{text: string(rune(signNatural)), means: sayNatural},
	{text: " ", means: saySeparator},
	{text: ",", means: saySeparator},
	{text: ";", means: saySeparator},
	{text: ".", means: saySeparator},
	{text: ":", means: saySeparator},
	{text: "&", means: saySeparator},
}

// numbers that a symbol may show without an accidental; longer ones first.
var numbers = [...]struct {
	text  string
	value uint8
}{
	{"69", sixNine}, {"13", 13}, {"11", 11}, {"10", 10},
	{"2", 2}, {"3", 3}, {"4", 4}, {"5", 5}, {"6", 6}, {"7", 7}, {"9", 9},
}

const sixNine = 69

// What an error says was expected.
const (
	wantRoot     = "a root A to G, or N.C."
	wantBass     = "a bass note A to G"
	wantQuality  = "a sign of a chord, such as m, maj, 7, b9 or sus, or the end"
	wantDegree   = "a degree: 2 to 7, 9, 11 or 13"
	wantAltered  = "a degree to alter: 5, 9, 11 or 13"
	wantNumber   = "6, 7, 9, 11 or 13"
	wantTogether = "the flat and its letter written together, Cb7, or two chords, C B7"
	wantOther    = "no sign twice"
	wantClose    = "a closing bracket"
	wantEnd      = "the end of the symbol"
)

// reader goes through the signs of one symbol.
type reader struct {
	text  string
	signs [maxSymbol]byte
	at    int // the next sign
	end   int // one past the last
}

// peek returns the sign some places ahead, 0 past the end.
func (r *reader) peek(ahead int) byte {
	if r.at+ahead >= r.end {
		return 0
	}
	return r.signs[r.at+ahead]
}

func (r *reader) skipBlanks() {
	for r.peek(0) == ' ' {
		r.at++
	}
}

// starts reports whether text stands some places ahead; unless exact, in any
// case of letters.
func (r *reader) starts(ahead int, text string, exact bool) bool {
	from := r.at + ahead
	if r.end-from < len(text) {
		return false
	}
	for i := range len(text) {
		if c := r.signs[from+i]; c != text[i] && (exact || lower(c) != text[i]) {
			return false
		}
	}
	return true
}

// word returns the word that stands here and its length, 0 for none.
func (r *reader) word() (means saying, size int) {
	for i := range words {
		w := &words[i]
		if r.starts(0, w.text, w.exact) && (w.unless == "" || !r.starts(len(w.text), w.unless, false)) {
			return w.means, len(w.text)
		}
	}
	return 0, 0
}

// number returns the number that stands here and its length, 0 for none.
func (r *reader) number() (value uint8, size int) {
	for i := range numbers {
		if r.starts(0, numbers[i].text, true) {
			return numbers[i].value, len(numbers[i].text)
		}
	}
	return 0, 0
}

func isOpen(c byte) bool  { return c == '(' || c == '[' || c == '{' }
func isClose(c byte) bool { return c == ')' || c == ']' || c == '}' }
func isDigit(c byte) bool { return c >= '0' && c <= '9' }

// isRoot reports whether a sign is a letter that a capital root may have.
func isRoot(c byte) bool { return strings.IndexByte("ABCDEFGH", c) >= 0 }
