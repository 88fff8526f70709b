package changes

import (
	"bytes"
	"fmt"
	"io"
	"strings"
	"unicode"
	"unicode/utf8"

	"shedlight/analyse/timebase"
)

// Parse reads a chart file. A chart that breaks a rule gives Errors: as many
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
	p := parser{chart: &Chart{Meter: timebase.Common}, header: map[string]place{}}
	for i, line := range strings.Split(string(bytes.TrimPrefix(text, []byte("\uFEFF"))), "\n") {
		p.line = i + 1
		p.readLine(strings.TrimSuffix(line, "\r"))
	}
	p.finish()
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
	line   int
	header map[string]place // header lines seen, and where their values stand
	form   []formWord
	pickup string

	began bool // a section or a bar was seen: the header is over
	meter timebase.Meter
	force override // the key centre override in force

	section *sectionParser
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

func (p *parser) readLine(line string) {
	if !p.plain(line) {
		return
	}
	trimmed := strings.TrimSpace(line)
	if trimmed == "" || trimmed[0] == '#' {
		return
	}
	if name, value, ok := headerLine(line); ok {
		p.readHeader(name, value, line)
		return
	}
	p.readMusic([]rune(line))
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

// readMusic reads a line of bars.
func (p *parser) readMusic(line []rune) {
	p.begin()
	tokens := lexLine(line)
	if tokens[0].kind == sectionToken {
		p.openSection(tokens[0])
		tokens = tokens[1:]
	}
	for _, t := range tokens {
		p.section.take(t)
	}
	p.section.endLine(len(line) + 1)
}

// begin ends the header at the first line of music.
func (p *parser) begin() {
	if p.began {
		return
	}
	p.began = true
	p.meter = p.chart.Meter
	p.section = newSection(p, "")
}

// openSection ends the section before and starts the next.
func (p *parser) openSection(t token) {
	p.closeSection(t.column, t.text)
	p.section = newSection(p, t.text)
	p.section.at = place{p.line, t.column}
	if problem := nameProblem(t.text); problem != "" {
		p.fail(t.column, problem, fmt.Sprintf("a section name of letters and digits, at most %d, like [A]", maxNameRunes))
		return
	}
	if _, ok := p.chart.section(t.text); ok {
		p.fail(t.column, "a second section "+quote(t.text), "another name; a form line plays a section again")
	}
}

func nameProblem(name string) string {
	if name == "" {
		return "a section without a name"
	}
	if utf8.RuneCountInString(name) > maxNameRunes {
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
	if _, err := c.order(); err != nil {
		at, ok := p.header["form"]
		if !ok {
			at = place{1, 1}
		}
		p.failAt(at, "more than "+fmt.Sprint(MaxBars)+" bars in the unrolled form", "at most that many")
	}
}
