package changes

import (
	"fmt"
	"slices"
)

// jumpLabel ties the jumps and places of a chart file: it has one of each.
const jumpLabel = "chart"

// jump reads the words of a jump or its place. Segno and Coda stand before their
// bar; the others behind it, in it or between bar lines of their own.
func (s *sectionParser) jump(t token) {
	s.spoken = s.spoken || len(s.items) == 0
	at := place{s.p.line, t.column}
	signs := &s.pending
	if len(s.items) == 0 && t.text != jumpSegno && t.text != jumpCoda {
		switch n := len(s.signs); {
		case n > 0:
			signs = &s.signs[n-1].jumps
		case len(s.p.signs) > 0:
			signs = &s.p.signs[len(s.p.signs)-1].jumps
		default:
			s.failAt(at, quote(t.text)+" before the first bar", "it behind a bar")
			return
		}
	}
	switch t.text {
	case jumpSegno:
		signs.segno = jumpLabel
	case jumpCoda:
		signs.coda = jumpLabel
	case jumpToCoda:
		signs.toCoda = jumpLabel
	case jumpFine:
		signs.fine = true
	case jumpDC:
		signs.daCapo = true
	case jumpDS:
		signs.dalSegno = jumpLabel
	case jumpAlCoda:
		signs.alCoda = true
	case jumpAlFine:
		signs.alFine = true
	}
	if (signs.alCoda || signs.alFine) && !signs.daCapo && signs.dalSegno == "" {
		s.failAt(at, quote(t.text)+" by itself", "it after D.C. or D.S.")
	}
	if !s.p.jumped.set {
		s.p.jumped = jumped{set: true, at: at}
	}
}

// jumped says whether a chart has jumps, and where the first one stands.
type jumped struct {
	set bool
	at  place
}

// openCoda begins the section Coda at a line that begins with the word, where the
// name is free.
func (p *parser) openCoda(t token) {
	if _, taken := p.chart.section(jumpCoda); taken || p.section.name == jumpCoda || len(p.section.bars)+len(p.chart.Sections) == 0 {
		return
	}
	p.openSection(token{kind: sectionToken, text: jumpCoda, column: t.column})
}

// playOut writes the bars of a chart with jumps in the order they are played: as
// sections and a form.
func (p *parser) playOut() {
	if !p.jumped.set {
		return
	}
	c := p.chart
	if c.Form != nil {
		p.failAt(p.jumped.at, "a jump like D.C. beside a form line", "one of them to say the order")
		return
	}
	flows := p.flows()
	order, wrong := playOrder(flows)
	if wrong != nil {
		at := p.signs[wrong.bar].at
		p.failAt(at, wrong.found, wrong.expected)
		return
	}
	var bars []WrittenBar
	var names []string
	var begins []bool
	for _, s := range c.Sections {
		for i, bar := range s.Bars {
			bar.RepeatStart, bar.RepeatEnd, bar.Endings, bar.Times = false, false, nil, 0
			bars, names, begins = append(bars, bar), append(names, s.Name), append(begins, i == 0)
		}
	}
	named := slices.ContainsFunc(c.Sections, func(s Section) bool { return s.Name != "" })
	c.Sections = nil
	f := formMaker{chart: c, marked: named}
	quarter := bars[0].Quarter
	for _, i := range order {
		bar := bars[i]
		if bar.Quarter == 0 { // no tempo is written before it, but one was played
			bar.Quarter = quarter
		}
		quarter = bar.Quarter
		f.add(bar, names[i], begins[i] && named)
	}
	f.finish()
	c.roundTempi(c.MicrosPerQuarter())
	if len(c.Sections) > maxSections {
		p.failAt(p.jumped.at, fmt.Sprintf("more than %d sections as it is played", maxSections), "fewer")
	}
}

// flows returns what all bars say of the order of playing.
func (p *parser) flows() []flow {
	var out []flow
	for _, s := range p.chart.Sections {
		for i := range s.Bars {
			bar := &s.Bars[i]
			out = append(out, flow{
				repeats: repeats{forward: bar.RepeatStart, backward: bar.RepeatEnd, times: bar.Times, endings: bar.Endings, endingStops: i == len(s.Bars)-1},
				jumps:   p.signs[len(out)].jumps,
			})
		}
	}
	return out
}
