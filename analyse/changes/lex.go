package changes

import (
	"strings"
	"unicode"
)

// tokenKind sorts what stands on a line of bars.
type tokenKind uint8

const (
	barToken     tokenKind = iota + 1 // | || |: :| :|:
	sectionToken                      // [A], first on its line
	braceToken                        // {F minor}
	endingToken                       // 1. or 1.2.
	dotToken                          // .
	sameToken                         // %
	symbolToken                       // anything else: N.C. or a chord symbol
	brokenToken                       // { or [ that is not closed
)

// token is one of them with its place. text is what stands between the
// brackets or braces, or the whole of it for the other kinds.
type token struct {
	kind       tokenKind
	text       string
	column     int  // from 1, in characters
	start, end bool // barToken: opens, closes a repeat
}

// lexLine cuts a line of bars into tokens. Every character but white space
// lands in a token, so nothing on the line is passed over.
func lexLine(line []rune) []token {
	var out []token
	for i := 0; i < len(line); {
		if unicode.IsSpace(line[i]) {
			i++
			continue
		}
		t, size := lexOne(line[i:], len(out) == 0)
		t.column = i + 1
		out = append(out, t)
		i += size
	}
	return out
}

// lexOne reads the token at the front of line, which is not white space.
func lexOne(line []rune, first bool) (token, int) {
	switch {
	case atBar(line):
		return lexBar(line)
	case line[0] == '{':
		return lexEnclosed(line, '}', braceToken)
	case line[0] == '[' && first:
		return lexEnclosed(line, ']', sectionToken)
	case line[0] == '.':
		return token{kind: dotToken, text: "."}, 1
	}
	if n := endingLength(line); n > 0 {
		return token{kind: endingToken, text: string(line[:n])}, n
	}
	n := 1
	for n < len(line) && !unicode.IsSpace(line[n]) && line[n] != '{' && !atBar(line[n:]) {
		n++
	}
	t := token{kind: symbolToken, text: string(line[:n])}
	if t.text == "%" {
		t.kind = sameToken
	}
	return t, n
}

// atBar reports whether a bar line stands at the front.
func atBar(line []rune) bool {
	return line[0] == '|' || line[0] == ':' && len(line) > 1 && line[1] == '|'
}

func lexBar(line []rune) (token, int) {
	t := token{kind: barToken}
	n := 0
	if line[n] == ':' {
		t.end = true
		n++
	}
	for n < len(line) && line[n] == '|' {
		n++
	}
	if n < len(line) && line[n] == ':' {
		t.start = true
		n++
	}
	t.text = string(line[:n])
	return t, n
}

func lexEnclosed(line []rune, closing rune, kind tokenKind) (token, int) {
	for n, r := range line {
		if r == closing {
			return token{kind: kind, text: strings.TrimSpace(string(line[1:n]))}, n + 1
		}
	}
	return token{kind: brokenToken, text: string(line[0])}, len(line)
}

// endingLength returns how many characters at the front are ending numbers, or
// 0: digits and a dot, any number of times.
func endingLength(line []rune) int {
	end := 0
	for i := 0; i < len(line); {
		digits := 0
		for i+digits < len(line) && line[i+digits] >= '0' && line[i+digits] <= '9' {
			digits++
		}
		i += digits
		if digits == 0 || i >= len(line) || line[i] != '.' {
			break
		}
		i++
		end = i
	}
	return end
}
