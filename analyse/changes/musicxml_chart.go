package changes

import (
	"fmt"
	"math/big"
	"slices"
	"strconv"

	"shedlight/analyse/timebase"
)

// chart plays the part out and makes a chart of it.
func (s *sheetReader) chart() (*Chart, error) {
	p := s.part
	if p == nil || p.harmonies == 0 {
		return nil, fileError("a document without harmony elements", "a lead sheet with chord symbols")
	}
	c := &Chart{Title: s.title(), Key: p.key, HasKey: p.hasKey}
	p.tieSigns()
	p.copyRepeated()
	first := p.takePickup(c)
	if first == len(p.bars) {
		return nil, fileError("a document whose only measure is a pick-up", "a whole measure")
	}
	for i := range p.bars {
		p.bars[i].settleMeter()
	}
	order, err := playOrder(p.bars[first:])
	if err != nil {
		return nil, fileError("a form of more than "+strconv.Itoa(MaxBars)+" measures", "at most that many")
	}
	f := sheetForm{part: p, chart: c, first: first}
	f.hold = noStay
	if first > 0 {
		f.hold = p.bars[0].lastChord(noStay)
	}
	for _, i := range order {
		f.play(first + i)
	}
	f.finish()
	if len(c.Sections) > maxSections {
		return nil, fileError("more than "+strconv.Itoa(maxSections)+" different sections", "fewer rehearsal marks")
	}
	if err := f.errs.orNil(); err != nil {
		return nil, err
	}
	c.Meter = c.Sections[0].Bars[0].Meter
	c.Tempo = bpm(p.tempo, c.Meter)
	if c.Pickup >= c.Meter.Bar() {
		c.Pickup = 0
	}
	return c, nil
}

// bpm turns quarter notes a minute into whole beats a minute, or 0.
func bpm(quarters *big.Rat, m timebase.Meter) int {
	if quarters == nil {
		return 0
	}
	beats := new(big.Rat).Mul(quarters, big.NewRat(timebase.Quarter, m.Beat()))
	n, err := strconv.Atoi(beats.FloatString(0))
	if err != nil || n < MinBPM || n > MaxBPM {
		return 0
	}
	return n
}

// tieSigns gives printed coda signs their meaning: the last is the coda, one
// before it is To Coda unless words or sounds have said where that is.
func (p *sheetPart) tieSigns() {
	var signs []int
	said := false
	for i, b := range p.bars {
		if b.codaSign {
			signs = append(signs, i)
		}
		said = said || b.toCoda != ""
	}
	if n := len(signs); n > 0 {
		last := &p.bars[signs[n-1]]
		if last.coda == "" {
			last.coda = printedLabel
		}
		if n > 1 && !said {
			p.bars[signs[n-2]].toCoda = printedLabel
		}
	}
}

// copyRepeated writes out the chords under measure-repeat signs.
func (p *sheetPart) copyRepeated() {
	for i := range p.bars {
		if n := p.bars[i].copies; n > 0 {
			p.bars[i].chords = p.bars[i-n].chords
		}
	}
}

// takePickup sets the chart's pick-up from a first measure that is not full and
// is not counted, is numbered 0 or has no chord, and returns the index of bar 1.
func (p *sheetPart) takePickup(c *Chart) int {
	b := &p.bars[0]
	if (b.implicit || b.number == "0" || len(b.chords) == 0) && b.length > 0 && b.length < b.meter.Bar() {
		c.Pickup = b.length
		return 1
	}
	return 0
}

// settleMeter gives a measure that is split off another, as the rest of the
// bar before a repeat sign, the meter of what it holds.
func (b *sheetBar) settleMeter() {
	if !b.implicit || b.length <= 0 || b.length >= b.meter.Bar() {
		return
	}
	const finest = 64
	for den := int64(b.meter.Den); den <= finest; den *= 2 {
		unit := 4 * timebase.Quarter / den
		if n := b.length / unit; n*unit == b.length {
			m := timebase.Meter{Num: uint8(min(n, 255)), Den: uint8(den)}
			if m.Valid() {
				b.meter = m
			}
			return
		}
	}
}

// noStay is what sounds before the first chord.
var noStay = sheetChord{symbol: noChord}

// lastChord returns the chord that sounds at the end of a measure.
func (b *sheetBar) lastChord(before sheetChord) sheetChord {
	if n := len(b.chords); n > 0 {
		return b.chords[n-1]
	}
	return before
}

// sheetForm builds the chart from the measures as they are played.
type sheetForm struct {
	part  *sheetPart
	chart *Chart
	first int // index of bar 1
	hold  sheetChord
	errs  Errors

	section string
	bars    []WrittenBar // of the stretch being played
	names   []string     // of the stretches played, in order
	marked  bool         // any rehearsal mark was met
}

// play adds a measure: the chord held from before and its own.
func (f *sheetForm) play(i int) {
	b := &f.part.bars[i]
	if b.section != "" || f.sectionAt(i) != f.section {
		f.closeSection()
		f.section = f.sectionAt(i)
	}
	f.marked = f.marked || b.section != ""
	bar, found := b.written(f.hold)
	if found != "" {
		f.errs.add(Error{
			Line: b.at.line, Column: b.at.column, Place: fmt.Sprintf("part %s, measure %s", f.part.id, b.number),
			Found: found, Expected: "chords inside the measure, a quarter of a beat apart or more",
		})
	}
	f.hold = b.lastChord(f.hold)
	for j := range bar.Stays {
		f.part.toConcert(&bar.Stays[j])
	}
	f.bars = append(f.bars, bar)
}

// sectionAt returns the rehearsal mark in force at a measure.
func (f *sheetForm) sectionAt(i int) string {
	for ; i >= f.first; i-- {
		if s := f.part.bars[i].section; s != "" {
			return s
		}
	}
	return ""
}

// written returns the measure as a chart's bar, with the chord that is held
// into it; found says what does not fit.
func (b *sheetBar) written(hold sheetChord) (bar WrittenBar, found string) {
	chords := slices.Clone(b.chords)
	slices.SortStableFunc(chords, func(x, y sheetChord) int { return int(x.tick - y.tick) })
	chords = slices.CompactFunc(chords, func(x, y sheetChord) bool { return x == y })
	if len(chords) == 0 || b.grid(chords)(chords[0].tick) > 0 {
		hold.tick = 0
		chords = slices.Insert(chords, 0, hold)
	}
	fit := b.grid(chords)
	bar.Meter = b.meter
	end := b.meter.Bar()
	for i, c := range chords {
		next := end
		if i+1 < len(chords) {
			next = fit(chords[i+1].tick)
		}
		ticks := next - fit(c.tick)
		if ticks <= 0 {
			found = "the chord " + c.symbol + " where there is no room for it"
		}
		bar.Stays = append(bar.Stays, Stay{Symbol: c.symbol, Chord: c.chord, Ticks: ticks})
	}
	return bar, found
}

// grid returns what puts a tick on the coarsest grid that holds all chords, or
// to the nearest quarter of a beat where none does.
func (b *sheetBar) grid(chords []sheetChord) func(int64) int64 {
	units := shareUnits(b.meter)
	unit := units[len(units)-1]
	for _, u := range units {
		if !slices.ContainsFunc(chords, func(c sheetChord) bool { return c.tick%u != 0 }) {
			unit = u
			break
		}
	}
	return func(tick int64) int64 { return (tick + unit/2) / unit * unit }
}

// toConcert moves a chord of a transposing instrument's part to concert pitch.
func (p *sheetPart) toConcert(s *Stay) {
	if p.semitones%12 == 0 {
		return
	}
	m := mover{key: p.concertKey(), letters: p.letters, semitones: p.semitones}
	m.stay(s)
}

func (p *sheetPart) concertKey() Centre {
	return spelled(Centre{Tonic: p.key.Tonic.Transpose(p.letters, p.semitones), Mode: p.key.Mode})
}

// closeSection puts the stretch played so far into the chart: as the section it
// repeats, or as a new one, numbered where the name is taken.
func (f *sheetForm) closeSection() {
	if len(f.bars) == 0 || len(f.chart.Sections) > maxSections {
		return
	}
	base := f.section
	if base == "" {
		base = "Intro"
	}
	name := base
	for n := 2; ; n++ {
		s, taken := f.chart.section(name)
		if !taken {
			f.chart.Sections = append(f.chart.Sections, Section{Name: name, Bars: f.bars})
			break
		}
		if slices.EqualFunc(s.Bars, f.bars, sameBar) {
			break
		}
		name = base + strconv.Itoa(n)
	}
	f.names = append(f.names, name)
	f.bars = nil
}

func sameBar(a, b WrittenBar) bool { return a.Meter == b.Meter && slices.Equal(a.Stays, b.Stays) }

// finish closes the last section. Without rehearsal marks the chart has one
// section and no name for it; with marks but nothing played twice, no form.
func (f *sheetForm) finish() {
	f.closeSection()
	c := f.chart
	if c.HasKey && f.part.semitones%12 != 0 {
		c.Key = f.part.concertKey()
	}
	if !f.marked {
		c.Sections[0].Name = ""
		return
	}
	if len(f.names) > len(c.Sections) {
		c.Form = f.names
	}
}
