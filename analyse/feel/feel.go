// Package feel measures time: how the onsets of a line lie against the beat, how its
// eighths swing, and how the scale falls on the beat.
package feel

import (
	"math"

	"shedlight/analyse/song"
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
// The windows and their sources stand in package song (pulse.go). The length of the
// first eighth is taken from the first onset, not from the beat, so that playing
// behind changes nothing in it.
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
	// pairTenths is how far behind the first eighth of a pair the second lies at the
	// most, in tenths of a beat: swung at 3.5:1 that is 0.78 of a beat. What comes
	// later is the next beat, early.
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
)

// Feel measures the time feel of the line. Its zero value has measured nothing.
type Feel struct {
	beat            feltBeat
	chorus, session tally
}

// tally is what is measured in one chorus, and in the session, to which that is
// added at its end.
type tally struct {
	phases [phaseBins]int64 // the onsets by where in the beat they lie
	onsets spread           // of the scored onsets, from the beat
	pairs  int64
	long   int64 // sum of the first eighths of the pairs, in thousandths of a beat
}

// feltBeat is the beat of the latest note.
type feltBeat struct {
	start   int64 // tick of the beat
	length  int64
	quarter int64 // microseconds at the first onset
	onsets  int
	first   int64 // ticks from the beat
	second  int64
	parts   [2]song.BeatPlace
}

// spread sums measurements so that their mean and their scatter can be told.
type spread struct{ n, sum, squares int64 } // microseconds

// Note takes a note of the line, in their order.
func (f *Feel) Note(n *song.Note) {
	if !n.Pulse.Known {
		f.close()
		return
	}
	f.chorus.phases[n.Pulse.Since*phaseBins/n.Pulse.Length]++
	p := n.Pulse.Nearest()
	start := n.Tick - p.Since
	if f.beat.onsets == 0 || start != f.beat.start {
		f.close()
		f.beat = feltBeat{start: start, length: p.Length, quarter: n.QuarterUS, first: p.Since}
	}
	b := &f.beat
	if b.onsets < len(b.parts) {
		b.parts[b.onsets], b.second = n.Pulse.Beat(), p.Since
	}
	b.onsets++
}

// Rest does nothing: a rest does not end a beat.
func (f *Feel) Rest() {}

// EndChorus scores the beat that is over and adds what this chorus measured to the
// session.
func (f *Feel) EndChorus() {
	f.close()
	f.session.add(&f.chorus)
	f.chorus = tally{}
}

// close scores the beat that is over, once.
func (f *Feel) close() {
	b := &f.beat
	early := b.onsets == 2 && (b.second-b.first)*timebase.Tenths > pairTenths*b.length
	pair := b.onsets == 2 && b.parts[1] == song.OffTheBeat && !early
	if b.parts[0] == song.OnTheBeat && (b.onsets == 1 || pair || early) {
		f.chorus.onsets.add(b.first * b.quarter / timebase.Quarter)
		if pair {
			f.chorus.pairs++
			f.chorus.long += (b.second - b.first) * timebase.Milli / b.length
		}
	}
	f.beat.onsets = 0
}

func (t *tally) add(other *tally) {
	for i := range t.phases {
		t.phases[i] += other.phases[i]
	}
	t.onsets.n += other.onsets.n
	t.onsets.sum += other.onsets.sum
	t.onsets.squares += other.onsets.squares
	t.pairs += other.pairs
	t.long += other.long
}

func (s *spread) add(micros int64) {
	s.n++
	s.sum += micros
	s.squares += micros * micros
}

// Report is the time feel of the line: how far its onsets on the beat lie
// from it, and how its eighths swing. Without a chart, a tempo or a clock
// nothing is counted.
type Report struct {
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
	return Ratio((a*timebase.Tenths*2+b)/(b*2)) / timebase.Tenths
}

// Report tells what was measured. counted says that the beat is known; quantum is
// how finely the source tells time, in microseconds.
func (f *Feel) Report(counted bool, quantum int64, density song.Density) Report {
	grain := (max(finest, quantum) + timebase.Milli - 1) / timebase.Milli
	r := Report{Counted: counted, GrainMS: grain}
	if !counted {
		return r
	}
	t := f.session
	t.add(&f.chorus)
	mean, deviation := t.onsets.told()
	r.WithBeat = t.withBeat()
	r.Onsets, r.Pairs = t.onsets.n, t.pairs
	r.OffsetMS, r.ScatterMS = toGrain(mean, grain), toGrain(deviation, grain)
	r.Swing = ratio(t.long, t.pairs*timebase.Milli-t.long)
	r.NotesPerBeat = ratio(density.Notes*timebase.Milli, density.MilliBeats)
	r.NotesPerBar = ratio(density.Notes*timebase.Micro, density.MicroBars)
	return r
}

// withBeat reports whether the onsets lie in the beat as they would not by
// chance: for some division of it the Rayleigh statistic, the number of onsets
// times the square of their mean resultant length, is more than chance gives.
func (t *tally) withBeat() bool {
	var n float64
	for _, c := range t.phases {
		n += float64(c)
	}
	for division := 1; division <= divisions; division++ {
		var x, y float64
		for i, c := range t.phases {
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
	return grain * int64(math.Round(micros/float64(grain*timebase.Milli)))
}
