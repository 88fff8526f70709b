package changes

import (
	"fmt"
	"math/big"
	"slices"
	"strconv"

	"shedlight/analyse/harmony"
	"shedlight/analyse/timebase"
)

// chart plays the part out and makes a chart of it.
func (s *sheetReader) chart() (*Chart, error) {
	p, remarks := oneOf(s.parts)
	if p == nil {
		return nil, fileError("a document without harmony elements", "a lead sheet with chord symbols")
	}
	c := &Chart{Title: s.title(), Key: p.key, HasKey: p.hasKey, Remarks: remarks}
	p.tieSigns()
	c.Remarks = append(c.Remarks, p.closeEndings()...)
	p.copyRepeated()
	if r, ok := p.findMeter(); ok {
		c.Remarks = append(c.Remarks, r)
	}
	first := p.takePickup(c)
	if first == len(p.bars) {
		return nil, fileError("a document whose only measure is a pick-up", "a whole measure")
	}
	if r, ok := p.settleMeters(first, c.Pickup); ok {
		c.Remarks = append(c.Remarks, r)
	}
	if r, ok := p.shareNotes(); ok {
		c.Remarks = append(c.Remarks, r)
	}
	p.setTempi()
	order, wrong := playOrder(p.flows(first))
	if wrong != nil {
		return nil, Errors{p.bars[first+wrong.bar].problem(p, wrong.found, wrong.expected)}
	}
	f := sheetForm{formMaker: formMaker{chart: c}, part: p, first: first}
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
	if quarter := c.Sections[0].Bars[0].Quarter; quarter > 0 {
		c.Tempo = wholeTempo(quarter, c.Meter)
		c.roundTempi(quarter)
	}
	if c.Pickup >= c.Meter.Bar() {
		c.Pickup = 0
	}
	return c, nil
}

// flows returns what the measures from one on say of the order of playing.
func (p *sheetPart) flows(first int) []flow {
	out := make([]flow, 0, len(p.bars)-first)
	for i := range p.bars[first:] {
		out = append(out, p.bars[first+i].flow)
	}
	return out
}

// where names a measure.
func (b *sheetBar) where(p *sheetPart) string {
	return fmt.Sprintf("part %s, measure %s", p.id, b.number)
}

// problem says what is wrong in a measure.
func (b *sheetBar) problem(p *sheetPart, found, expected string) Error {
	return Error{Line: b.at.line, Column: b.at.column, Place: b.where(p), Found: found, Expected: expected}
}

// remark says how a measure was read.
func (b *sheetBar) remark(p *sheetPart, text string) Remark {
	return Remark{Line: b.at.line, Column: b.at.column, Place: b.where(p), Text: text}
}

// setTempi tells each measure the tempo in force, in the order in which they are
// written. The first holds from the beginning on.
func (p *sheetPart) setTempi() {
	quarter := int64(0)
	set := func(b *sheetBar) {
		if b.tempo == nil {
			return
		}
		if now := microsPerQuarter(bpm(b.tempo, b.meter), b.meter); now > 0 {
			quarter = now
		}
	}
	for i := range p.bars {
		if set(&p.bars[i]); quarter > 0 {
			break
		}
	}
	for i := range p.bars {
		set(&p.bars[i])
		p.bars[i].quarter = quarter
	}
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

// closeEndings puts the repeat sign that is not written behind an ending with the
// next one right after it: that is what an ending is for.
func (p *sheetPart) closeEndings() []Remark {
	var remarks []Remark
	ending := -1
	for i := range p.bars {
		b := &p.bars[i]
		if b.endings != nil {
			ending = i
		}
		if b.backward {
			ending = -1
		}
		if ending < 0 || i+1 == len(p.bars) || p.bars[i+1].endings == nil {
			continue
		}
		if last := slices.Max(p.bars[ending].endings); slices.Min(p.bars[i+1].endings) == last+1 {
			b.backward = true
			remarks = append(remarks, b.remark(p, fmt.Sprintf("ending %d ends without a repeat sign: it is read with one", last)))
		}
	}
	return remarks
}

// copyRepeated writes out the chords under measure-repeat signs.
func (p *sheetPart) copyRepeated() {
	for i := range p.bars {
		if n := p.bars[i].copies; n > 0 {
			p.bars[i].chords = p.bars[i-n].chords
		}
	}
}

// findMeter gives a part without a time signature the meter that most of its
// measures make, and says so where that is not the common one.
func (p *sheetPart) findMeter() (r Remark, found bool) {
	if p.timed {
		return r, false
	}
	times := map[int64]int{}
	for i := range p.bars {
		times[p.bars[i].length]++
	}
	delete(times, 0)
	most := &p.bars[0]
	for i := range p.bars { // the first of several
		if b := &p.bars[i]; times[b.length] > times[most.length] {
			most = b
		}
	}
	most.settleMeter()
	for i := range p.bars {
		p.bars[i].meter = most.meter
	}
	return most.remark(p, "no time signature: the notes make bars of "+most.meter.String()), most.meter != timebase.Common
}

// takePickup sets the chart's pick-up from a first measure that is not full, and
// returns the index of bar 1.
func (p *sheetPart) takePickup(c *Chart) int {
	b := &p.bars[0]
	if b.length <= 0 || b.length >= b.meter.Bar() || len(p.bars) == 1 && !b.implicit {
		return 0
	}
	c.Pickup = b.length
	if !b.implicit && b.number != "0" && len(b.chords) > 0 {
		c.Remarks = append(c.Remarks, b.remark(p, "the first measure is not full: it is read as a pick-up"))
	}
	return 1
}

// settleMeters gives measures that are not as long as their time signature says
// the meter of what they hold, from bar 1 on: parts of a split bar. The last measure stays whole, and so does one
// before a repeat sign that the pick-up fills. It says which are not marked so.
func (p *sheetPart) settleMeters(first int, pickup int64) (r Remark, changed bool) {
	several := 0
	for i := first; i < len(p.bars); i++ {
		b := &p.bars[i]
		switch bar := b.meter.Bar(); {
		case b.implicit && b.length < bar:
			b.settleMeter()
			continue
		case b.length <= 0 || b.length == bar || i == len(p.bars)-1 || b.backward && b.length+pickup == bar:
			continue
		}
		was := b.meter
		b.settleMeter()
		if b.meter == was {
			continue
		}
		if several++; several == 1 {
			r = b.remark(p, fmt.Sprintf("the notes here make a bar of %s", b.meter))
		}
	}
	r.Text += moreMeasures(several) + " and not of the time signature: it is read so"
	return r, several > 0
}

// settleMeter gives a measure the meter of what it holds, where one can be
// written.
func (b *sheetBar) settleMeter() {
	if b.length <= 0 {
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
	formMaker
	part  *sheetPart
	first int // index of bar 1
	hold  sheetChord
	errs  Errors
}

// play adds a measure: the chord held from before and its own.
func (f *sheetForm) play(i int) {
	b := &f.part.bars[i]
	f.marked = f.marked || b.section != ""
	bar, found := b.written(f.hold)
	if found != "" {
		f.errs.add(b.problem(f.part, found, "chords inside the measure, a quarter of a beat apart or more"))
	}
	f.hold = b.lastChord(f.hold)
	f.add(bar, f.sectionAt(i), b.section != "")
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
	bar.Meter, bar.Quarter = b.meter, b.quarter
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
func (p *sheetPart) toConcert(chord harmony.Chord, symbol string) (harmony.Chord, string) {
	if p.semitones%12 == 0 {
		return chord, symbol
	}
	s := Stay{Symbol: symbol, Chord: chord}
	m := mover{key: p.concertKey(), letters: p.letters, semitones: p.semitones}
	m.stay(&s)
	return s.Chord, s.Symbol
}

func (p *sheetPart) concertKey() Centre {
	return spelled(Centre{Tonic: p.key.Tonic.Transpose(p.letters, p.semitones), Mode: p.key.Mode})
}

// finish closes the form.
func (f *sheetForm) finish() {
	f.formMaker.finish()
	if f.chart.HasKey && f.part.semitones%12 != 0 {
		f.chart.Key = f.part.concertKey()
	}
}
