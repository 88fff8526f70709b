package changes

import (
	"fmt"
	"slices"
	"strings"

	"shedlight/analyse/timebase"
)

// barsPerLine is how many bars stand on a line of a printed chart (common
// practice).
const barsPerLine = 4

// String prints the chart in its canonical form: Parse reads it back to an
// equal chart.
func (c *Chart) String() string {
	p := printer{meter: c.Meter, tempo: c.MicrosPerQuarter()}
	p.header(c)
	for i := range c.Sections {
		p.section(&c.Sections[i])
	}
	return p.out.String()
}

// printer holds what the text printed so far has set.
type printer struct {
	out   strings.Builder
	meter timebase.Meter
	tempo int64
	force override
}

func (p *printer) header(c *Chart) {
	if c.Title != "" {
		p.line("title: " + c.Title)
	}
	if c.HasKey {
		p.line("key: " + short(c.Key))
	}
	p.line("meter: " + c.Meter.String())
	if c.Tempo != 0 {
		p.line(fmt.Sprintf("tempo: %d", c.Tempo))
	}
	if c.Form != nil {
		p.line("form: " + strings.Join(c.Form, " "))
	}
	if c.Pickup != 0 {
		p.line("pickup: " + ticksToBeats(c.Pickup, c.Meter))
	}
	for _, h := range c.Others {
		p.line(h.Name + ": " + h.Value)
	}
}

// short prints a centre as a header does: a major key by its tonic alone.
func short(c Centre) string {
	if c.Mode == Major {
		return c.Tonic.String()
	}
	return c.String()
}

func (p *printer) line(text string) { p.out.WriteString(text + "\n") }

func (p *printer) section(s *Section) {
	p.line("")
	if s.Name != "" {
		p.line("[" + s.Name + "]")
	}
	for i := range s.Bars {
		bar := &s.Bars[i]
		switch {
		case i%barsPerLine != 0 && s.Bars[i-1].RepeatEnd:
			p.out.WriteString(" :|" + mark(s.Bars[i-1].Times == 0 && bar.RepeatStart, ":") + timesText(&s.Bars[i-1]))
			p.out.WriteString(mark(s.Bars[i-1].Times > 0 && bar.RepeatStart, " |:"))
		case bar.RepeatStart:
			p.out.WriteString(mark(i%barsPerLine != 0, " ") + "|:")
		default:
			p.out.WriteString(mark(i%barsPerLine != 0, " ") + "|")
		}
		if len(bar.Endings) > 0 {
			p.out.WriteString(" " + endingText(bar.Endings))
		}
		p.bar(s, i)
		if i%barsPerLine == barsPerLine-1 || i == len(s.Bars)-1 {
			p.line(" " + mark(bar.RepeatEnd, ":") + "|" + timesText(bar))
		}
	}
}

// timesText says how often a repeat is played where that is not twice.
func timesText(b *WrittenBar) string {
	if b.Times == 0 {
		return ""
	}
	return fmt.Sprintf(" x%d", b.Times)
}

// mark returns text where on is set.
func mark(on bool, text string) string {
	if on {
		return text
	}
	return ""
}

func endingText(numbers []int) string {
	var b strings.Builder
	for _, n := range numbers {
		fmt.Fprintf(&b, "%d.", n)
	}
	return b.String()
}

// bar prints what stands between two bar lines, with a space before each word.
func (p *printer) bar(s *Section, i int) {
	bar := &s.Bars[i]
	if bar.Meter != p.meter {
		p.meter = bar.Meter
		p.word("{meter " + bar.Meter.String() + "}")
	}
	if bar.Quarter != p.tempo {
		p.tempo = bar.Quarter
		p.word(fmt.Sprintf("{tempo %d}", beatsPerMinute(bar.Quarter, bar.Meter)))
	}
	if same(s.Bars, i) {
		p.override(&bar.Stays[0])
		p.word("%")
		return
	}
	unit := bar.unit()
	for j := range bar.Stays {
		stay := &bar.Stays[j]
		p.override(stay)
		p.word(stay.Symbol)
		for held := unit; held < stay.Ticks; held += unit {
			p.word(".")
		}
	}
}

func (p *printer) word(text string) { p.out.WriteString(" " + text) }

// override prints a brace where a chord's override is not the one in force.
func (p *printer) override(s *Stay) {
	now := override{centre: s.Centre, on: s.Forced}
	if now == p.force {
		return
	}
	p.force = now
	if now.on {
		p.word("{" + now.centre.String() + "}")
		return
	}
	p.word("{auto}")
}

// same reports whether bar i can be printed as %: it begins no ending and has
// the chords, the meter and the tempo of the bar before, under one override.
func same(bars []WrittenBar, i int) bool {
	if i == 0 || len(bars[i].Endings) > 0 || bars[i].Meter != bars[i-1].Meter || bars[i].Quarter != bars[i-1].Quarter {
		return false
	}
	first := bars[i].Stays[0]
	return slices.EqualFunc(bars[i].Stays, bars[i-1].Stays, func(a, b Stay) bool {
		return a.Symbol == b.Symbol && a.Ticks == b.Ticks && a.Centre == first.Centre && a.Forced == first.Forced
	})
}

// unit returns the length that one word of the bar stands for: the whole stay
// where chords alone can share the bar, else the longest that measures all.
func (b *WrittenBar) unit() int64 {
	first := b.Stays[0].Ticks
	equal := !slices.ContainsFunc(b.Stays, func(s Stay) bool { return s.Ticks != first })
	if _, ok := shareUnit(b.Meter, len(b.Stays), len(b.Stays)); equal && ok {
		return first
	}
	units := shareUnits(b.Meter)
	for _, u := range units {
		if !slices.ContainsFunc(b.Stays, func(s Stay) bool { return s.Ticks%u != 0 }) {
			return u
		}
	}
	return units[len(units)-1]
}
