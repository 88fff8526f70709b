package tone

import (
	"iter"
	"math/bits"
	"strings"
)

// Set is a set of pitch classes: bit n (value 1<<n) is pitch class n, so bit 0
// is C. The upper four bits are always zero.
type Set uint16

// All is the set of the twelve pitch classes.
const All Set = 1<<12 - 1

// SetOf returns the set of the given classes.
func SetOf(classes ...Class) Set {
	var s Set
	for _, c := range classes {
		s |= 1 << c
	}
	return s
}

// Has reports whether c is in the set.
func (s Set) Has(c Class) bool { return s>>c&1 == 1 }

// Len returns how many classes the set holds.
func (s Set) Len() int { return bits.OnesCount16(uint16(s)) }

// Within reports whether every class of s is in t too.
func (s Set) Within(t Set) bool { return s&^t == 0 }

// Transpose returns the set moved up by the given semitones (down if negative).
func (s Set) Transpose(semitones int) Set {
	n := uint(ClassOf(semitones))
	return (s<<n | s>>(12-n)) & All
}

// Classes returns the classes in ascending order from C.
func (s Set) Classes() []Class {
	out := make([]Class, 0, s.Len())
	for c := Class(0); c < 12; c++ {
		if s.Has(c) {
			out = append(out, c)
		}
	}
	return out
}

// Each yields the classes in ascending order from C, without allocating.
func (s Set) Each() iter.Seq[Class] {
	return func(yield func(Class) bool) {
		for rest := s; rest != 0; rest &= rest - 1 {
			if !yield(Class(bits.TrailingZeros16(uint16(rest)))) {
				return
			}
		}
	}
}

// String prints the classes by their usual names, in braces and in ascending
// order from C: "{C Eb F# A}".
func (s Set) String() string {
	var b strings.Builder
	b.WriteByte('{')
	for c := range s.Each() {
		if b.Len() > 1 {
			b.WriteByte(' ')
		}
		b.WriteString(c.Name().String())
	}
	b.WriteByte('}')
	return b.String()
}

// Invert returns the set mirrored about C: every class n becomes 12-n. The
// mirror that set theory writes TnI is Invert followed by Transpose(n).
func (s Set) Invert() Set {
	var out Set
	for c := range s.Each() {
		out |= 1 << ClassOf(-int(c))
	}
	return out
}

// Vector returns the interval vector: how many pairs of classes lie 1, 2, 3,
// 4, 5 and 6 semitones apart, counted the shorter way round (A. Forte, The
// Structure of Atonal Music, 1973, chapter 1).
func (s Set) Vector() [6]int {
	var v [6]int
	for i := range v {
		v[i] = (s & s.Transpose(i+1)).Len()
	}
	v[5] /= 2 // a tritone meets itself from both sides
	return v
}

// PrimeForte returns the prime form of the set's class as A. Forte chose it
// (The Structure of Atonal Music, 1973): of all transpositions and mirrors that
// start on C, the one of smallest span, then with the smallest intervals from
// the first tone to the second, the third and so on. The empty set stays.
//
// It differs from PrimeRahn for six classes only: 5-20, 6-Z29, 6-31, 7-Z18,
// 7-20 and 8-26; the last is the major sixth-diminished scale.
func (s Set) PrimeForte() Set {
	return s.prime(func(a, b Set) bool {
		if span, other := bits.Len16(uint16(a)), bits.Len16(uint16(b)); span != other {
			return span < other
		}
		return bits.Reverse16(uint16(a)) > bits.Reverse16(uint16(b))
	})
}

// PrimeRahn returns the prime form of the set's class as J. Rahn chose it
// (Basic Atonal Theory, 1980): of all transpositions and mirrors that start on
// C, the one of smallest span, then with the smallest intervals from the first
// tone to the last but one, the last but two and so on. The empty set stays.
func (s Set) PrimeRahn() Set {
	// The highest tone in which two such sets differ is the highest bit in
	// which the numbers differ.
	return s.prime(func(a, b Set) bool { return a < b })
}

func (s Set) prime(better func(a, b Set) bool) Set {
	best := s
	for _, form := range [...]Set{s, s.Invert()} {
		for c := range form.Each() {
			if zeroed := form.Transpose(-int(c)); !best.Has(0) || better(zeroed, best) {
				best = zeroed
			}
		}
	}
	return best
}
