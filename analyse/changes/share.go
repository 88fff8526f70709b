package changes

import (
	"fmt"
	"strings"

	"shedlight/analyse/timebase"
)

// How a bar is shared among its chords. Chords alone share it equally where
// their number divides its beats or is twice them. Otherwise dots hold beats,
// and symbols and dots together make up the beats, or half-beats, thirds or
// quarters of beats: two, three or four times as many. Fewer chords than beats
// that do not divide them are held whole beats, the first longest.

// shareUnit returns the length in ticks of each symbol and dot of a bar; ok is
// false where their number does not go into it. all counts both.
func shareUnit(m timebase.Meter, symbols, all int) (unit int64, ok bool) {
	beats := m.Beats()
	if symbols == all && beats%all == 0 {
		return m.Bar() / int64(all), true
	}
	for _, u := range shareUnits(m) {
		if int64(all)*u == m.Bar() {
			return u, true
		}
	}
	return 0, false
}

// shareUnits returns the units that shareUnit can give with dots, from the
// beat down.
func shareUnits(m timebase.Meter) []int64 {
	var out []int64
	for k := int64(1); k <= maxBeatFraction; k++ {
		if m.Beat()%k == 0 {
			out = append(out, m.Beat()/k)
		}
	}
	if half := 2 * int64(timebase.Quarter); m.Beat() == half { // a beat in 2/2: also its sixteenths
		out = append(out, half/8)
	}
	return out
}

// firstLonger gives equal shares of one the beats of a bar, whole ones, as equal
// as can be, the first longest (common practice: three chords in a bar of four
// are two beats, one and one).
func firstLonger(shares []int, beats int) {
	n := len(shares)
	for i := range shares {
		shares[i] = beats / n
		if i < beats%n {
			shares[i]++
		}
	}
}

// countOf says how many symbols and dots a bar holds.
func countOf(symbols, all int) string {
	text := plural(symbols, "chord")
	if dots := all - symbols; dots > 0 {
		text += " and " + plural(dots, "dot")
	}
	return text + " in the bar"
}

func plural(n int, word string) string {
	if n == 1 {
		return "1 " + word
	}
	return fmt.Sprintf("%d %ss", n, word)
}

// sharesWanted says what would fill a bar.
func sharesWanted(m timebase.Meter) string {
	beats := m.Beats()
	var equal []string
	for n := 1; n <= beats; n++ {
		if beats%n == 0 {
			equal = append(equal, fmt.Sprint(n))
		}
	}
	return fmt.Sprintf("%s or %d chords, or chords and dots that make %s in %s",
		strings.Join(equal, ", "), 2*beats, plural(beats, "beat"), m)
}
