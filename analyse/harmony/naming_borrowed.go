package harmony

import "shedlight/analyse/tone"

// mostLoans is how many voices of a home chord may be exchanged: with three the
// ear hears the dim chord instead.
const mostLoans = 2

// Loan is a dim tone sounding in place of a home tone, both spelled as the
// scale writes them.
type Loan struct {
	Tone, For tone.Name
}

// Borrowing is a home chord of a sixth-diminished scale with one or two voices
// borrowed from the dim half.
type Borrowing struct {
	Home  Chord
	loans [mostLoans]Loan
	n     int
}

// Loans returns the exchanged voices, one or two, in scale order of the home
// tones they stand for.
func (b Borrowing) Loans() []Loan { return b.loans[:b.n] }

// String prints the chord as a player says it: "C6 with B for C".
func (b Borrowing) String() string {
	text := b.Home.Symbol()
	for i, l := range b.Loans() {
		word := " with "
		if i > 0 {
			word = " and "
		}
		text += word + l.Tone.String() + " for " + l.For.String()
	}
	return text
}

// Borrowed reads a set of four tones as the home chord of a scale with one or
// two of its voices moved to the dim half: each borrowed tone lies a scale step
// above or below the home tone that is missing, and no two stand for the same
// one. ok is false for the home chord itself, for sets with a tone outside the
// scale, with other than four tones, or with fewer than two home tones, and
// where a borrowed tone is no neighbour of a missing one.
//
// There is never a choice: two home tones share at most one dim neighbour, so
// at most one way to pair borrowed and missing tones exists. Where both halves
// give two tones the home chord is said, since that is the chord at rest.
//
// Reading a chord so is the practice of the sixth-diminished system (common
// practice).
func Borrowed(set tone.Set, s Scale) (b Borrowing, ok bool) {
	if s.None() || set.Len() != 4 || !set.Within(s.Set()) {
		return Borrowing{}, false
	}
	missing := s.Home() &^ set
	if n := missing.Len(); n == 0 || n > mostLoans {
		return Borrowing{}, false
	}
	voices, lent := s.places(missing), s.places(set&s.Dim())
	if missing.Len() == mostLoans && !(neighbours(voices[0], lent[0]) && neighbours(voices[1], lent[1])) {
		lent[0], lent[1] = lent[1], lent[0]
	}
	b = Borrowing{Home: s.HomeChord(), n: missing.Len()}
	tones := s.Tones()
	for i := range b.n {
		if !neighbours(voices[i], lent[i]) {
			return Borrowing{}, false
		}
		b.loans[i] = Loan{Tone: tones[lent[i]], For: tones[voices[i]]}
	}
	return b, true
}

// places returns where up to mostLoans tones of the scale stand in it, in scale
// order.
func (s Scale) places(set tone.Set) (at [mostLoans]int) {
	n := 0
	for i, name := range s.Tones() {
		if n < mostLoans && set.Has(name.Class()) {
			at[n] = i
			n++
		}
	}
	return at
}

// neighbours reports whether two places of the eight lie a scale step apart.
func neighbours(a, b int) bool { return (a-b+8)%8 == 1 || (b-a+8)%8 == 1 }
