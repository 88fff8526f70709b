package backing

import (
	"shedlight/analyse/changes"
	"shedlight/analyse/timebase"
)

// bar is a bar as the band counts it: in pulses, of which two or three together make
// a group.
type bar struct {
	start  int64
	length int64
	pulses []int64 // where they begin, in ticks after the bar's first
	groups []int64 // the same of groups
	third  int64   // ticks of the last third of a dotted pulse; 0 for others
	swings bool    // its pulses are quarter notes, whose halves swing
}

func newBar(b *changes.Bar) bar {
	m := b.Meter
	unit := int64(4*timebase.Quarter) / int64(m.Den)
	out := bar{start: b.Start, length: m.Bar()}
	pulse := int64(timebase.Quarter)
	switch {
	case m.Compound():
		pulse = m.Beat()
		out.third = unit
	case unit == timebase.Quarter/2:
		pulse = 2 * unit // eighths in twos and a three: 5/8, 7/8
	default:
		out.swings = m.Den <= 4
	}
	n := int(max(1, m.Bar()/pulse)) // what is over lengthens the last pulse
	for i := range n {
		out.pulses = append(out.pulses, int64(i)*pulse)
	}
	for i := 0; i < n; i += groupOf(n, n-i) {
		out.groups = append(out.groups, out.pulses[i])
	}
	return out
}

// groupOf returns how many of the pulses that are left in a bar of n go together:
// three and three, two and two, three and two, two and two and three.
func groupOf(n, left int) int {
	switch {
	case left <= 3 || n%3 == 0 || n == 5 && left == 5:
		return min(left, 3)
	}
	return 2
}

// pulse returns the length of pulse i.
func (b *bar) pulse(i int) int64 {
	if i+1 < len(b.pulses) {
		return b.pulses[i+1] - b.pulses[i]
	}
	return b.length - b.pulses[i]
}
