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
	window   = 56         // pulses that the line goes through: more lie steadier, fewer follow a ramp sooner
	leastFit = 4          // pulses that give a tempo
	floor    = 1000.      // microseconds: the mean deviation is not taken to be smaller
	clip     = 3          // mean deviations, beyond which a pulse weighs no more
	recalled = 2 * window // pulses that the mean deviation is of
	// slowest is how far pulses may lie apart, in microseconds: 3.6 quarter notes a minute.
	// What is slower is taken for silence.
	slowest   = Slowest / pulsesPerQuarter
	quickest  = Fastest / pulsesPerQuarter
	silentFor = 3    // pulses without one: the clock is lost
	silentMin = 60e3 // microseconds, the same
	decided   = 8    // pulses after a silence, before it is said what was lost in it
	heaped    = 0.5  // of a pulse: closer ones are late, in a heap
	// longestHeap is how many pulses can be late: two seconds of them at 240.
	longestHeap = 200
)

// The tempo has changed where a line that bends fits better, by more than scatter makes in
// an evening of a million pulses.
const (
	bentBy     = 6. * 6 // squares of the deviation
	bendWithin = 8      // pulses, the newest: a slower change leaves the window by itself
	bendLeast  = 2      // pulses behind a bend: a single one may only be late
	bendClip   = 5      // mean deviations, beyond which a pulse says no more
	// deviation is that of a normal scatter, in its mean deviations: the root of half pi.
	deviation = 1.2533
)

// follower turns the pulses of an outside clock into a straight line, pulse number to
// time. Every pulse counts: what comes late in a heap after a silence was sent on time.
// Only where the pulses after it come at their tempo, and late by whole pulses, were
// some lost. How much pulses scatter is measured from each to the next, which tells it
// however the tempo goes.
type follower struct {
	straight
	marks    [window]mark
	n        int
	next     float64   // the number of the next pulse
	last     float64   // when the last pulse came
	held     []float64 // times since a silence that is not decided
	spread   float64   // the mean deviation
	measured float64   // of so many pulses
}

// fits reports whether there is a line, of a tempo that a clock keeps: pulses in a heap
// have none.
func (f *follower) fits() bool { return f.n >= leastFit && f.interval >= quickest }

// silent reports whether the clock is lost at a time: it free-wheels then.
func (f *follower) silent(at float64) bool {
	return f.fits() && (len(f.held) > 0 || at-f.last > max(silentMin, silentFor*f.interval))
}

// pulse takes a pulse. It reports whether the line tells something new.
func (f *follower) pulse(at float64) bool {
	silent, slow := f.silent(at), at-f.last > slowest
	f.last = at
	if !silent {
		if slow {
			f.forget()
		}
		f.add(at)
		return f.fits()
	}
	if slow {
		f.held = f.held[:0]
	}
	f.held = append(f.held, at)
	return f.decide()
}

// add fits the line with one pulse more.
func (f *follower) add(at float64) {
	if f.fits() {
		f.measure(at)
	}
	if f.n == window {
		copy(f.marks[:], f.marks[1:])
		f.n--
	}
	f.marks[f.n] = mark{number: f.next, at: at}
	f.n++
	f.next++
	if f.n > 1 {
		f.lay()
		f.look()
	}
}

func (f *follower) lay() { f.straight = through(f.marks[:f.n], clip*f.scatter()) }

// scatter returns the mean deviation of the pulses, in microseconds.
func (f *follower) scatter() float64 { return max(floor, f.spread) }

// measure takes how far a pulse is from the one before it, which has its own scatter.
func (f *follower) measure(at float64) {
	before := f.marks[f.n-1]
	off := math.Abs(at-before.at-(f.next-before.number)*f.interval) / math.Sqrt2
	f.measured = min(f.measured+1, recalled)
	f.spread += (min(off, clip*f.scatter()) - f.spread) / f.measured
}

// look forgets what lies before the likeliest bend, where there is one: the tempo has
// changed, but the beat has not moved, so the line goes on from where it was there.
func (f *follower) look() {
	marks := f.marks[:f.n]
	best, bend := bentBy, 0
	for i := max(leastFit-1, f.n-bendWithin); i < f.n-bendLeast; i++ {
		if by := f.bend(marks, i, bendClip*f.scatter(), deviation*f.scatter()); by > best {
			best, bend = by, i
		}
	}
	if bend == 0 {
		return
	}
	before := through(marks[:bend+1], clip*f.scatter())
	marks[bend].at = before.due(marks[bend].number)
	f.n = copy(marks, marks[bend:])
	f.lay()
}

// reached returns the number of the pulse that comes next at a time, with those that are
// held, and those that a silence must have swallowed.
func (f *follower) reached(at float64) float64 {
	if f.silent(at) && len(f.held) == 0 {
		return f.next + math.Floor((at-f.last)/f.interval)
	}
	return f.next + float64(len(f.held))
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
	late := f.held[n-1] - f.due(f.next+float64(n-1))
	if lost := math.Round(late / f.interval); lost > 0 && !heap {
		f.next += lost
	}
	f.next += float64(n - tail)
	for _, at := range f.held[n-tail:] {
		f.add(at)
	}
	f.held = f.held[:0]
	return f.fits()
}

// forget makes it begin anew with the next pulse. How much they scatter is remembered.
func (f *follower) forget() { f.n, f.held = 0, f.held[:0] }
