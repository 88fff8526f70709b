package changes

import (
	"errors"
	"fmt"
	"strings"
	"unicode"

	"shedlight/analyse/harmony"
	"shedlight/analyse/tone"
)

// The letters of the German names that differ.
var (
	nameB     = tone.Name{Letter: 6}
	nameBFlat = tone.Name{Letter: 6, Alter: -1}
)

// symbol reads a chord symbol as this chart means it, and says what was chosen.
// The symbol comes back in a spelling that says the same by itself: without
// blanks, with a capital root, without H.
func (p *parser) symbol(text string, at place) (harmony.Symbol, error) {
	read, err := harmony.ParseSymbol(text)
	if err != nil || read.Chord.None() {
		return read, err
	}
	typed := strings.TrimLeft(read.Text, "([{")
	plain := read.Chord
	read, said := read.InChart()
	if p.hand.german {
		german := p.german(&read, typed)
		if german {
			p.say("H", at, "H is B here, and B is Bb")
		}
		if typed[0] == 'H' || typed[0] == 'h' {
			said = ""
		}
	}
	small := typed[0] >= 'a' && typed[0] <= 'h'
	if small {
		said = p.smallLetter(&read, typed, said, at)
	}
	if said != "" {
		p.say(read.Text+said, at, said)
	}
	if len(read.Alternate) > 0 {
		p.say(text, at, fmt.Sprintf("%s is read as %s: the chord in brackets is another choice, and not played", text, read.Chord.ChartSymbol()))
	}
	if flatApart(typed) {
		p.say(text, at, fmt.Sprintf("%s is read as one chord, %s", text, read.Chord.ChartSymbol()))
	}
	if read.Chord != plain || small || typed != read.Text || strings.ContainsAny(read.Text, " \tHh") {
		read.Text = p.spelled(read)
	}
	return read, nil
}

// smallLetter reads a root in small letters: a bare one is minor where the chart
// has capitals too. It returns what is to be said in place of said.
func (p *parser) smallLetter(read *harmony.Symbol, typed, said string, at place) string {
	major, minor := harmony.FormulaOf(harmony.One, harmony.Three, harmony.Five), harmony.FormulaOf(harmony.One, harmony.FlatThree, harmony.Five)
	bare := read.Chord.Formula == major && strings.IndexAny(strings.ToLower(typed), "mj^+(") < 0
	switch {
	case bare && !p.hand.allLower():
		read.Chord.Formula = minor
		p.say("small minor", at, fmt.Sprintf("%s is read as %s: beside capitals a small letter is minor", typed, read.Chord.ChartSymbol()))
		return ""
	case bare:
		p.say("small major", at, fmt.Sprintf("%s is read as %s, and so are all small letters", typed, read.Chord.ChartSymbol()))
		return ""
	case said == "" && !strings.HasPrefix(typed[1:], "m"): // am says itself that it is minor
		p.say("small", at, fmt.Sprintf("%s is read as %s: a small letter is a capital written in a hurry", typed, read.Chord.ChartSymbol()))
	}
	return said
}

// german reads B as B flat, where H is B; it reports whether the symbol has
// either.
func (p *parser) german(read *harmony.Symbol, typed string) bool {
	c := &read.Chord
	rootH := typed[0] == 'H' || typed[0] == 'h'
	slash := strings.LastIndexByte(typed, '/')
	bassH := slash >= 0 && strings.HasPrefix(strings.TrimLeft(typed[slash+1:], " "), "H")
	over := c.Bass != c.Root
	was := *c
	if c.Root == nameB && !rootH {
		c.Root = nameBFlat
	}
	switch {
	case !over:
		c.Bass = c.Root
	case c.Bass == nameB && !bassH:
		c.Bass = nameBFlat
	}
	return rootH || bassH || *c != was
}

// flatApart reports whether a flat stands apart from its letter.
func flatApart(typed string) bool {
	rest := strings.TrimLeft(typed[1:], " ")
	return len(rest) < len(typed)-1 && strings.HasPrefix(rest, "b") && !isAlteration(rest, "b")
}

// spelled writes a symbol as near to what was typed as a chart can hold.
func (p *parser) spelled(read harmony.Symbol) string {
	text := strings.Join(strings.Fields(read.Text), "")
	// Behind a stroke or a comma an H would be read as a root, and as German.
	if lower := strings.ToLower(text); strings.Contains(lower, "/h") || strings.Contains(lower, ",h") {
		return read.Chord.ChartSymbol()
	}
	if len(read.Alternate) > 0 {
		capital := text[0] >= 'A' && text[0] <= 'G' && !strings.ContainsAny(text, "Hh")
		if back, err := harmony.ParseSymbol(text); capital && err == nil && back.Chord == read.Chord {
			return text
		}
		return read.Chord.ChartSymbol()
	}
	return movedSymbol(text, read.Chord)
}

// badSymbol says where in a symbol it stops making sense.
func (s *sectionParser) badSymbol(t token, err error) {
	e := Error{Line: s.p.line, Column: t.column, Found: quote(t.text), Expected: "a chord symbol like Bb6, Cm7 or G7b9"}
	var at *harmony.SymbolError
	if errors.As(err, &at) {
		e.Column, e.Expected = e.Column+at.Column-1, at.Expected
		switch {
		case at.Found == "":
			e.Found = "the end of " + e.Found
		case at.Column > 1:
			e.Found = quote(at.Found) + " in " + e.Found
		}
	}
	switch {
	case strings.Trim(t.text, dashes) == "":
		e.Hint = hintDots
	case len(t.text) > 2 && strings.IndexFunc(t.text, func(r rune) bool { return !unicode.IsLetter(r) }) < 0:
		e.Hint = "a comment begins with # or //"
	case timesOf(t.text) > 0:
		e.Hint = "x3 stands right after a repeat sign: |: Dm7 | G7 :| x3"
	}
	s.failed = true
	s.p.errs.add(e)
}
