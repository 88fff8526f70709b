package changes

import (
	"slices"
	"strings"

	"shedlight/analyse/timebase"
)

// Mark is a text at a tick of a MIDI file: a marker or a text event.
type Mark struct {
	Tick int64 // 960 to the quarter note
	Text string
}

// MeterAt is a meter that holds from a tick of a MIDI file.
type MeterAt struct {
	Tick  int64
	Meter timebase.Meter
}

// FromMarks makes a chart of texts that are chord symbols, in order, as
// sequencers and arrangers keep the changes in a MIDI file: bar 1 is at tick 0,
// each chord is held to the next, the last to the end. Texts that are none, such
// as the names of parts, are passed over, and a remark says how many.
//
// ok is false where the texts are no changes: less than two chords, more texts
// that are none, or bare capitals alone, which are the parts of a form. It is
// false for more than MaxBars bars too.
func FromMarks(marks []Mark, meters []MeterAt, end int64) (c *Chart, ok bool) {
	p := parser{chart: &Chart{}, said: map[string]bool{}}
	texts := make([]string, len(marks))
	for i, m := range marks {
		texts[i] = m.Text
		p.hand.seeAll(m.Text)
	}
	var chords []sheetChord
	telling := false // more than the letters of a form
	for i, text := range texts {
		symbol, err := p.symbol(strings.TrimSpace(text), place{})
		if err != nil {
			continue
		}
		name := symbol.Text
		if symbol.Chord.None() {
			name = noChord
		}
		telling = telling || len(name) > 1 && !symbol.Chord.None()
		chords = append(chords, sheetChord{tick: marks[i].Tick, symbol: name, chord: symbol.Chord})
	}
	const least = 2 // chords: one is a title or a name
	if len(chords) < least || 2*len(chords) < len(marks) || !telling {
		return nil, false
	}
	if others := len(marks) - len(chords); others > 0 {
		p.chart.Remarks = append(p.chart.Remarks, Remark{Text: plural(others, "text") + " of the file that is no chord symbol: passed over"})
	}
	bars, ok := barsOf(chords, meters, max(end, chords[len(chords)-1].tick+1))
	if !ok {
		return nil, false
	}
	p.chart.Sections = []Section{{Bars: bars}}
	p.chart.Meter = bars[0].Meter
	return p.chart, true
}

// barsOf puts chords into bars from tick 0 on.
func barsOf(chords []sheetChord, meters []MeterAt, end int64) ([]WrittenBar, bool) {
	var bars []WrittenBar
	hold, meter := noStay, timebase.Common
	for start := int64(0); start < end; start += meter.Bar() {
		if len(bars) == MaxBars {
			return nil, false
		}
		for len(meters) > 0 && meters[0].Tick <= start {
			meter, meters = meters[0].Meter, meters[1:]
		}
		b := sheetBar{meter: meter}
		early := meter.Beat() / 8 // a mark set by hand just before its bar belongs to it
		for len(chords) > 0 && chords[0].tick+early < start+meter.Bar() {
			c := chords[0]
			c.tick = max(0, c.tick-start)
			b.chords, chords = append(b.chords, c), chords[1:]
		}
		b.chords = slices.CompactFunc(b.chords, func(x, y sheetChord) bool { return x.tick == y.tick && x.chord == y.chord })
		bar, found := b.written(hold)
		if found != "" {
			return nil, false
		}
		bars, hold = append(bars, bar), b.lastChord(hold)
	}
	return bars, true
}
