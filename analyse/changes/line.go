package changes

import (
	"slices"
	"strings"
	"unicode"
)

// partWords name parts of a tune: a line that is one of them, or has one before
// a colon, begins a section.
var partWords = [...]string{
	"intro", "introduction", "verse", "chorus", "prechorus", "pre-chorus", "bridge", "head", "coda", "ending", "interlude",
	"outro", "tag", "vamp", "solo", "solos", "refrain", "theme", "channel", "release", "section", "part", "turnaround",
}

// orderWords stand before the letter of a part: last A.
var orderWords = [...]string{"last", "first", "second", "third", "final"}

// sectionHead reads the name of a section at the head of a line: A: and Intro:,
// with bars behind it or not, *A, and a part alone on its line. size is how many
// characters the head takes.
func sectionHead(line string) (name string, size int, ok bool) {
	trimmed := strings.TrimSpace(line)
	indent := len([]rune(line)) - len([]rune(strings.TrimLeftFunc(line, unicode.IsSpace)))
	if starred := strings.TrimLeft(trimmed, "*"); starred != trimmed {
		end := strings.IndexFunc(starred, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) && r != '\'' })
		if end < 0 {
			end = len(starred)
		}
		rest := strings.TrimLeft(starred[end:], "*:")
		return starred[:end], indent + len([]rune(trimmed)) - len([]rune(rest)), end > 0
	}
	name, rest, colon := strings.Cut(trimmed, ":")
	switch {
	case !colon:
		return trimmed, len([]rune(line)), isPart(trimmed, false) && !strings.EqualFold(trimmed, jumpCoda)
	case strings.HasPrefix(rest, "|") && (strings.HasSuffix(name, " ") || !strings.Contains(strings.TrimLeft(rest, "|:"), "|")):
		return "", 0, false // A :| ends a repeat
	}
	return name, indent + len([]rune(name)) + 1, isPart(name, true)
}

// isPart reports whether a text names a part of a tune: some words with one that
// does and, where a colon stands behind them, which letters says, a letter.
func isPart(text string, letters bool) bool {
	const most = 3 // words: the second verse
	words := strings.Fields(strings.ToLower(text))
	if len(words) == 0 || len(words) > most {
		return false
	}
	known, ordered := false, false
	for i, w := range words {
		if strings.TrimFunc(w, func(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) || r == '\'' || r == '-' }) != "" {
			return false
		}
		if timesOf(w) > 0 {
			return false // it asks for more than a name
		}
		bare := strings.TrimRight(w, "0123456789'")
		part := slices.Contains(partWords[:], bare)
		order := slices.Contains(orderWords[:], w)
		known, ordered = known || part, ordered || order
		if !letters && !part && !order && (i == 0 || len(bare) > 1) {
			return false // alone on its line it says nothing else
		}
	}
	last := strings.TrimRight(words[len(words)-1], "0123456789'")
	letter := len(last) == 1 && last[0] >= 'a' && last[0] <= 'z'
	return known || letter && (ordered && len(words) == 2 || letters && len(words) == 1)
}
