package changes

import (
	"fmt"
	"strings"

	"shedlight/analyse/timebase"
)

const hintDots = "a dot holds a chord for one more beat: | Dm7 . . G7 |"

// stays turns the items of a bar into chords and lengths.
func (s *sectionParser) stays() []Stay {
	m := s.p.meter
	rest := []Stay{{Symbol: noChord, Ticks: m.Bar()}}
	n, slashes := 0, 0
	for _, it := range s.items {
		switch it.token.kind {
		case symbolToken:
			n++
		case slashToken:
			slashes++
		case sameToken:
			s.fail(it.token.column, "% beside other chords", "% alone in its bar")
			return rest
		}
	}
	switch {
	case slashes == len(s.items) && (slashes <= 1 || slashesFill(slashes, m)): // an empty bar too
		return s.goesOn(rest)
	case slashes > 0 && slashesFill(len(s.items), m):
		s.p.say("slashes", place{s.p.line, s.items[0].token.column}, "a slash is read as a beat of the chord before it")
	case slashes > 0 && !s.basses():
		return rest
	}
	return s.shared(rest)
}

// slashesFill reports whether so many chords and slashes are the beats of a bar,
// or its eighths in a compound meter.
func slashesFill(all int, m timebase.Meter) bool { return all == m.Beats() || all == int(m.Num) }

// goesOn holds the chord before through the whole bar.
func (s *sectionParser) goesOn(rest []Stay) []Stay {
	from := s.before()
	if from < 0 {
		column := s.last.column
		if len(s.items) > 0 {
			column = s.items[0].token.column
		}
		s.fail(column, "an empty bar without a chord before it in its section", "a chord symbol or N.C.")
		return rest
	}
	last := s.bars[from].Stays[len(s.bars[from].Stays)-1]
	last.Ticks = s.p.meter.Bar()
	last.Centre, last.Forced = s.p.force.centre, s.p.force.on
	return []Stay{last}
}

// basses joins the notes behind slashes to the chords before them: C / E. It
// reports whether each slash has both.
func (s *sectionParser) basses() bool {
	var out []item
	for i := 0; i < len(s.items); i++ {
		it := s.items[i]
		if it.token.kind != slashToken {
			out = append(out, it)
			continue
		}
		n := len(out)
		if n == 0 || out[n-1].token.kind != symbolToken || i+1 == len(s.items) || !isNote(s.items[i+1].token.text) {
			m := s.p.meter
			s.failed = true
			s.p.errs.add(Error{
				Line: s.p.line, Column: it.token.column, Found: "a slash that is neither a beat nor before a bass note",
				Expected: fmt.Sprintf("chords and slashes that make %s in %s", plural(m.Beats(), "beat"), m), Hint: hintDots,
			})
			return false
		}
		i++
		out[n-1].token.text += "/" + s.items[i].token.text
	}
	s.items = out
	return true
}

// shared shares the bar among its chords, dots and slashes.
func (s *sectionParser) shared(rest []Stay) []Stay {
	var stays []Stay
	var shares []int
	first := s.items[0].token
	for _, it := range s.items {
		switch it.token.kind {
		case dotToken, slashToken:
			switch {
			case len(stays) > 0:
				shares[len(shares)-1]++
				continue
			case it.token.kind == dotToken:
				s.fail(it.token.column, "a dot at the start of a bar", "a chord symbol for it to hold")
				return rest
			}
			stays, shares = append(stays, s.goesOn(rest)[0]), append(shares, 1)
		default:
			stays, shares = append(stays, s.stay(it)), append(shares, 1)
		}
	}
	m := s.p.meter
	all := len(s.items)
	unit, ok := shareUnit(m, len(stays), all)
	if !ok && all == len(stays) && all < m.Beats() {
		unit, ok = m.Beat(), true
		firstLonger(shares, m.Beats())
		s.p.say(fmt.Sprint("uneven", all, m), place{s.p.line, first.column}, fmt.Sprintf("%s in a bar of %s are read as %s beats", plural(all, "chord"), m, sharesText(shares)))
	}
	if !ok {
		s.failed = true
		s.p.errs.add(Error{Line: s.p.line, Column: first.column, Found: countOf(len(stays), all), Expected: sharesWanted(m), Hint: hintDots})
	}
	for i := range stays {
		stays[i].Ticks = int64(shares[i]) * unit
	}
	return stays
}

// sharesText writes beats as "2, 1 and 1".
func sharesText(shares []int) string {
	text := strings.Trim(strings.Join(strings.Fields(fmt.Sprint(shares)), ", "), "[]")
	if i := strings.LastIndex(text, ", "); i >= 0 {
		text = text[:i] + " and" + text[i+1:]
	}
	return text
}

// before returns the bar that the next one follows where it is played, or -1: in
// an ending after the first the last bar that every pass plays.
func (s *sectionParser) before() int {
	if s.ending != nil && s.ending[0] > 1 {
		return s.repeat.body
	}
	return len(s.bars) - 1
}

// sameAgain reads a bar of %, the bar before it, or %%, two bars.
func (s *sectionParser) sameAgain(it item) [][]Stay {
	n := len(it.token.text)
	from := s.before() - n + 1
	if from < 0 {
		s.fail(it.token.column, it.token.text+" without "+map[int]string{1: "a bar", 2: "two bars"}[n]+" before it in its section", "a chord symbol or N.C.")
		return [][]Stay{{{Symbol: noChord, Ticks: s.p.meter.Bar()}}}
	}
	var out [][]Stay
	for _, bar := range s.bars[from : from+n] {
		if bar.Meter != s.p.meter {
			s.fail(it.token.column, it.token.text+" after a bar of "+bar.Meter.String(), "the chords of this bar of "+s.p.meter.String())
		}
		stays := append([]Stay(nil), bar.Stays...)
		for i := range stays {
			stays[i].Centre, stays[i].Forced = it.force.centre, it.force.on
		}
		out = append(out, stays)
	}
	return out
}

// stay reads one chord symbol.
func (s *sectionParser) stay(it item) Stay {
	text := it.token.text
	out := Stay{Symbol: text, Centre: it.force.centre, Forced: it.force.on}
	symbol, err := s.p.symbol(text, place{s.p.line, it.token.column})
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
