package feel

import "shedlight/analyse/song"

// alone follows a player into the bars without a click and out of them: how far the beats
// of the bar behind them lie from those of the bar before them.
type alone struct {
	gaps   song.Gaps
	before trend // of the bar before the gap
	bar    int   // that bar, as song.Note.BarsIn
	latest comeback
	over   bool // the bar of the latest is over
}

// comeback is a bar with a click behind one without.
type comeback struct {
	at     song.BarRef
	bar    int // as song.Note.BarsIn
	before trend
	onsets trend
}

// Return is how a player came back where the click had been silent.
type Return struct {
	song.BarRef       // the bar in which the click was back
	DriftMS     int64 `json:"drift_ms"` // how much later the onsets lay there than in the bar before the gap; negative is sooner
}

// returnLeast is how many onsets each of the two bars has to have: one can lie anywhere.
const returnLeast = 2

// onset takes the measured onset of a beat. rows is where what is counted in its chorus
// is kept.
func (a *alone) onset(rows *[]comeback, b *feltBeat) {
	if a.gaps.Of == 0 || b.barsIn < 0 {
		return
	}
	if b.barsIn != a.latest.bar {
		a.over = true
	}
	if b.barsIn < a.bar { // counted off again
		a.bar = 0
	}
	switch {
	case a.gaps.At(b.barsIn):
	case a.gaps.At(b.barsIn + 1):
		if a.bar != b.barsIn {
			a.bar, a.before = b.barsIn, trend{}
		}
		a.before.count(b.elapsed, float64(b.offset))
	case a.bar > 0 && a.bar+1+a.gaps.Silent == b.barsIn && a.before.n > 0:
		if n := len(*rows); n == 0 || (*rows)[n-1].at != b.ref {
			*rows = append(*rows, comeback{at: b.ref, bar: b.barsIn, before: a.before})
		}
		row := &(*rows)[len(*rows)-1]
		row.onsets.count(b.elapsed, float64(b.offset))
		a.latest, a.over = *row, false
	}
}

// told tells a return; ok is false where too little was played.
func (c *comeback) told(grain int64) (r Return, ok bool) {
	return Return{c.at, toGrain(c.onsets.y-c.before.y, grain)}, c.before.n >= returnLeast && c.onsets.n >= returnLeast
}

// Returned tells the latest return whose bar is over; ok is false where there is none.
func (f *Feel) Returned(quantum int64) (r Return, ok bool) {
	r, ok = f.alone.latest.told(grainOf(quantum))
	return r, ok && f.alone.over
}
