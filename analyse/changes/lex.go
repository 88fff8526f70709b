package changes

import (
	"slices"
	"strings"
	"unicode"

	"shedlight/analyse/harmony"
)

// tokenKind sorts what stands on a line of bars.
type tokenKind uint8

const (
	barToken     tokenKind = iota + 1 // | || |] |: :| :|:
	sectionToken                      // [A], first on its line or after a bar line
	braceToken                        // {F minor}
	endingToken                       // 1. or 1.2. or [1. or 1)
	timesToken                        // x3 or 3x after a repeat sign
	jumpToken                         // D.C. al Fine, To Coda, Segno
	dotToken                          // .
	slashToken                        // / by itself
	sameToken                         // % or %%
	symbolToken                       // anything else: N.C. or a chord symbol
	brokenToken                       // { or [ that is not closed
)

// token is one of them with its place. text is what stands between the
// brackets or braces, what a jump says in small letters, or the whole of it for
// the other kinds.
type token struct {
	kind       tokenKind
	text       string
	column     int  // from 1, in characters
	start, end bool // barToken: opens, closes a repeat
}

// lexer cuts a line of bars into tokens. Every character but white space, the
// commas between chords and what is a comment lands in a token, so nothing on
// the line is passed over.
type lexer struct {
	line     []rune
	at       int
	out      []token
	allLower bool // no root of the chart is a capital: b9 is a chord
	brackets int  // open around several chords
}

// lexLine returns the tokens from a place on, and the comment behind them.
func lexLine(line []rune, from int, allLower bool) (tokens []token, comment string) {
	x := lexer{line: make([]rune, len(line)), at: from, allLower: allLower}
	for i, r := range line {
		x.line[i] = plainSign(r)
	}
	for x.at < len(x.line) {
		switch r := x.line[x.at]; {
		case unicode.IsSpace(r), r == ',' && x.last() == symbolToken, r == ')' && x.brackets > 0:
			x.at++
			continue
		}
		if x.comment() {
			return x.out, string(x.rest())
		}
		x.next()
	}
	return x.out, ""
}

// plainSign returns the ASCII sign for what stands for one on a line of bars.
func plainSign(r rune) rune {
	switch r {
	case '│', '┃', '║', '┆', '┊', '▏', '¦', '∣', '‖', '｜', '𝄀', '𝄁', '𝄂', '𝄃':
		return '|'
	case '·', '•', '∙':
		return '.'
	case '×':
		return 'x'
	case '⁄', '∕', '╱':
		return '/'
	case '𝄎':
		return '%'
	}
	return r
}

// last returns the kind of the last token, 0 at the head of the line.
func (x *lexer) last() tokenKind {
	if len(x.out) == 0 {
		return 0
	}
	return x.out[len(x.out)-1].kind
}

// atHead reports whether a bar begins here.
func (x *lexer) atHead() bool {
	switch x.last() {
	case 0, barToken, sectionToken, timesToken:
		return true
	}
	return false
}

// rest returns the line from here on; it is never empty.
func (x *lexer) rest() []rune { return x.line[x.at:] }

// peek returns a character ahead, 0 past the end.
func (x *lexer) peek(ahead int) rune {
	if x.at+ahead >= len(x.line) {
		return 0
	}
	return x.line[x.at+ahead]
}

func (x *lexer) add(kind tokenKind, text string, size int) {
	x.out = append(x.out, token{kind: kind, text: text, column: x.at + 1})
	x.at += size
}

// comment reports whether the rest of the line is one: # at the start of a word
// that is no alteration of the chord before it, or // where no beats are meant.
func (x *lexer) comment() bool {
	if x.peek(0) == '#' {
		return !(x.last() == symbolToken && isAlteration(string(x.word(x.at)), "#"))
	}
	if x.peek(0) != '/' || x.peek(1) != '/' {
		return false
	}
	if x.atHead() {
		return true
	}
	words := false
	for _, word := range strings.Fields(strings.TrimLeft(string(x.rest()), "/")) {
		if barLength([]rune(word)) > 0 {
			break
		}
		word = strings.Trim(word, "/.")
		if _, err := harmony.ParseSymbol(word); err == nil {
			return false // two beats, or who knows: no chord is passed over
		}
		words = words || word != ""
	}
	return words
}

// next reads the token that stands here.
func (x *lexer) next() {
	line := x.rest()
	if size := barLength(line); size > 0 {
		text := string(line[:size])
		x.out = append(x.out, token{
			kind: barToken, text: text, column: x.at + 1,
			start: strings.HasSuffix(text, ":") || text == "𝄆", end: strings.HasPrefix(text, ":") || text == "𝄇",
		})
		x.at += size
		return
	}
	if text, size := endingNumbers(line, x.atHead(), x.last() == barToken && x.line[x.at-1] == '|'); size > 0 {
		x.add(endingToken, text, size)
		return
	}
	if text, size := x.headSign(); size > 0 {
		kind := sameToken
		if text[0] != '%' {
			kind = braceToken
		}
		x.add(kind, text, size)
		return
	}
	switch {
	case line[0] == '{':
		x.enclosed('}', braceToken)
		return
	case line[0] == '[' && x.beginsSection():
		x.enclosed(']', sectionToken)
		if x.at < len(x.line) && x.line[x.at] == ':' && barLength(x.rest()) == 0 {
			x.at++
		}
		return
	case line[0] == '.':
		x.add(dotToken, ".", 1)
		return
	case line[0] == '𝄏':
		x.add(sameToken, "%%", 1)
		return
	case line[0] == '/' && !x.bass():
		x.add(slashToken, "/", 1)
		return
	}
	if text, size := jumpWords(line); size > 0 {
		x.add(jumpToken, text, size)
		return
	}
	word := x.word(x.at)
	switch text := string(word); {
	case text == "%", text == "%%":
		x.add(sameToken, text, len(word))
	case x.last() == barToken && x.out[len(x.out)-1].end && timesOf(text) > 0:
		x.add(timesToken, text, len(word))
	default:
		x.symbol(word)
	}
}

// headSign reads what is typed at the head of a bar in place of a sign of ours: a
// meter without its braces, and ./. for %.
func (x *lexer) headSign() (text string, size int) {
	if !x.atHead() && x.last() != braceToken {
		return "", 0
	}
	size = 0
	for x.peek(size) != 0 && !unicode.IsSpace(x.peek(size)) && x.peek(size) != '|' {
		size++
	}
	switch word := string(x.line[x.at : x.at+size]); word {
	case "./.":
		return "%", size
	case ".//.":
		return "%%", size
	default:
		if _, ok := parseMeter(word); ok {
			return word, size
		}
	}
	return "", 0
}

// symbol adds a word of a chord: a chord of its own, or more of the one before.
func (x *lexer) symbol(word []rune) {
	if x.last() != symbolToken && x.bracketed(word) {
		return
	}
	end := len(word)
	for end > 1 && (word[end-1] == '/' || word[end-1] == '.' && holds(string(word[:end-1]))) {
		end-- // slashes and dots of further beats, written close
	}
	if end < len(word) && word[end] == ')' {
		end++
	}
	word = word[:end]
	if n := len(x.out); x.last() == symbolToken && continues(x.out[n-1].text, string(word), x.allLower) {
		x.out[n-1].text += " " + string(word)
		x.at += len(word)
		return
	}
	x.add(symbolToken, string(word), len(word))
}

// holds reports whether a dot close behind a word is a beat and no part of it,
// as in N.C. and C7alt.
func holds(word string) bool {
	word = strings.ToLower(strings.TrimRight(strings.ReplaceAll(word, " ", ""), "."))
	for _, whole := range [...]string{"n", "n.c", "alt", "sus", "maj", "min", "dim", "aug"} {
		if word == whole || len(whole) == 3 && strings.HasSuffix(word, whole) {
			return false
		}
	}
	return true
}

// bracketed steps into a bracket around several chords.
func (x *lexer) bracketed(word []rune) bool {
	if word[0] != '(' || !slices.Contains(word, ' ') {
		return false
	}
	if _, err := harmony.ParseSymbol(string(word)); err == nil {
		return false
	}
	x.brackets++
	x.at++
	return true
}

// word returns what stands from a place up to a blank, a bar line, a brace or
// the comma before another chord; what is in brackets stays together.
func (x *lexer) word(from int) []rune {
	depth := 0
	for i := from; i < len(x.line); i++ {
		r := x.line[i]
		ends := r == '{' || barLength(x.line[i:]) > 0 ||
			depth == 0 && (unicode.IsSpace(r) || r == ',' && x.separates(i+1) || r == ')' && x.brackets > 0)
		switch {
		case i > from && ends:
			return x.joined(from, i)
		case r == '(', r == '[':
			depth++
		case depth > 0 && (r == ')' || r == ']'):
			depth--
		}
	}
	return x.line[from:]
}

// joined returns a word, and the next one with it where the two say N. C. or no
// chord.
func (x *lexer) joined(from, to int) []rune {
	word := strings.ToLower(string(x.line[from:to]))
	if word != "n" && word != "n." && word != "no" {
		return x.line[from:to]
	}
	i := to
	for i < len(x.line) && unicode.IsSpace(x.line[i]) {
		i++
	}
	for _, more := range [...]string{"c.", "c", "chord"} {
		end := i + len(more)
		if end <= len(x.line) && strings.EqualFold(string(x.line[i:end]), more) && (word == "no") == (more == "chord") {
			return x.line[from:end]
		}
	}
	return x.line[from:to]
}

// separates reports whether a comma divides two chords: a blank or a root stands
// behind it.
func (x *lexer) separates(i int) bool {
	return i >= len(x.line) || unicode.IsSpace(x.line[i]) || x.line[i] >= 'A' && x.line[i] <= 'H' || x.line[i] == '|'
}

// beginsSection reports whether a bracket here is the name of a section: first
// on its line, or behind a bar line and with bars behind it.
func (x *lexer) beginsSection() bool {
	if len(x.out) == 0 {
		return true
	}
	end := slices.Index(x.rest(), ']')
	if x.last() != barToken || end < 0 {
		return false
	}
	for i := x.at + end + 1; i < len(x.line); i++ {
		if !unicode.IsSpace(x.line[i]) {
			return barLength(x.line[i:]) == 0
		}
	}
	return false
}

func (x *lexer) enclosed(closing rune, kind tokenKind) {
	end := slices.Index(x.rest(), closing)
	if end < 0 {
		x.add(brokenToken, string(x.peek(0)), len(x.rest()))
		return
	}
	x.add(kind, strings.TrimSpace(string(x.line[x.at+1:x.at+end])), end+1)
}

// bass reports whether a slash here is written close to a bare note and behind a
// chord: C /E.
func (x *lexer) bass() bool {
	return x.last() == symbolToken && isNote(string(x.word(x.at+1)))
}

// barLength returns how many characters at the front are a bar line, or 0.
func barLength(line []rune) int {
	n := 0
	if line[0] == '𝄆' || line[0] == '𝄇' {
		return 1
	}
	if line[0] == ':' || line[0] == '[' {
		n++
	}
	bars := 0
	for n+bars < len(line) && line[n+bars] == '|' {
		bars++
	}
	if bars == 0 {
		return 0
	}
	n += bars
	if n < len(line) && (line[n] == ':' || line[n] == ']') {
		n++
	}
	return n
}
