package analyse

import (
	"math"

	"shedlight/analyse/timebase"
)

// How time feel is measured.
//
// Each note of the line lies in a beat: from a tenth of a beat ahead of it up to
// a tenth ahead of the next. A beat with one onset on it (a tenth ahead to two
// tenths behind), and nothing else or one more off it, gives how far that onset
// lies from the beat, in microseconds at the tempo it was played at. Two onsets
// of which the second comes off the beat (four to eight tenths) are a pair of
// eighths and give how long the first is. Beats with three onsets or more give
// neither: grace notes, triplets and sixteenths are not a pair, and which of
// them was meant to be on the beat is not for us to say.
//
// Swing ratios of 3.5:1 when slow to 1:1 when fast put the off-beat at 0.50 to
// 0.78 of a beat (Music Perception 19/3, p. 333), and soloists lie about 30 ms
// behind the beat (456 transcribed solos), so the windows hold both. The length
// of the first eighth is taken from the first onset, not from the beat, so that
// playing behind changes nothing in it.
//
// Sums of integers only, constant for each note. Nothing is measured where the
// beat is not known: in free time, and while the song stands still. And nothing of
// it means anything where the line does not keep to the beat, as when nobody
// heard it: whether it does is asked by the Rayleigh test of uniformity (K. V.
// Mardia, P. E. Jupp, Directional Statistics, 2000, section 6.3) on where in the
// beat its onsets lie, once for each way to divide a beat.
//
// Known wrong answers, accepted: a lag of more than a fifth of a beat is taken
// for a note between the beats; a dotted eighth and a sixteenth count as a
// swung pair.

const (
	// onBeatTenths, offBeatTenths and aheadTenths bound the windows, in tenths of
	// a beat: on it up to the first, off it from the second, ahead of the next
	// from the third.
	onBeatTenths, offBeatTenths, aheadTenths = 2, 4, 9
	// pairTenths is how far behind the first eighth of a pair the second lies at the
	// most: swung at 3.5:1 that is 0.78 of a beat. What comes later is the next beat,
	// early.
	pairTenths = 8
	// finest is the finest grade that is told, in microseconds: nobody hears
	// less, and few instruments send it reliably.
	finest = 5_000
	// phaseBins is how finely it is kept where in the beat the onsets lie: 24
	// parts hold halves, thirds and quarters. divisions is how many ways to divide
	// a beat are asked for: into one, two, three and four.
	phaseBins, divisions = 24, 4
	// byChance is how seldom onsets anywhere in the beat are to be taken for
	// playing with it, all divisions together.
	byChance = 0.001
	// milli is a thousandth.
	milli = 1000
	// micro is a millionth.
	micro = 1_000_000
)

// pulse is where a note lies in its bar.
type pulse struct {
	known  bool
	number int   // of the beat before or at it, from 1
	beats  int   // in the bar
	since  int64 // ticks since that beat
	length int64 // of a beat in ticks
}

// pulseAt returns where the present, at song position p, lies in its bar.
func (a *Analyser) pulseAt(p *position) pulse {
	m, since := a.meter, a.now-a.metered
	switch t := a.setup.Timeline; {
	case t != nil:
		if !a.song.known || !a.song.running {
			return pulse{}
		}
		bar := &t.Bars[max(p.index, 0)]
		m, since = bar.Meter, p.within-bar.Start
	case !a.setup.Counted || a.song.known && !a.song.running:
		return pulse{}
	case a.song.known:
		since = a.song.at + a.now - a.song.tick
	}
	since = mod(since, m.Bar())
	return pulse{
		known: true, number: int(since/m.Beat()) + 1, beats: m.Beats(), since: since % m.Beat(), length: m.Beat(),
	}
}

// nearest returns the pulse told from the next beat where it lies ahead of it.
func (p pulse) nearest() pulse {
	if p.known && p.since*tenths >= aheadTenths*p.length {
		p.since -= p.length
		if p.number++; p.number > p.beats {
			p.number = 1
		}
	}
	return p
}

// in says where in its beat the note lies.
func (p pulse) in() inBeat {
	switch since := p.nearest().since * tenths; {
	case since <= onBeatTenths*p.length:
		return onBeat
	case since < offBeatTenths*p.length:
		return between
	}
	return offBeat
}

// part is the beat of the bar and where in it.
func (p pulse) part() beatPart { return beatPart{number: p.nearest().number, part: p.in()} }

// feel measures the time feel of the line.
type feel struct {
	beat   feltBeat
	phases [phaseBins]int64 // the onsets by where in the beat they lie
	onsets spread           // of the scored onsets, from the beat
	pairs  int64
	long   int64 // sum of the first eighths of the pairs, in thousandths of a beat
}

// feltBeat is the beat of the latest note.
type feltBeat struct {
	line    int64 // tick of the beat
	length  int64
	quarter int64 // microseconds at the first onset
	onsets  int
	first   int64 // ticks from the beat
	second  int64
	parts   [2]inBeat
}

// spread sums measurements so that their mean and their scatter can be told.
type spread struct{ n, sum, squares int64 } // microseconds

// add takes a note of the line in their order. quarter is the tempo there.
func (f *feel) add(n *played, quarter int64) {
	if !n.pulse.known {
		f.close()
		return
	}
	f.phases[n.pulse.since*phaseBins/n.pulse.length]++
	p := n.pulse.nearest()
	line := n.tick - p.since
	if f.beat.onsets == 0 || line != f.beat.line {
		f.close()
		f.beat = feltBeat{line: line, length: p.length, quarter: quarter, first: p.since}
	}
	b := &f.beat
	if b.onsets < len(b.parts) {
		b.parts[b.onsets], b.second = n.pulse.in(), p.since
	}
	b.onsets++
}

// close scores the beat that is over.
func (f *feel) close() {
	b := &f.beat
	early := b.onsets == 2 && (b.second-b.first)*tenths > pairTenths*b.length
	pair := b.onsets == 2 && b.parts[1] == offBeat && !early
	if b.parts[0] == onBeat && (b.onsets == 1 || pair || early) {
		f.onsets.add(b.first * b.quarter / timebase.Quarter)
		if pair {
			f.pairs++
			f.long += (b.second - b.first) * milli / b.length
		}
	}
	f.beat.onsets = 0
}

func (s *spread) add(micros int64) {
	s.n++
	s.sum += micros
	s.squares += micros * micros
}

// FeelReport is the time feel of the line: how far its onsets on the beat lie
// from it, and how its eighths swing. Without a chart, a tempo or a clock
// nothing is counted.
type FeelReport struct {
	Counted      bool  `json:"counted"`        // the beat is known
	WithBeat     bool  `json:"with_beat"`      // the line keeps to it; else, and with fewer than nine notes, what follows tells nothing
	Onsets       int64 `json:"onsets"`         // that were measured
	OffsetMS     int64 `json:"offset_ms"`      // their mean distance from the beat; positive is late
	ScatterMS    int64 `json:"scatter_ms"`     // their standard deviation
	GrainMS      int64 `json:"grain_ms"`       // both are rounded to multiples of this
	Pairs        int64 `json:"pairs"`          // of eighths
	Swing        Ratio `json:"swing"`          // the first eighth to the second: 1 is straight; 0 without pairs
	NotesPerBeat Ratio `json:"notes_per_beat"` // within the phrases
	NotesPerBar  Ratio `json:"notes_per_bar"`  // from the first phrase to the last, rests included
}

// Ratio is a number told to one decimal.
type Ratio float64

// ratio divides and rounds to tenths, half away from zero; 0 by nothing.
func ratio(a, b int64) Ratio {
	if b == 0 {
		return 0
	}
	return Ratio((a*tenths*2+b)/(b*2)) / tenths
}

// report tells what was measured. quantum is how finely the source tells time,
// in microseconds.
func (f *feel) report(counted bool, quantum int64, phrases *phraseCounts) FeelReport {
	grain := (max(finest, quantum) + milli - 1) / milli
	r := FeelReport{Counted: counted, GrainMS: grain}
	if !counted {
		return r
	}
	mean, deviation := f.onsets.told()
	r.WithBeat = f.withBeat()
	r.Onsets, r.Pairs = f.onsets.n, f.pairs
	r.OffsetMS, r.ScatterMS = toGrain(mean, grain), toGrain(deviation, grain)
	r.Swing = ratio(f.long, f.pairs*milli-f.long)
	r.NotesPerBeat = ratio(phrases.notes*milliBeat, phrases.milliBeats)
	r.NotesPerBar = ratio(phrases.notes*micro, phrases.microBars)
	return r
}

// withBeat reports whether the onsets lie in the beat as they would not by
// chance: for some division of it the Rayleigh statistic, the number of onsets
// times the square of their mean resultant length, is more than chance gives.
func (f *feel) withBeat() bool {
	var n float64
	for _, c := range f.phases {
		n += float64(c)
	}
	for division := 1; division <= divisions; division++ {
		var x, y float64
		for i, c := range f.phases {
			sin, cos := math.Sincos(2 * math.Pi * float64(i*division) / phaseBins)
			x, y = x+float64(c)*cos, y+float64(c)*sin
		}
		if n > 0 && (x*x+y*y)/n > math.Log(divisions/byChance) {
			return true
		}
	}
	return false
}

// told returns the mean and the standard deviation in microseconds.
func (s *spread) told() (mean, deviation float64) {
	if s.n == 0 {
		return 0, 0
	}
	n := float64(s.n)
	mean = float64(s.sum) / n
	return mean, math.Sqrt(max(0, float64(s.squares)/n-mean*mean))
}

// toGrain rounds microseconds to whole multiples of a grain in milliseconds.
func toGrain(micros float64, grain int64) int64 {
	return grain * int64(math.Round(micros/float64(grain*milli)))
}
