package display

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"shedlight/analyse/changes"
	"shedlight/analyse/harmony"
	"shedlight/analyse/tone"
)

// ChartSheet is one chorus of a chart, to be read.
type ChartSheet struct {
	Chart     *changes.Chart
	Line      *changes.Timeline // the chart unrolled
	ChordView bool              // show the scale of each chord in place of each centre's
}

const (
	barsPerRow = 4                            // common practice
	rowBar     = (pageWidth - 1) / barsPerRow // a bar with the bar line before it
	insideBar  = rowBar - 1                   // without the bar line
)

// KeyName writes a key as a chart does: a major key by its tonic alone.
func KeyName(key changes.Centre) string {
	if key.Mode == changes.Major {
		return key.Tonic.String()
	}
	return key.String()
}

// WriteChart writes a chorus as a player reads it, as wide as the options say: four
// bars a row or, on a narrow page, as many as it has room for, each section on a row of its own; the key centres above, over
// the bars they hold; the chords at their beats; below them the scale, where it
// changes, and the tonics that only pass. A chord that does not fit into its bar
// is cut and written out below the row. At the end stands what the scales lack
// of the chords, what each centre rests on, and where tonics move too fast for
// one. The error is the writer's.
func WriteChart(w io.Writer, sheet ChartSheet, o Options) error {
	starts, err := sectionStarts(sheet.Chart)
	if err != nil {
		return err
	}
	p := chartPage{sheet: sheet, line: sheet.Line, starts: starts, sp: newSpeller(o), there: speller{ascii: o.ASCII}, dash: "─", cutMark: "…", cells: o.width()}
	if o.ASCII {
		p.dash, p.cutMark = "-", "~"
	}
	p.head()
	for from := 0; from < len(p.line.Bars); {
		to := from + 1
		for to < len(p.line.Bars) && to < from+min(barsPerRow, (p.cells-1)/rowBar) && !p.begins(to) {
			to++
		}
		p.row(from, to)
		from = to
	}
	p.lacks()
	p.reasons()
	for i := range p.out {
		p.out[i] = strings.TrimRight(cut(p.out[i], pageWidth), " ")
	}
	return writeRows(w, p.out, p.cells)
}

// sectionStarts gives the section that begins in a bar of the unrolled form, by
// the bar's number. The timeline does not tell two As in a row apart: each
// section's length is that of a form of this section alone.
func sectionStarts(c *changes.Chart) (map[int]string, error) {
	form := c.Form
	if form == nil {
		for i := range c.Sections {
			form = append(form, c.Sections[i].Name)
		}
	}
	starts, lengths := map[int]string{}, map[string]int{}
	at := 1
	for _, name := range form {
		n, known := lengths[name]
		if !known {
			alone := *c
			alone.Form = []string{name}
			line, err := alone.Unroll()
			if err != nil {
				return nil, err
			}
			n = len(line.Bars)
			lengths[name] = n
		}
		starts[at] = name
		at += n
	}
	return starts, nil
}

// chartPage is a chart while it is written.
type chartPage struct {
	sheet         ChartSheet
	line          *changes.Timeline
	starts        map[int]string
	sp            speller // moves concert pitch to written
	there         speller // writes what has been moved
	dash, cutMark string
	cells         int // of a line
	out           []string
}

func (p *chartPage) begins(bar int) bool {
	_, ok := p.starts[p.line.Bars[bar].Number]
	return ok
}

// head writes title, key, meter and tempo.
func (p *chartPage) head() {
	c := p.sheet.Chart
	if c.Title != "" {
		p.out = append(p.out, p.sp.text(c.Title))
	}
	var facts []string
	if c.HasKey {
		facts = append(facts, "key "+p.sp.centre(KeyName(c.Key)))
	}
	facts = append(facts, c.Meter.String())
	if c.Tempo > 0 {
		facts = append(facts, fmt.Sprintf("%d beats a minute", c.Tempo))
	}
	facts = append(facts, count(int64(len(p.line.Bars)), "bar"))
	if c.Pickup > 0 {
		beats := float64(c.Pickup) / float64(c.Meter.Beat())
		facts = append(facts, "pick-up "+strconv.FormatFloat(beats, 'g', 3, 64))
	}
	p.out = append(p.out, strings.Join(facts, ", "))
	if p.sp.written != tone.InC {
		p.out = append(p.out, "at written pitch for an instrument in "+p.there.name(p.sp.written.String()))
	}
}

// scale returns the scale of the view at a chord.
func (p *chartPage) scale(s *changes.Slot) harmony.Scale {
	if p.sheet.ChordView {
		return s.Own
	}
	return s.Key
}

// row writes the bars from to to, exclusive.
func (p *chartPage) row(from, to int) {
	var chords, scales, visits textRow
	var whole []string
	var shown harmony.Scale
	visiting := ""
	for i := from; i < to; i++ {
		bar := &p.line.Bars[i]
		var symbols, names, passing []barText
		var written []string
		slots := p.slotsOf(bar)
		for j := range slots {
			s := &slots[j]
			at := int((s.Start - bar.Start) * (insideBar - 1) / bar.Meter.Bar())
			symbol := p.sp.symbol(s.Symbol)
			written = append(written, symbol)
			symbols = append(symbols, barText{at: at, forms: []string{symbol}})
			if sc := p.scale(s); !sc.None() && sc != shown {
				name := p.there.symbol(p.sp.scale(sc).Short())
				names = append(names, barText{at: at, forms: []string{name, strings.TrimSuffix(name, " dim")}})
				shown = sc
			}
			if to := p.passing(s); to != visiting {
				if visiting = to; to != "" {
					passing = append(passing, barText{at: at, forms: []string{"in " + to}})
				}
			}
		}
		edge := (i - from) * rowBar
		chords.put(edge, "|")
		texts, cutSome := fitTexts(symbols, insideBar, p.cutMark)
		if cutSome {
			whole = append(whole, fmt.Sprintf("bar %d: %s", bar.Number, strings.Join(written, " ")))
		}
		chords.pieces(edge+1, texts)
		texts, _ = fitTexts(names, insideBar, p.cutMark)
		scales.pieces(edge+1, texts)
		texts, _ = fitTexts(passing, insideBar, p.cutMark)
		visits.pieces(edge+1, texts)
	}
	chords.put((to-from)*rowBar, "|")
	p.out = append(p.out, "", cut(p.above(from, to), p.cells), cut(p.centres(from, to), p.cells), chords.text(), scales.text())
	if text := visits.text(); text != "" {
		p.out = append(p.out, text)
	}
	for _, text := range whole {
		p.out = append(p.out, wrapWords("  ", text, p.cells)...)
	}
}

// passing returns the tonic that passes at a chord, as players write it: "F",
// "Dm"; empty for most.
func (p *chartPage) passing(s *changes.Slot) string {
	if !s.Passes {
		return ""
	}
	return p.tonic(s.Passing)
}

// tonic writes a centre as short as it goes: "F", "Dm".
func (p *chartPage) tonic(c changes.Centre) string {
	name, mode, _ := strings.Cut(p.sp.centre(c.String()), " ")
	if mode == changes.Minor.String() {
		return name + "m"
	}
	return name
}

// slotsOf returns the chords of a bar.
func (p *chartPage) slotsOf(bar *changes.Bar) []changes.Slot {
	first := p.line.SlotAt(bar.Start, 0)
	last := first
	for last < len(p.line.Slots) && p.line.Slots[last].Bar == bar.Number {
		last++
	}
	return p.line.Slots[first:last]
}

// above is the line over a row: its section, its first bar and changes of meter.
func (p *chartPage) above(from, to int) string {
	var row textRow
	text := fmt.Sprintf("bar %d", p.line.Bars[from].Number)
	if name := p.starts[p.line.Bars[from].Number]; name != "" {
		text = "[" + p.sp.text(name) + "] " + text
	}
	row.put(0, text)
	for i := from; i < to; i++ {
		meter := p.line.Bars[i].Meter
		if i > 0 && meter != p.line.Bars[i-1].Meter {
			row.put((i-from)*rowBar+1, meter.String())
		}
	}
	return row.text()
}

// centres writes each key centre over its bars, with a dash to where it ends. A
// centre that goes on from the row before stands in brackets.
func (p *chartPage) centres(from, to int) string {
	begin, end := p.line.Bars[from].Start, p.line.Length
	if to < len(p.line.Bars) {
		end = p.line.Bars[to].Start
	}
	var row textRow
	for _, c := range p.line.Centres {
		if c.End <= begin || c.Start >= end {
			continue
		}
		name := p.sp.centre(c.Centre.String())
		left := p.column(max(c.Start, begin), from)
		right := (to - from) * rowBar
		if c.End < end {
			right = p.column(c.End, from) - 1
		}
		if width(name) > right-left {
			name, _, _ = strings.Cut(name, " ") // the tonic alone: the list below has the mode
		}
		if c.Start < begin {
			name = "(" + name + ")"
		}
		row.put(left, name)
		if room := right - row.at - 1; room > 0 {
			row.put(row.at+1, strings.Repeat(p.dash, room))
		}
	}
	return row.text()
}

// column returns where a tick lies in a row that begins with bar from.
func (p *chartPage) column(tick int64, from int) int {
	i := p.line.BarAt(tick, from)
	bar := &p.line.Bars[i]
	inside := (tick - bar.Start) * (insideBar - 1) / bar.Meter.Bar()
	return (i-from)*rowBar + 2 + int(inside)
}

// lacks writes what the scales of the view lack of the chords, scale by scale,
// each chord once.
func (p *chartPage) lacks() {
	var order []harmony.Scale
	missing := map[harmony.Scale][]string{}
	seen := map[string]bool{}
	for i := range p.line.Slots {
		s := &p.line.Slots[i]
		sc := p.sp.scale(p.scale(s))
		if sc.None() || seen[sc.Short()+s.Symbol] {
			continue
		}
		seen[sc.Short()+s.Symbol] = true
		var names []string
		for _, n := range lacks(p.sp.chord(s.Chord), sc) {
			names = append(names, p.there.print(n))
		}
		if len(names) == 0 {
			continue
		}
		if missing[sc] == nil {
			order = append(order, sc)
		}
		missing[sc] = append(missing[sc], strings.Join(names, " ")+" of "+p.sp.symbol(s.Symbol))
	}
	if len(order) == 0 {
		return
	}
	p.out = append(p.out, "", "Chord tones that the scale lacks")
	for _, sc := range order {
		p.out = append(p.out, flow("  "+pad(p.there.symbol(sc.Short()), scaleCells), ", ", p.cells, len(missing[sc]), missing[sc])...)
	}
}

const (
	scaleCells  = 13 // "C#7b5 dim" and room to line up with centres
	centreCells = 11
	whereCells  = 14
)

// reasons says what each centre rests on, and where none holds.
func (p *chartPage) reasons() {
	p.out = append(p.out, "", "Why these centres")
	for _, c := range p.line.Centres {
		label := "  " + pad(p.sp.centre(c.Centre.String()), centreCells) + pad(p.where(c.Start, c.End), whereCells)
		p.out = append(p.out, wrapWords(label, p.sp.text(p.sp.alterations(c.Why)), p.cells)...)
	}
	for _, m := range p.line.Moves {
		var tonics []string
		for _, c := range m.Tonics {
			tonics = append(tonics, p.tonic(c))
		}
		label := "  " + pad("moves", centreCells) + pad(p.where(m.Start, m.End), whereCells)
		p.out = append(p.out, wrapWords(label, strings.Join(tonics, ", ")+": too fast for one scale; take each chord's own (--view chord)", p.cells)...)
	}
}

// where names the bars from a song tick to another, exclusive.
func (p *chartPage) where(from, to int64) string {
	first, _ := p.line.Position(from)
	last := p.line.Bars[p.line.BarAt(to-1, 0)].Number
	if first == last {
		return fmt.Sprintf("bar %d", first)
	}
	return fmt.Sprintf("bars %d-%d", first, last)
}
