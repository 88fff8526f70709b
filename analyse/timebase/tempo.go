// Package timebase is the one integer time of the house: ticks, 960 to the
// quarter note, and the tempo map that ties them to microseconds. Nothing here
// asks a clock and nothing here uses a float.
package timebase

import (
	"fmt"
	"math"
	"slices"
	"sort"
)

const (
	// Quarter is the number of ticks in a quarter note.
	Quarter = 960
	// Nominal is the tempo that sizes windows where no tempo is known, in
	// microseconds a quarter note: 500 ms.
	Nominal = 500_000
	// MinTempo and MaxTempo bound a tempo in microseconds a quarter note. The
	// upper bound is what three bytes of a Standard MIDI File hold.
	MinTempo = 1
	MaxTempo = 1<<24 - 1
	// MaxTick bounds a tick. At the slowest tempo it is still within the
	// range of the map's integer arithmetic.
	MaxTick = math.MaxInt64 / MaxTempo / 4
)

// Tempo is a tempo map: which tempo holds from which tick on. The zero value
// is 500,000 microseconds a quarter from tick 0. Appending keeps what was
// there valid until something is forgotten; a Tempo is not safe for use by several
// goroutines.
type Tempo struct {
	first    segment // holds where the map begins; the zero value: the nominal tempo
	segments []segment
}

// segment is a stretch at one tempo. Its start is kept in 960ths of a
// microsecond, so that no rounding adds up from segment to segment.
type segment struct {
	tick    int64
	at960   int64
	quarter int64
}

// Set says that from tick on a quarter note lasts the given microseconds.
// Ticks must not decrease from call to call; a second tempo on the same tick
// replaces the first.
func (t *Tempo) Set(tick, microsPerQuarter int64) error {
	if microsPerQuarter < MinTempo || microsPerQuarter > MaxTempo {
		return fmt.Errorf("tempo of %d microseconds a quarter note: expected %d to %d", microsPerQuarter, MinTempo, MaxTempo)
	}
	if tick < 0 || tick > MaxTick {
		return fmt.Errorf("tempo at tick %d: expected 0 to %d", tick, int64(MaxTick))
	}
	last := t.last()
	if tick < last.tick {
		return fmt.Errorf("tempo at tick %d comes after one at tick %d", tick, last.tick)
	}
	next := segment{tick: tick, at960: last.at960 + (tick-last.tick)*last.quarter, quarter: microsPerQuarter}
	if n := len(t.segments); n > 0 && t.segments[n-1].tick == tick {
		t.segments[n-1] = next
		return nil
	}
	t.segments = append(t.segments, next)
	return nil
}

// Forget says that no tick before one is asked for any more: the tempo that holds there
// counts for what lies before. In the mean it takes constant time.
func (t *Tempo) Forget(before int64) {
	n := t.starting(before)
	if 2*n <= len(t.segments) {
		return // what is kept is moved, so it is not done for few
	}
	t.first = t.segments[n-1]
	t.segments = slices.Delete(t.segments, 0, n)
}

func (t *Tempo) last() segment { return t.before(len(t.segments)) }

// before returns the segment that holds where i is the number of segments that
// start at or before the wanted point.
func (t *Tempo) before(i int) segment {
	switch {
	case i > 0:
		return t.segments[i-1]
	case t.first.quarter == 0:
		return segment{quarter: Nominal}
	}
	return t.first
}

// starting returns how many segments start at or before a tick.
func (t *Tempo) starting(tick int64) int {
	return sort.Search(len(t.segments), func(i int) bool { return t.segments[i].tick > tick })
}

// Quarter returns the microseconds a quarter note lasts at a tick.
func (t *Tempo) Quarter(tick int64) int64 { return t.at(tick).quarter }

func (t *Tempo) at(tick int64) segment {
	if last := t.last(); tick >= last.tick {
		return last
	}
	return t.before(t.starting(tick))
}

// Micros returns the time of a tick in microseconds from tick 0, rounded down.
// It takes constant time at or after the last tempo, logarithmic time before.
func (t *Tempo) Micros(tick int64) int64 {
	s := t.at(tick)
	return floorDiv(s.at960+(tick-s.tick)*s.quarter, Quarter)
}

// Tick returns the last tick that is not after a time in microseconds from
// tick 0. Times before 0 give 0.
func (t *Tempo) Tick(micros int64) int64 {
	if micros < 0 {
		return 0
	}
	// The first tick whose time, rounded down, is past micros starts at or
	// after (micros+1) exactly: search in 960ths.
	limit := (micros+1)*Quarter - 1
	s := t.last()
	if s.at960 > limit {
		s = t.before(sort.Search(len(t.segments), func(i int) bool { return t.segments[i].at960 > limit }))
	}
	return s.tick + (limit-s.at960)/s.quarter
}

func floorDiv(a, b int64) int64 {
	q := a / b
	if a%b < 0 {
		q--
	}
	return q
}
