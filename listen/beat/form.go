package beat

import (
	"fmt"
	"sort"

	"shedlight/analyse/changes"
	"shedlight/analyse/timebase"
)

// Form is one chorus as the clock counts it, in song ticks: tick 0 is the first
// beat of bar 1. It is never changed once a clock has it.
type Form struct {
	Bars   []Bar
	Length int64 // of a chorus, in ticks
	Pickup int64 // ticks before bar 1 that belong to the tune

	varies bool // not all bars are alike
}

// Bar is one bar of the form.
type Bar struct {
	Start int64
	Meter timebase.Meter
	// Quarter is the tempo that the chart writes here, in microseconds a quarter
	// note; 0: as in the bar before. Only its ratio to that of bar 1 counts: the
	// player's own tempo is that of bar 1.
	Quarter int64
}

// Chorus returns the form of a chart's chorus, or of the bars of it that are
// played over and over.
func Chorus(t *changes.Timeline) Form {
	f := Form{Length: t.Length, Pickup: t.Pickup, Bars: make([]Bar, len(t.Bars))}
	for i, b := range t.Bars {
		f.Bars[i] = Bar{Start: b.Start, Meter: b.Meter, Quarter: b.Quarter}
	}
	return f
}

// endless is the form without a chart: one bar, over and over.
func endless(m timebase.Meter) Form {
	return Form{Bars: []Bar{{Meter: m}}, Length: m.Bar()}
}

// resolved returns the form with every bar's tempo filled in.
func (f Form) resolved() (Form, error) {
	bars := make([]Bar, len(f.Bars))
	if len(bars) == 0 {
		return f, fmt.Errorf("a form without bars")
	}
	end, quarter := int64(0), int64(timebase.Nominal)
	for i, b := range f.Bars {
		if !b.Meter.Valid() {
			return f, fmt.Errorf("bar %d: meter %v", i+1, b.Meter)
		}
		if b.Start != end {
			return f, fmt.Errorf("bar %d starts at %d: expected %d", i+1, b.Start, end)
		}
		end = b.Start + b.Meter.Bar()
		if b.Quarter == 0 {
			b.Quarter = quarter
		}
		if b.Quarter < Fastest || b.Quarter > Slowest {
			return f, fmt.Errorf("bar %d: tempo of %d microseconds a quarter note: expected %d to %d", i+1, b.Quarter, Fastest, Slowest)
		}
		quarter = b.Quarter
		bars[i] = b
		f.varies = f.varies || b.Meter != bars[0].Meter || b.Quarter != bars[0].Quarter
	}
	if f.Length != end {
		return f, fmt.Errorf("a chorus of %d ticks: expected %d, as the bars have", f.Length, end)
	}
	if f.Pickup < 0 {
		return f, fmt.Errorf("a pick-up of %d ticks", f.Pickup)
	}
	f.Bars = bars
	return f, nil
}

// even takes the tempi of the bars away.
func (f *Form) even() {
	f.varies = false
	for i := range f.Bars {
		f.Bars[i].Quarter = f.Bars[0].Quarter
		f.varies = f.varies || f.Bars[i].Meter != f.Bars[0].Meter
	}
}

// Place is where a song tick lies in the form.
type Place struct {
	Meter  timebase.Meter
	Offset int64 // ticks after the bar's first beat
	bar    int   // its index
}

// Place returns where a song tick lies. Before the top, bars like the first are
// counted backwards.
func (f *Form) Place(song int64) Place {
	if song < 0 {
		m := f.Bars[0].Meter
		return Place{Meter: m, Offset: mod(song, m.Bar())}
	}
	within := song % f.Length
	i := sort.Search(len(f.Bars), func(i int) bool { return f.Bars[i].Start > within }) - 1
	return Place{Meter: f.Bars[i].Meter, Offset: within - f.Bars[i].Start, bar: i}
}

// BarsIn counts the bars from a top to a song tick, from 0; below 0 before bar 1.
func (f *Form) BarsIn(song, top int64) int {
	if song < 0 {
		return -1
	}
	return int((song-song%f.Length-top)/f.Length)*len(f.Bars) + f.Place(song).bar
}

// left is how many ticks remain of the bar.
func (p Place) left() int64 { return p.Meter.Bar() - p.Offset }

// before returns the meter of the bar before the one at a place.
func (f *Form) before(song int64) timebase.Meter {
	p := f.Place(song)
	return f.Place(song - p.Offset - 1).Meter
}

// quarter returns the tempo at a song tick where bar 1 has the given one.
func (f *Form) quarter(song, first int64) int64 {
	if song < 0 {
		return first
	}
	return scale(first, f.Bars[f.Place(song).bar].Quarter, f.Bars[0].Quarter)
}

// first returns the tempo of bar 1 where a song tick has the given one.
func (f *Form) first(song, quarter int64) int64 {
	if song < 0 {
		return quarter
	}
	return scale(quarter, f.Bars[0].Quarter, f.Bars[f.Place(song).bar].Quarter)
}

// next returns how many ticks after a song tick of a chorus the next bar begins
// whose meter or tempo is not that of the bar before. ok is false where all bars
// are alike.
func (f *Form) next(song int64) (after int64, ok bool) {
	if !f.varies {
		return 0, false
	}
	within, n := song%f.Length, len(f.Bars)
	from := f.Place(song).bar
	after = -within
	for step := 1; step <= n; step++ {
		i := (from + step) % n
		if i == 0 {
			after += f.Length
		}
		a, b := f.Bars[(i+n-1)%n], f.Bars[i]
		if a.Meter != b.Meter || a.Quarter != b.Quarter {
			return after + b.Start, true
		}
	}
	return 0, false
}

// scale returns v times to over from, rounded, as a tempo that a clock keeps.
func scale(v, to, from int64) int64 {
	return bounded((v*to + from/2) / from)
}

// bounded returns the tempo, or the nearest that a clock keeps.
func bounded(quarter int64) int64 { return min(max(quarter, Fastest), Slowest) }

func mod(a, b int64) int64 { return ((a % b) + b) % b }
