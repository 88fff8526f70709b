package changes

import (
	"slices"
	"strconv"
	"strings"
	"unicode"

	"shedlight/analyse/tone"
)

// isNote reports whether a word is a bare note name.
func isNote(word string) bool {
	_, err := tone.ParseName(word)
	return err == nil
}

// isAlteration reports whether a word begins with a sign and a degree that it
// alters, b5 b9 b13 or #5 #9 #11, and goes on with no more than others.
func isAlteration(word, sign string) bool {
	rest, ok := strings.CutPrefix(word, sign)
	if !ok {
		return false
	}
	degrees := []string{"5", "9", "11"}
	if sign == "b" {
		degrees = []string{"5", "9", "13"}
	}
	for _, degree := range degrees {
		if after, ok := strings.CutPrefix(rest, degree); ok {
			return after == "" || !isDigit(after[0]) && strings.Trim(after, "b#♭♯+-0123456789,/()") == ""
		}
	}
	return false
}

// dashes are what some type for a beat that is held.
const dashes = "-–—−_~'’"

func isDigit(c byte) bool { return c >= '0' && c <= '9' }

// beginsQuality are the words that begin with the letter of a root and are none.
var beginsQuality = [...]string{"dim", "dom", "aug", "alt", "add", "half"}

// continues reports whether a word belongs to the chord before it: an
// alteration, a quality, or a flat apart from its letter. The rules are those of
// players: what cannot be a chord of its own belongs to the one before it, and a
// small b, b5, b9 or b13 does, where the chart writes its roots in capitals.
func continues(chord, word string, allLower bool) bool {
	lower := strings.ToLower(word)
	first := []rune(lower)[0]
	switch {
	case strings.NewReplacer(".", "", " ", "").Replace(lower) == "nc", lower == "no chord", strings.Trim(chord, dashes) == "":
		return false
	case strings.Trim(word, dashes) == "": // a dash by itself may hold a beat
		return false
	case word[0] == 'b' && !allLower:
		bare := len(chord) == 1 && chord[0] >= 'A' && chord[0] <= 'G'
		return word == "b" || bare || isAlteration(word, "b")
	}
	for _, q := range beginsQuality {
		if strings.HasPrefix(lower, q) {
			return true
		}
	}
	if first >= 'i' && first <= 'z' {
		return strings.ContainsRune("mnosj", first) // maj, no5, omit3, sus: no other word of a chord begins so
	}
	return first < 'a' || first > 'h'
}

// jumpList are the words and signs of jumps. A dot may be left out, a blank may
// be any number of them.
var jumpList = [...]struct{ written, says string }{
	{"da capo", jumpDC}, {"dal segno", jumpDS}, {"d.c", jumpDC}, {"d.s", jumpDS},
	{"to coda", jumpToCoda}, {"al coda", jumpAlCoda}, {"al fine", jumpAlFine}, {"al segno", jumpAlSegno},
	{"segno", jumpSegno}, {"coda", jumpCoda}, {"fine", jumpFine}, {"𝄋", jumpSegno}, {"𝄌", jumpCoda},
}

// What a jump token says.
const (
	jumpDC      = "D.C."
	jumpDS      = "D.S."
	jumpToCoda  = "To Coda"
	jumpAlCoda  = "al Coda"
	jumpAlFine  = "al Fine"
	jumpAlSegno = "al Segno"
	jumpSegno   = "Segno"
	jumpCoda    = "Coda"
	jumpFine    = "Fine"
)

// jumpWords reads the words of one jump at the front of a line, in brackets or
// not: To Coda, (Fine), D.S.; size is 0 for none. What follows, as al Coda, is a
// token of its own.
func jumpWords(line []rune) (says string, size int) {
	for _, jump := range jumpList {
		n := written(line, jump.written)
		if n == 0 || n < len(line) && (unicode.IsLetter(line[n]) || unicode.IsDigit(line[n])) {
			continue
		}
		for n < len(line) && (line[n] == '.' || line[n] == ')' || line[n] == ':' && barLength(line[n:]) == 0) {
			n++
		}
		return jump.says, n
	}
	return "", 0
}

// written returns how many characters at the front are the words of a jump, a
// bracket before them included, or 0.
func written(line []rune, words string) int {
	n := 0
	if line[0] == '(' {
		n++
	}
	for _, want := range words {
		switch {
		case want == ' ':
			for n < len(line) && line[n] == ' ' {
				n++
			}
		case n < len(line) && unicode.ToLower(line[n]) == want:
			n++
		case want != '.':
			return 0
		}
	}
	return n
}

// endingNumbers reads the numbers of an ending, "1." "1.2." "1,2." "1-3." "1)"
// "[1." and, close behind a bar line or before a blank, "1"; the text has the
// numbers with a dot behind each. Inside a bar only what ends in a dot is one.
func endingNumbers(line []rune, head, close bool) (text string, size int) {
	n := 0
	open := line[0] == '['
	if open {
		n++
	}
	var numbers []string
	dotted := false
	for n < len(line) {
		digits := n
		for digits < len(line) && line[digits] >= '0' && line[digits] <= '9' {
			digits++
		}
		if digits == n {
			break
		}
		number := string(line[n:digits])
		numbers = append(numbers, number)
		n, dotted = digits, false
		for n < len(line) && (strings.ContainsRune(".,-–)", line[n]) || line[n] == ' ' && line[n-1] == ',') {
			dotted = dotted || line[n] == '.' || line[n] == ')'
			if line[n] == '-' || line[n] == '–' {
				numbers = append(numbers, "-")
			}
			n++
		}
	}
	for n < len(line) && (line[n] == ']' || dotted && line[n] == ')') {
		n++
	}
	if len(numbers) == 0 || numbers[len(numbers)-1] == "-" || open && isName(line[n:]) {
		return "", 0
	}
	next := n
	for next < len(line) && unicode.IsSpace(line[next]) {
		next++
	}
	alone := next == len(line) || barLength(line[next:]) > 0 // a chord as a number
	bare := head && !alone && (next > n || close && unicode.IsLetter(line[n]) && line[n] != 'x')
	if !(open && head || dotted && (head || !slices.Contains(line[:n], ')')) || bare) {
		return "", 0
	}
	return spellNumbers(numbers), n
}

// isName reports whether a word goes on up to a closing bracket, as in [2nd].
func isName(rest []rune) bool {
	end := slices.Index(rest, ']')
	return end > 0 && nameProblem(string(rest[:end])) == ""
}

// spellNumbers writes ending numbers one by one: 1 - 3 is 1.2.3.
func spellNumbers(numbers []string) string {
	var b strings.Builder
	for i := 0; i < len(numbers); i++ {
		b.WriteString(numbers[i] + ".")
		if i+2 >= len(numbers) || numbers[i+1] != "-" {
			continue
		}
		from, err1 := strconv.Atoi(numbers[i])
		to, err2 := strconv.Atoi(numbers[i+2])
		if err1 == nil && err2 == nil && to <= maxEndings {
			for n := from + 1; n < to; n++ {
				b.WriteString(strconv.Itoa(n) + ".")
			}
		}
		i++
	}
	return b.String()
}

// timesOf reads how often a repeat is played in all, x3 or 3x, or returns 0.
func timesOf(word string) int {
	word = strings.ToLower(strings.Trim(word, "()."))
	digits, ok := strings.CutPrefix(word, "x")
	if !ok {
		if digits, ok = strings.CutSuffix(word, "x"); !ok {
			return 0
		}
	}
	n, err := strconv.Atoi(digits)
	if err != nil || n < 0 {
		return 0
	}
	return n
}
