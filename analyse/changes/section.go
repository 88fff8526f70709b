package changes

import (
	"fmt"
	"strconv"
	"strings"
)

// sectionParser reads the bars of one section. Between two bar lines stands one
// bar; the ends of a line count as bar lines, an empty bar goes on with the chord
// before it.
type sectionParser struct {
	p      *parser
	name   string
	at     place
	failed bool // something in it was wrong: an empty section is no news
	bars   []WrittenBar
	signs  []barSigns // one for each bar

	pending jumps  // signs that the next bar bears
	spoken  bool   // words of a jump, or x3, stand where an empty bar would be
	opened  bool   // a bar line stands to the left on this line
	last    token  // that bar line
	items   []item // of the bar being read
	ending  []int  // the ending the bar being read begins
	starts  bool   // |: stands before it

	repeat repeat
}

// barSigns are the jumps of a bar and where it stands.
type barSigns struct {
	at place
	jumps
}

// item is a symbol, a dot, a slash or % in a bar, and the override in force there.
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
	case timesToken:
		s.times(t)
	case jumpToken:
		s.jump(t)
	default:
		s.items = append(s.items, item{token: t, force: s.p.force})
	}
}

// barLine closes the bar to its left, if there is one, and opens the next.
func (s *sectionParser) barLine(t token) {
	at := place{s.p.line, t.column}
	switch {
	case len(s.items) > 0:
		s.closeBar(t.end, at)
	case s.ending != nil: // 1. | C | is |1. C |
	case t.end && len(s.bars) > 0 && !s.starts: // | C | :| closes the bar of C
		s.repeats(at)
	case t.end:
		s.fail(t.column, "the repeat sign "+t.text+" without a bar before it", "it at the end of a bar")
	case s.opened && !s.spoken && !s.last.end && !(t.start && !s.last.start):
		s.closeBar(false, at)
	}
	if t.start {
		s.openRepeat(t)
	}
	s.opened, s.spoken, s.last = true, false, t
}

// endLine ends a line of bars; column is the one after its last character.
func (s *sectionParser) endLine(column int) {
	if len(s.items) > 0 {
		s.closeBar(false, place{s.p.line, column})
	}
	if s.ending != nil {
		s.fail(column, "the end of the line", "a bar after the ending number")
		s.ending = nil
	}
	s.opened, s.spoken = false, false
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

// brace reads {auto}, {meter 3/4}, {tempo 132} or a key centre.
func (s *sectionParser) brace(t token) {
	word, rest, _ := strings.Cut(t.text, " ")
	if t.text != "" && t.text[0] >= '0' && t.text[0] <= '9' {
		word, rest = "meter", t.text
		if strings.HasSuffix(strings.ToLower(t.text), "bpm") {
			word = "tempo"
		}
	}
	switch {
	case t.text == "auto":
		s.p.force = override{}
	case word == "meter" || word == "time":
		m, ok := parseMeter(rest)
		if !s.changes(t, "meter", ok, meterWanted) {
			return
		}
		s.p.meter = m
		if _, given := s.p.header["meter"]; !given && len(s.bars)+len(s.p.chart.Sections) == 0 {
			s.p.chart.Meter = m
		}
	case word == "tempo" || word == "bpm":
		if n, ok := parseTempo(rest); s.changes(t, "tempo", ok, tempoWanted) {
			s.p.beats = n
		}
	default:
		c, err := ParseCentre(t.text)
		if err != nil {
			s.fail(t.column, quote("{"+t.text+"}"), "a key centre like {F minor}, {auto}, a meter like {meter 3/4} or a tempo like {tempo 132}")
			return
		}
		s.p.force = override{centre: c, on: true}
	}
}

// changes reports whether a brace changes what holds from its bar on: it was read, and
// stands before the chords of a bar. Where it does not, that is an error.
func (s *sectionParser) changes(t token, what string, read bool, wanted string) bool {
	switch {
	case !read:
		s.fail(t.column, quote("{"+t.text+"}"), wanted)
	case len(s.items) > 0:
		s.fail(t.column, "a change of "+what+" inside a bar", "it before the first chord of the bar")
	default:
		return true
	}
	return false
}

// setTempo puts the tempo in force with which a bar begins. One before the first bar
// is the chart's where its header says none.
func (s *sectionParser) setTempo() {
	p := s.p
	first := len(s.bars)+len(p.chart.Sections) == 0
	if first {
		p.tempo = p.chart.MicrosPerQuarter()
	}
	if p.beats == 0 {
		return
	}
	p.tempo, p.beats = microsPerQuarter(p.beats, p.meter), 0
	if first && p.chart.Tempo == 0 {
		p.chart.Tempo = wholeTempo(p.tempo, p.chart.Meter)
	}
}

// openRepeat reads |: before a bar.
func (s *sectionParser) openRepeat(t token) {
	if !s.repeat.complete() {
		s.fail(t.column, "the repeat sign |: inside a repeat", "the :| of the one before it first")
	}
	if s.ending != nil {
		s.fail(t.column, "the repeat sign |: right after the ending "+quote(endingText(s.ending)), "the bars of the ending before it")
		s.ending = nil
	}
	s.starts = true
	s.repeat = repeat{open: true, first: len(s.bars), sign: place{s.p.line, t.column}}
}

// startEnding reads ending numbers, which stand right after a bar line or at the
// head of a line.
func (s *sectionParser) startEnding(t token) {
	if len(s.items) > 0 || s.ending != nil {
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
	items, ending := s.items, s.ending
	s.setTempo()
	for i, stays := range s.filled() {
		bar := WrittenBar{Meter: s.p.meter, Quarter: s.p.tempo, Stays: stays}
		signs := barSigns{at: at}
		if len(items) > 0 {
			signs.at.column = items[0].token.column
		}
		if i == 0 {
			bar.RepeatStart, bar.Endings = s.starts, ending
			signs.jumps, s.pending = s.pending, jumps{}
		}
		s.bars, s.signs = append(s.bars, bar), append(s.signs, signs)
	}
	s.items, s.ending, s.starts = nil, nil, false
	if repeats {
		s.repeats(at)
	}
}

// repeats reads the sign :| behind the last bar.
func (s *sectionParser) repeats(at place) {
	r := &s.repeat
	if r.first >= len(s.bars) {
		s.failAt(at, "the repeat sign :| without a bar before it", "it at the end of a bar")
		return
	}
	s.bars[len(s.bars)-1].RepeatEnd = true
	s.bars[r.first].RepeatStart = true
	if r.endings > 0 {
		r.due, r.sign = true, at
		return
	}
	*r = repeat{first: len(s.bars)}
}

// times reads how often the repeat that has just ended is played.
func (s *sectionParser) times(t token) {
	s.spoken = true
	if len(s.bars) == 0 {
		return // the repeat sign has been refused
	}
	n := timesOf(t.text)
	bar := &s.bars[len(s.bars)-1]
	switch {
	case s.repeat.open:
		s.fail(t.column, quote(t.text)+" after an ending", "the passes of each ending as its numbers: |1.2. C :|3. F |")
	case n < 2 || n > maxTimes:
		s.fail(t.column, "a repeat of "+quote(t.text), fmt.Sprintf("2 to %d times in all", maxTimes))
	case n > 2:
		bar.Times = n
	}
}

// filled returns what is in the bar read since the last bar line: the bar's
// chords, or those of two bars for %%.
func (s *sectionParser) filled() [][]Stay {
	if len(s.items) == 1 && s.items[0].token.kind == sameToken {
		return s.sameAgain(s.items[0])
	}
	return [][]Stay{s.stays()}
}
