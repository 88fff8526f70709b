package feel

import (
	"cmp"
	"math"
	"slices"

	"shedlight/analyse/song"
	"shedlight/analyse/timebase"
)

// Report is the time feel of the line: how far its onsets on the beat lie
// from it, and how its eighths swing. Without a chart, a tempo or a clock
// nothing is counted.
type Report struct {
	Counted      bool          `json:"counted"`             // the beat is known
	WithBeat     bool          `json:"with_beat"`           // the line keeps to it
	Measured     bool          `json:"measured"`            // the line keeps to a beat, this one or one that drifts from it, closely enough beside its own divisions; else, and with fewer than nine notes, what follows tells nothing
	Onsets       int64         `json:"onsets"`              // that were measured
	OffsetMS     int64         `json:"offset_ms"`           // their mean distance from the beat; positive is late; where there is a drift, as it was when the beats began
	ScatterMS    int64         `json:"scatter_ms"`          // their standard deviation, without a drift
	DriftMS      int64         `json:"drift_ms_per_minute"` // how much later they come from minute to minute; negative is sooner; 0 where that cannot be told from none
	GrainMS      int64         `json:"grain_ms"`            // all three are rounded to multiples of this
	Pairs        int64         `json:"pairs"`               // of eighths that are divided alike; in a compound meter none
	Swing        Ratio         `json:"swing"`               // the first eighth to the second: 1 is straight; 0 with fewer than four pairs
	OtherPairs   int64         `json:"other_pairs"`         // that are divided otherwise: dotted, or of a triplet
	OtherRatio   Ratio         `json:"other_ratio"`         // the first of those to the second; 0 without them
	NotesPerBeat Ratio         `json:"notes_per_beat"`      // within the phrases
	NotesPerBar  Ratio         `json:"notes_per_bar"`       // from the first phrase to the last, rests included
	Sections     []SectionTime `json:"sections"`            // of the chart, over all choruses, in order
	Choruses     []ChorusTime  `json:"choruses"`            // by number
	Bars         []BarTime     `json:"bars"`                // of the chart, over all choruses, in order
	Returns      []Return      `json:"returns"`             // after bars without a click, in their order
}

// Span is the time feel of some of the onsets, rounded as the whole's, and without its
// drift. What has no onset is not listed.
type Span struct {
	Onsets    int64 `json:"onsets"`
	OffsetMS  int64 `json:"offset_ms"`
	ScatterMS int64 `json:"scatter_ms"`
}

// SectionTime is the time feel of a section of the chart, in all its choruses.
type SectionTime struct {
	Section string `json:"section"` // its name; empty where the chart has none
	Bar     int    `json:"bar"`     // the first, from 1
	ToBar   int    `json:"to_bar"`  // the last
	Span
}

// ChorusTime is the time feel of a chorus.
type ChorusTime struct {
	Chorus int `json:"chorus"` // from 1; 0 before bar 1
	Span
}

// BarTime is the time feel of a bar of the chart, in all its choruses.
type BarTime struct {
	Bar int `json:"bar"` // from 1
	Span
}

// Ratio is a number told to one decimal.
type Ratio float64

// ratio divides and rounds to tenths, half away from zero; 0 by nothing.
func ratio(a, b int64) Ratio {
	if b == 0 {
		return 0
	}
	return Ratio((a*timebase.Tenths*2+b)/(b*2)) / timebase.Tenths
}

// Report tells what was measured. counted says that the beat is known; quantum is
// how finely the source tells time, in microseconds.
func (f *Feel) Report(counted bool, quantum int64, density song.Density) Report {
	grain := grainOf(quantum)
	r := Report{Counted: counted, GrainMS: grain, Sections: []SectionTime{}, Choruses: []ChorusTime{}, Bars: []BarTime{}, Returns: []Return{}}
	if !counted {
		return r
	}
	t := f.Total()
	r.WithBeat, r.Measured = t.given.keep(), t.measured()
	drift := t.onsets.drift()
	whole := t.onsets.span(drift, grain)
	r.Onsets, r.OffsetMS, r.ScatterMS = whole.Onsets, whole.OffsetMS, whole.ScatterMS
	r.DriftMS = toGrain(drift*minute, grain)
	swing, others := t.pairs.told()
	r.Pairs, r.Swing, r.OtherPairs, r.OtherRatio = swing.n, swing.ratio(), others.n, others.ratio()
	r.NotesPerBeat = ratio(density.Notes*timebase.Milli, density.MilliBeats)
	r.NotesPerBar = ratio(density.Notes*timebase.Micro, density.MicroBars)
	f.spans(&r, t, drift)
	for i := range t.returns {
		if told, ok := t.returns[i].told(grain); ok {
			r.Returns = append(r.Returns, told)
		}
	}
	return r
}

// grainOf is the grain of what is told, in milliseconds, where the source tells time as
// finely as so many microseconds.
func grainOf(quantum int64) int64 {
	return (max(finest, quantum) + timebase.Milli - 1) / timebase.Milli
}

// minute is a minute in microseconds.
const minute = 60e6

// spans tells the time feel of the sections, the choruses and the bars.
func (f *Feel) spans(r *Report, t *tally, drift float64) {
	if f.timeline == nil {
		return
	}
	for i, bar := range f.timeline.Bars {
		if t.bars[i].n > 0 {
			r.Bars = append(r.Bars, BarTime{Bar: bar.Number, Span: t.bars[i].span(drift, r.GrainMS)})
		}
	}
	for _, s := range f.timeline.Sections() {
		var all trend
		for i := range t.bars[s.From:s.To] {
			all.add(&t.bars[s.From+i])
		}
		if all.n > 0 {
			from, to := f.timeline.Bars[s.From], f.timeline.Bars[s.To-1]
			r.Sections = append(r.Sections, SectionTime{Section: from.Section, Bar: from.Number, ToBar: to.Number, Span: all.span(drift, r.GrainMS)})
		}
	}
	for i := range t.choruses {
		c := &t.choruses[i]
		r.Choruses = append(r.Choruses, ChorusTime{Chorus: c.number, Span: c.onsets.span(drift, r.GrainMS)})
	}
	slices.SortFunc(r.Choruses, func(a, b ChorusTime) int { return cmp.Compare(a.Chorus, b.Chorus) })
}

// span tells some onsets without the drift of all.
func (r *trend) span(drift float64, grain int64) Span {
	mean, deviation := r.told(drift)
	return Span{Onsets: int64(r.n), OffsetMS: toGrain(mean, grain), ScatterMS: toGrain(deviation, grain)}
}

// toGrain rounds microseconds to whole multiples of a grain in milliseconds.
func toGrain(micros float64, grain int64) int64 {
	return grain * int64(math.Round(micros/float64(grain*timebase.Milli)))
}
