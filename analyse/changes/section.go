package changes

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"shedlight/analyse/harmony"
)

// sectionParser reads the bars of one section. A line opens with a bar line
// and closes with one; between two bar lines stands one bar.
type sectionParser struct {
	p      *parser
	name   string
	at     place
	failed bool // something in it was wrong: an empty section is no news
	bars   []WrittenBar

	opened bool   // a bar line stands to the left on this line
	last   token  // that bar line
	items  []item // of the bar being read
	ending []int  // the ending the bar being read begins
	starts bool   // |: stands before it

	repeat repeat
}

// item is a symbol, a dot or % in a bar, and the override in force there.
type item struct {
	token token
	force override
}

// repeat is what is known of the repeat being read.
type repeat struct {
	open    bool
	first   int   // index of its first bar
	body    int   // index of the last bar before the first ending
	endings int   // how many were read
	next    int   // number of the next ending
	due     bool  // :| closed an ending: the next must follow at once
	sign    place // the sign that opened it or made the ending due
}

// complete reports whether the repeat may end here: after its last ending,
// which no :| closes.
func (r repeat) complete() bool { return !r.open || r.endings >= 2 && !r.due }

func newSection(p *parser, name string) *sectionParser {
	return &sectionParser{p: p, name: name}
}

func (s *sectionParser) fail(column int, found, expected string) {
	s.failed = true
	s.p.fail(column, found, expected)
}

func (s *sectionParser) failAt(at place, found, expected string) {
	s.failed = true
	s.p.failAt(at, found, expected)
}

// take reads the next token of the section.
func (s *sectionParser) take(t token) {
	switch t.kind {
	case barToken:
		s.barLine(t)
	case braceToken:
		s.brace(t)
	case endingToken:
		s.startEnding(t)
	case brokenToken:
		s.fail(t.column, "a "+t.text+" that is not closed", map[string]string{"{": "a }", "[": "a ]"}[t.text]+" on the same line")
	default:
		if !s.opened {
			s.fail(t.column, quote(t.text), "a bar line | before the first chord of a line")
			s.opened = true
		}
		s.items = append(s.items, item{token: t, force: s.p.force})
	}
}

// barLine closes the bar to its left, if there is one, and opens the next.
func (s *sectionParser) barLine(t token) {
	switch {
	case len(s.items) > 0:
		s.closeBar(t.end, place{s.p.line, t.column})
	case s.opened && !(t.start && !t.end && !s.last.start && s.ending == nil):
		s.fail(t.column, "a bar line after an empty bar", "a chord symbol, N.C. or % before it")
	case t.end:
		s.fail(t.column, "the repeat sign "+t.text+" without a bar before it", "it at the end of a bar")
	}
	if t.start {
		s.openRepeat(t)
	}
	s.opened, s.last = true, t
}

// endLine ends a line of bars; column is the one after its last character.
func (s *sectionParser) endLine(column int) {
	if len(s.items) > 0 {
		s.fail(column, "the end of the line", "a bar line | after the last chord")
		s.closeBar(false, place{s.p.line, column})
	}
	if s.ending != nil {
		s.fail(column, "the end of the line", "a bar after the ending number")
		s.ending = nil
	}
	s.opened = false
}

// end checks that nothing is left open at the end of the section.
func (s *sectionParser) end(column int, next string) {
	found := "the end of the file"
	if next != "" {
		found = "section " + quote(next)
	}
	r := s.repeat
	switch {
	case r.complete():
	case r.endings > 0:
		s.fail(column, found, fmt.Sprintf("the ending %d. of the repeat", r.next))
	default:
		s.fail(column, found, fmt.Sprintf("the sign :| that belongs to the |: of line %d", r.sign.line))
	}
}

// brace reads {auto}, {meter 3/4} or a key centre.
func (s *sectionParser) brace(t token) {
	word, rest, _ := strings.Cut(t.text, " ")
	switch {
	case t.text == "auto":
		s.p.force = override{}
	case word == "meter":
		m, ok := parseMeter(rest)
		if !ok {
			s.fail(t.column, quote("{"+t.text+"}"), meterWanted)
			return
		}
		if len(s.items) > 0 {
			s.fail(t.column, "a change of meter inside a bar", "it before the first chord of the bar")
			return
		}
		s.p.meter = m
	default:
		c, err := ParseCentre(t.text)
		if err != nil {
			s.fail(t.column, quote("{"+t.text+"}"), "a key centre like {F minor}, {auto} or a meter like {meter 3/4}")
			return
		}
		s.p.force = override{centre: c, on: true}
	}
}

// openRepeat reads |: before a bar.
func (s *sectionParser) openRepeat(t token) {
	if !s.repeat.complete() {
		s.fail(t.column, "the repeat sign |: inside a repeat", "the :| of the one before it first")
	}
	s.starts = true
	s.repeat = repeat{open: true, first: len(s.bars), sign: place{s.p.line, t.column}}
}

// startEnding reads ending numbers, which stand right after a bar line.
func (s *sectionParser) startEnding(t token) {
	if !s.opened || len(s.items) > 0 || s.ending != nil {
		s.fail(t.column, "the ending "+quote(t.text)+" inside a bar", "it right after a bar line")
		return
	}
	r := &s.repeat
	if !r.open {
		// A repeat without its |: begins where the section or the bars after
		// the repeat before it begin.
		*r = repeat{open: true, first: r.first, sign: place{s.p.line, t.column}}
	}
	if r.endings == 0 {
		r.body = len(s.bars) - 1
	}
	want := max(r.next, 1)
	for i, text := range strings.Split(strings.TrimSuffix(t.text, "."), ".") {
		n, err := strconv.Atoi(text)
		if err != nil || n != want+i || n > maxEndings {
			s.fail(t.column, "the ending "+quote(t.text), fmt.Sprintf("the ending %d. (at most %d, in order)", want+i, maxEndings))
			break
		}
		s.ending = append(s.ending, n)
	}
	if s.ending == nil {
		s.ending = []int{want}
	}
	if want > 1 && !r.due {
		s.fail(t.column, "the ending "+quote(t.text), "the sign :| at the end of the ending before it")
	}
	r.next, r.due = want+len(s.ending), false
	r.endings++
}

// closeBar makes a bar of the items read since the last bar line.
func (s *sectionParser) closeBar(repeats bool, at place) {
	r := &s.repeat
	if r.due {
		s.failAt(r.sign, fmt.Sprintf("a :| in ending %d.", r.next-1), fmt.Sprintf("the ending %d. after it, or a plain bar line", r.next))
		*r = repeat{first: len(s.bars)}
	}
	bar := WrittenBar{Meter: s.p.meter, RepeatStart: s.starts, RepeatEnd: repeats, Endings: s.ending}
	bar.Stays = s.stays()
	s.bars = append(s.bars, bar)
	s.items, s.ending, s.starts = nil, nil, false
	switch {
	case repeats && r.endings > 0:
		r.due, r.sign = true, at
		s.bars[r.first].RepeatStart = true
	case repeats:
		s.bars[r.first].RepeatStart = true
		*r = repeat{first: len(s.bars)}
	}
}

// stays turns the items of a bar into chords and lengths.
func (s *sectionParser) stays() []Stay {
	first := s.items[0].token
	if len(s.items) == 1 && first.kind == sameToken {
		return s.sameAgain(s.items[0])
	}
	var stays []Stay
	var shares []int
	for _, it := range s.items {
		switch it.token.kind {
		case dotToken:
			if len(stays) == 0 {
				s.fail(it.token.column, "a dot at the start of a bar", "a chord symbol for it to hold")
				return []Stay{{Symbol: noChord, Ticks: s.p.meter.Bar()}}
			}
			shares[len(shares)-1]++
		case sameToken:
			s.fail(it.token.column, "% beside other chords", "% alone in its bar")
			return []Stay{{Symbol: noChord, Ticks: s.p.meter.Bar()}}
		default:
			stays, shares = append(stays, s.stay(it)), append(shares, 1)
		}
	}
	unit, ok := shareUnit(s.p.meter, len(stays), len(s.items))
	if !ok {
		s.fail(first.column, countOf(len(stays), len(s.items)), sharesWanted(s.p.meter))
	}
	for i := range stays {
		stays[i].Ticks = int64(shares[i]) * unit
	}
	return stays
}

// sameAgain reads a bar of %: the bar before it, or in an ending after the
// first the last bar that every pass plays.
func (s *sectionParser) sameAgain(it item) []Stay {
	from := len(s.bars) - 1
	if s.ending != nil && s.ending[0] > 1 {
		from = s.repeat.body
	}
	if from < 0 {
		s.fail(it.token.column, "% without a bar before it in its section", "a chord symbol or N.C.")
		return []Stay{{Symbol: noChord, Ticks: s.p.meter.Bar()}}
	}
	if s.bars[from].Meter != s.p.meter {
		s.fail(it.token.column, "% after a bar of "+s.bars[from].Meter.String(), "the chords of this bar of "+s.p.meter.String())
	}
	stays := append([]Stay(nil), s.bars[from].Stays...)
	for i := range stays {
		stays[i].Centre, stays[i].Forced = it.force.centre, it.force.on
	}
	return stays
}

// stay reads one chord symbol.
func (s *sectionParser) stay(it item) Stay {
	text := it.token.text
	out := Stay{Symbol: text, Centre: it.force.centre, Forced: it.force.on}
	symbol, err := harmony.ParseSymbol(text)
	if err != nil {
		s.badSymbol(it.token, err)
		return out
	}
	out.Symbol, out.Chord = symbol.Text, symbol.Chord
	if out.Chord.None() {
		out.Symbol = noChord
	}
	return out
}

// badSymbol says where in a symbol it stops making sense.
func (s *sectionParser) badSymbol(t token, err error) {
	column, found, expected := t.column, quote(t.text), "a chord symbol like Bb6, Cm7 or G7b9"
	var at *harmony.SymbolError
	if errors.As(err, &at) {
		column, expected = column+at.Column-1, at.Expected
		switch {
		case at.Found == "":
			found = "the end of " + found
		case at.Column > 1:
			found = quote(at.Found) + " in " + found
		}
	}
	s.fail(column, found, expected)
}
