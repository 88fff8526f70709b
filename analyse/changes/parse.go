package changes

import (
	"cmp"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"shedlight/analyse/harmony"
	"shedlight/analyse/timebase"
)

// Parse reads a chart file, as players type them: what a musician would read
// without doubt is read; where there is doubt the usual reading is taken, and
// the chart's Remarks say so. A chart that cannot be read gives Errors: as many
// as one pass can find, each with line, column, what was found and what was
// expected. An error of the reader comes back as it is.
//
// The text is read from top to bottom: a change of meter and an override of
// the key centre hold for every bar written after them, whatever the order the
// sections are played in.
func Parse(r io.Reader) (*Chart, error) {
	text, err := atMost(r, MaxChartBytes, fileError("a file of more than 256 KiB", "a chart of at most 256 KiB"))
	if err != nil {
		return nil, err
	}
	p := parser{chart: &Chart{Meter: timebase.Common}, header: map[string]place{}, said: map[string]bool{}}
	lines := splitLines(string(utf8Text(text)))
	p.hand = handOf(lines)
	for i, line := range lines {
		p.line = i + 1
		p.readLine(line)
	}
	p.finish()
	slices.SortStableFunc(p.chart.Remarks, func(a, b Remark) int {
		return cmp.Or(cmp.Compare(a.Line, b.Line), cmp.Compare(a.Column, b.Column))
	})
	if err := p.errs.orNil(); err != nil {
		return nil, err
	}
	return p.chart, nil
}

// place is where something stands, from 1.
type place struct{ line, column int }

// parser holds what is known at a point of the text.
type parser struct {
	chart  *Chart
	errs   Errors
	said   map[string]bool // what remarks have been made of
	hand   hand
	line   int
	header map[string]place // header lines seen, and where their values stand
	form   []formWord
	pickup string

	began bool           // a section or a bar was seen: the header is over
	meter timebase.Meter // the zero Meter: none yet
	tempo int64          // in force, in microseconds a quarter note; 0: none
	beats int            // the tempo that begins with the next bar, in its beats a minute; 0: none
	force override       // the key centre override in force

	section *sectionParser
	jumped  jumped
	signs   []barSigns // of all bars of the closed sections, in order
}

// override is a key centre the player has set, until {auto}.
type override struct {
	centre Centre
	on     bool
}

// formWord is one word of the form line.
type formWord struct {
	text string
	at   place
}

// fail records an error on the current line.
func (p *parser) fail(column int, found, expected string) {
	p.failAt(place{p.line, column}, found, expected)
}

func (p *parser) failAt(at place, found, expected string) {
	p.errs.add(Error{Line: at.line, Column: at.column, Found: found, Expected: expected})
}

// say makes a remark, once for each subject.
func (p *parser) say(subject string, at place, text string) {
	if p.said[subject] {
		return
	}
	p.said[subject] = true
	p.chart.Remarks = append(p.chart.Remarks, Remark{Line: at.line, Column: at.column, Text: text})
}

func (p *parser) readLine(line string) {
	if !p.plain(line) {
		return
	}
	trimmed := strings.TrimSpace(line)
	if trimmed == "" || trimmed[0] == '#' {
		return
	}
	if name, size, ok := sectionHead(line); ok {
		p.begin()
		p.openSection(token{kind: sectionToken, text: name, column: 1 + utf8.RuneCountInString(line) - utf8.RuneCountInString(strings.TrimLeft(line, " \t"))})
		p.readMusic([]rune(line), size)
		return
	}
	if name, value, ok := headerLine(line); ok {
		p.readHeader(name, value, line)
		return
	}
	p.readMusic([]rune(line), 0)
}

// plain reports whether a line is text that a terminal can be shown. The first
// character that is not is an error.
func (p *parser) plain(line string) bool {
	column := 1
	for i, r := range line {
		if _, size := utf8.DecodeRuneInString(line[i:]); r == utf8.RuneError && size == 1 {
			p.fail(column, fmt.Sprintf("the byte 0x%02X", line[i]), "text in UTF-8")
			return false
		}
		if !unicode.IsGraphic(r) && r != '\t' {
			p.fail(column, fmt.Sprintf("the control character U+%04X", r), "plain text")
			return false
		}
		column++
	}
	return true
}

// readMusic reads a line of bars, from a place on.
func (p *parser) readMusic(line []rune, from int) {
	tokens, comment := lexLine(line, from, p.hand.allLower())
	if n := len(tokens); n > 0 && tokens[n-1].kind == symbolToken && strings.ContainsRune(comment, '|') {
		p.say("comment"+comment, place{p.line, len(line) - len([]rune(comment)) + 1}, "what follows is a comment, with bar lines in it: "+quote(comment))
	}
	if !p.began && p.braces(tokens) {
		return
	}
	p.begin()
	bars := slices.ContainsFunc(tokens, func(t token) bool { return t.kind == barToken })
	if !bars && p.words(line, tokens, from == 0) {
		return
	}
	if len(tokens) > 0 && tokens[0].kind == jumpToken && tokens[0].text == jumpCoda {
		p.openCoda(tokens[0])
	}
	for _, t := range tokens {
		if t.kind == sectionToken {
			p.section.endLine(t.column)
			p.openSection(t)
			continue
		}
		p.section.take(t)
	}
	if n := len(p.section.items); !bars && n > 1 {
		p.say("no bar lines", place{p.line, tokens[0].column}, "a line without bar lines is one bar")
	}
	p.section.endLine(len(line) + 1)
}

// braces reads a line of braces among the headers, as {3/4}: the header goes on.
func (p *parser) braces(tokens []token) bool {
	if len(tokens) == 0 || slices.ContainsFunc(tokens, func(t token) bool { return t.kind != braceToken }) {
		return false
	}
	s := newSection(p, "")
	for _, t := range tokens {
		s.brace(t)
	}
	return true
}

// words refuses a line without bar lines that holds what is no chord: once, and
// not for each word of it.
func (p *parser) words(line []rune, tokens []token, whole bool) bool {
	for _, t := range tokens {
		if t.kind != symbolToken {
			continue
		}
		if _, err := harmony.ParseSymbol(t.text); err == nil && !(whole && p.loneLetter(t, tokens)) {
			continue
		}
		found := quote(strings.TrimSpace(string(line)))
		p.errs.add(Error{
			Line: p.line, Column: tokens[0].column, Found: found, Expected: "bars of chords",
			Hint: "a comment begins with #, a section is [A], a bar stands between bar lines: | Dm7 G7 |",
		})
		p.section.failed = true
		return true
	}
	return false
}

// loneLetter reports whether a token is a letter alone on its line in a chart
// that has bar lines: a section or a chord?
func (p *parser) loneLetter(t token, tokens []token) bool {
	return p.hand.bars && len(tokens) == 1 && len(t.text) == 1
}

// begin ends the header at the first line of music.
func (p *parser) begin() {
	if p.began {
		return
	}
	p.began = true
	if p.meter == (timebase.Meter{}) {
		p.meter = p.chart.Meter
	}
	p.section = newSection(p, "")
}

// openSection ends the section before and starts the next.
func (p *parser) openSection(t token) {
	name := strings.Join(strings.Fields(t.text), "") // the form line tells names apart by blanks
	p.closeSection(t.column, name)
	p.section = newSection(p, name)
	p.section.at = place{p.line, t.column}
	if problem := nameProblem(name); problem != "" {
		p.fail(t.column, problem, fmt.Sprintf("a section name of letters and digits, at most %d, like [A]", maxNameRunes))
		return
	}
	if strings.EqualFold(name, jumpCoda) {
		p.section.pending.coda = jumpLabel
	}
	if _, ok := p.chart.section(name); ok {
		p.fail(t.column, "a second section "+quote(name), "another name; a form line plays a section again")
	}
}

func nameProblem(name string) string {
	if name == "" {
		return "a section without a name"
	}
	if utf8.RuneCountInString(name) > maxNameRunes {
		return quote(name)
	}
	if isNumber(name) { // in brackets it would be an ending
		return quote(name)
	}
	for _, r := range name {
		if !unicode.IsLetter(r) && !unicode.IsDigit(r) && !strings.ContainsRune("-_'", r) {
			return quote(name)
		}
	}
	return ""
}

// closeSection puts the section being read into the chart. next is the name of
// the one that follows, empty at the end of the file.
func (p *parser) closeSection(column int, next string) {
	s := p.section
	s.end(column, next)
	switch n := len(p.chart.Sections); {
	case n > maxSections:
	case n == maxSections:
		p.failAt(s.at, fmt.Sprintf("more than %d sections", maxSections), "fewer")
		p.chart.Sections = append(p.chart.Sections, Section{Name: s.name})
	case len(s.bars) > 0:
		p.chart.Sections = append(p.chart.Sections, Section{Name: s.name, Bars: s.bars})
		p.signs = append(p.signs, s.signs...)
	case s.name != "" && !s.failed:
		p.failAt(s.at, "section "+quote(s.name)+" without bars", "at least one bar in it")
	}
}

// finish checks what can only be checked at the end of the file.
func (p *parser) finish() {
	if p.began {
		p.closeSection(1, "")
	}
	c := p.chart
	if len(c.Sections) == 0 {
		if len(p.errs) == 0 {
			p.fail(1, "the end of the file", "at least one line of bars, like | Dm7 G7 | C6 |")
		}
		return
	}
	p.readPickup()
	p.readForm()
	if len(p.errs) > 0 {
		return
	}
	p.playOut()
	if len(p.errs) > 0 {
		return
	}
	if _, err := c.order(); err != nil {
		at, ok := p.header["form"]
		if !ok {
			at = place{1, 1}
		}
		p.failAt(at, "more than "+fmt.Sprint(MaxBars)+" bars in the unrolled form", "at most that many")
	}
}
