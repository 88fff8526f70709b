package timebase

import "fmt"

// Meter is a time signature. The denominator is a power of two, 1 to 64; the
// numerator 1 to 99.
type Meter struct {
	Num, Den uint8
}

// Common is 4/4, the meter where none is said.
var Common = Meter{Num: 4, Den: 4}

// Packed returns the meter as one number, as an event and its take carry it:
// the numerator above the low eight bits, the denominator in them.
func (m Meter) Packed() int64 { return int64(m.Num)<<8 | int64(m.Den) }

// Unpack returns the meter of a number that Packed made. ok is false for any
// other number and for a meter that shedlight does not count.
func Unpack(packed int64) (m Meter, ok bool) {
	m = Meter{Num: uint8(packed >> 8), Den: uint8(packed)}
	return m, m.Packed() == packed && m.Valid()
}

// Valid reports whether the meter is one shedlight counts.
func (m Meter) Valid() bool {
	return m.Num >= 1 && m.Num <= 99 && m.Den >= 1 && m.Den <= 64 && m.Den&(m.Den-1) == 0
}

// Compound reports whether the beat is dotted: 6/8, 9/8 and 12/8.
func (m Meter) Compound() bool {
	return m.Den == 8 && (m.Num == 6 || m.Num == 9 || m.Num == 12)
}

// Beat returns the length of a beat in ticks: the denominator's, or a dotted
// one in a compound meter.
func (m Meter) Beat() int64 {
	unit := int64(4*Quarter) / int64(m.Den)
	if m.Compound() {
		return 3 * unit
	}
	return unit
}

// Beats returns how many beats a bar has.
func (m Meter) Beats() int {
	if m.Compound() {
		return int(m.Num) / 3
	}
	return int(m.Num)
}

// Bar returns the length of a bar in ticks.
func (m Meter) Bar() int64 { return int64(m.Num) * 4 * Quarter / int64(m.Den) }

// String prints the meter as written: "4/4".
func (m Meter) String() string { return fmt.Sprintf("%d/%d", m.Num, m.Den) }
