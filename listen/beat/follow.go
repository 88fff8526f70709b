package beat

import "math"

// Pulses of an outside clock come 24 to the quarter note (MIDI 1.0, timing clock).
const (
	pulsesPerQuarter = 24
	ticksPerPulse    = 40 // of 960 to the quarter
)

// How an outside clock is followed; DEVELOPERS.md has what these give on streams that
// they were not chosen on.
const (
	window    = 48    // pulses that the line goes through
	leastFit  = 4     // pulses that give a tempo
	refit     = 6     // pulses that are kept where the tempo has changed
	clip      = 3.0   // mean deviations, beyond which a pulse weighs no more
	floor     = 1000. // microseconds: no deviation is taken to be smaller
	oneSided  = 5     // pulses on one side of the line
	aside     = 1.5   // mean deviations that they lie away from it at least
	silentFor = 3     // pulses without one: the clock is lost
	silentMin = 60e3  // microseconds, the same
	decided   = 8     // pulses after a silence, before it is said what was lost in it
	heaped    = 0.5   // of a pulse: closer ones are late, in a heap
	// longestHeap is how many pulses can be late: two seconds of them at 240.
	longestHeap = 200
)

// follower turns the pulses of an outside clock into a straight line, pulse number to
// time. Every pulse counts: what comes late in a heap after a silence was sent on time.
// Only where the pulses after it come at their tempo, and late by whole pulses, were
// some lost.
type follower struct {
	at     [window]float64 // times, in microseconds
	number [window]float64 // pulses since the first
	n      int
	next   float64   // the number of the next pulse
	last   float64   // when the last pulse came
	held   []float64 // times since a silence that is not decided
	asides int       // pulses in a row on one side, negative below
	first  float64   // how far off the first of them was

	interval float64 // microseconds a pulse
	offset   float64 // the line at pulse 0
	spread   float64 // mean deviation
}

// fits reports whether there is a line.
func (f *follower) fits() bool { return f.n >= leastFit }

// time returns when a pulse is due.
func (f *follower) time(number float64) float64 { return f.offset + number*f.interval }

// silent reports whether the clock is lost at a time: it free-wheels then.
func (f *follower) silent(at float64) bool {
	return f.fits() && (len(f.held) > 0 || at-f.last > max(silentMin, silentFor*f.interval))
}

// pulse takes a pulse. It reports whether the line tells something new.
func (f *follower) pulse(at float64) bool {
	if f.silent(at) {
		f.held = append(f.held, at)
		f.last = at
		return f.decide()
	}
	f.last = at
	f.add(at)
	return f.fits()
}

// add fits the line with one pulse more.
func (f *follower) add(at float64) {
	if f.fits() {
		f.look(at - f.time(f.next))
	}
	if f.n == window {
		copy(f.at[:], f.at[1:])
		copy(f.number[:], f.number[1:])
		f.n--
	}
	f.at[f.n], f.number[f.n] = at, f.next
	f.n++
	f.next++
	f.fit()
}

// look keeps only the newest pulses where some in a row lie aside and none the nearer
// for it: the tempo has changed.
func (f *follower) look(off float64) {
	switch {
	case math.Abs(off) < aside*f.spread:
		f.asides = 0
		return
	case off > 0 && f.asides > 0:
		f.asides++
	case off < 0 && f.asides < 0:
		f.asides--
	default:
		f.asides, f.first = int(math.Copysign(1, off)), math.Abs(off)
	}
	if f.asides < oneSided && -f.asides < oneSided || math.Abs(off) < f.first {
		return
	}
	f.asides = 0
	if f.n > refit {
		copy(f.at[:], f.at[f.n-refit:f.n])
		copy(f.number[:], f.number[f.n-refit:f.n])
		f.n = refit
	}
}

// fit lays the line through the pulses, twice: the second time with what lies far off
// drawn near.
func (f *follower) fit() {
	if f.n < 2 {
		return
	}
	f.lay(math.Inf(1))
	f.lay(clip * f.spread)
}

// lay fits by least squares, with each pulse no farther from the line before than reach.
func (f *follower) lay(reach float64) {
	number0, at0 := f.number[f.n-1], f.at[f.n-1]
	var sx, sy, sxx, sxy float64
	for i := range f.n {
		x, y := f.number[i]-number0, f.at[i]
		if !math.IsInf(reach, 1) {
			due := f.time(f.number[i])
			y = due + min(max(y-due, -reach), reach)
		}
		y -= at0
		sx, sy, sxx, sxy = sx+x, sy+y, sxx+x*x, sxy+x*y
	}
	n := float64(f.n)
	f.interval = (n*sxy - sx*sy) / (n*sxx - sx*sx)
	f.offset = at0 + (sy-f.interval*sx)/n - f.interval*number0
	sum := 0.0
	for i := range f.n {
		sum += math.Abs(f.at[i] - f.time(f.number[i]))
	}
	f.spread = max(floor, sum/n)
}

// decide says what a silence was, once enough pulses have come after it.
func (f *follower) decide() bool {
	n := len(f.held)
	const tail = decided / 2
	heap := n < decided || f.held[n-1]-f.held[n-1-tail] < heaped*tail*f.interval
	switch {
	case heap && n < longestHeap:
		return false
	case heap: // it is no heap: the tempo is another
		f.n = 0
	}
	late := f.held[n-1] - f.time(f.next+float64(n-1))
	if lost := math.Round(late / f.interval); lost > 0 && !heap {
		f.next += lost
	}
	f.next += float64(n - tail)
	for _, at := range f.held[n-tail:] {
		f.add(at)
	}
	f.held = f.held[:0]
	return true
}

// forget makes it begin anew: the clock has been stopped.
func (f *follower) forget() {
	*f = follower{held: f.held[:0]}
}
