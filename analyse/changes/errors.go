package changes

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"
)

const (
	maxErrors     = 50 // more than a player mends at one go
	maxQuoteRunes = 24 // of what was found, in a message of one line
)

// Error is one thing wrong in a chart or a lead sheet: where it stands, what
// was found there and what was expected. Its text has no control characters,
// whatever the file holds.
type Error struct {
	Line, Column int    // from 1; the column counts characters, not bytes
	Place        string // in a lead sheet: "part P1, measure 12"; else empty
	Found        string
	Expected     string
	Hint         string // the way to write it; said once for a file
}

// Error says it in one line.
func (e Error) Error() string {
	return fmt.Sprintf("%s: found %s, expected %s", position(e.Place, e.Line, e.Column), e.Found, e.Expected)
}

// Errors is everything found wrong in one pass, in the order of the file, at
// most 50.
type Errors []Error

// Error says one a line, and behind them, each once, how it is written.
func (es Errors) Error() string {
	lines := make([]string, len(es))
	for i, e := range es {
		lines[i] = e.Error()
	}
	for _, e := range es {
		if e.Hint != "" && !slices.Contains(lines, e.Hint) {
			lines = append(lines, e.Hint)
		}
	}
	return strings.Join(lines, "\n")
}

// add keeps an error while there is room.
func (es *Errors) add(e Error) {
	if len(*es) < maxErrors {
		*es = append(*es, e)
	}
}

// orNil returns the errors as an error, nil where there are none.
func (es Errors) orNil() error {
	if len(es) == 0 {
		return nil
	}
	slices.SortStableFunc(es, func(a, b Error) int {
		return cmp.Or(cmp.Compare(a.Line, b.Line), cmp.Compare(a.Column, b.Column))
	})
	return es
}

// quote returns text from a file as a message may show it: in quotes, control
// characters escaped, cut where it is long.
func quote(text string) string {
	if utf8.RuneCountInString(text) > maxQuoteRunes {
		text = string([]rune(text)[:maxQuoteRunes]) + "..."
	}
	return strconv.QuoteToGraphic(text)
}

// fileError is a single error about a whole file.
func fileError(found, expected string) Errors {
	return Errors{{Line: 1, Column: 1, Found: found, Expected: expected}}
}
