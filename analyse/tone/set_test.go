package tone_test

import (
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"

	"shedlight/analyse/tone"
)

func ExampleSet() {
	f6 := tone.SetOf(5, 9, 0, 2)
	fmt.Println(f6, f6.Len(), f6.Has(9), f6.Transpose(-5), f6.Within(tone.All))
	fmt.Printf("%012b\n", f6) // the rightmost bit is C
	// Output:
	// {C D F A} 4 true {C E G A} true
	// 001000100101
}

func ExampleSet_PrimeForte() {
	majorSixthDiminished := tone.SetOf(0, 2, 4, 5, 7, 8, 9, 11)
	fmt.Println(digits(majorSixthDiminished.PrimeForte()), digits(majorSixthDiminished.PrimeRahn()), majorSixthDiminished.Vector())
	// Output: 0124579T 0134578T [4 5 6 5 6 2]
}

// digits prints a set as the tables of set theory do, T and E for 10 and 11.
func digits(s tone.Set) string {
	var out []byte
	for c := range s.Each() {
		out = append(out, "0123456789TE"[c])
	}
	return string(out)
}

func TestThePrintingOfSets(t *testing.T) {
	assert.Equal(t, "{}", tone.Set(0).String())
	assert.Equal(t, "{C Db D Eb E F F# G Ab A Bb B}", tone.All.String())
}

// forteTable lists classes by their numbers, prime forms and interval vectors
// in A. Forte, The Structure of Atonal Music (1973), appendix 1. The values
// are recalled from memory; those of the eight-tone classes stand in
// testdata/theory/scales.json as well. T is 10.
var forteTable = []struct {
	number, prime string
	vector        [6]int
	what          string
}{
	{"3-5", "016", [6]int{1, 0, 0, 0, 1, 1}, "shell of a dominant seventh flat nine"},
	{"3-7", "025", [6]int{0, 1, 1, 0, 1, 0}, "minor seventh without its fifth"},
	{"3-8", "026", [6]int{0, 1, 0, 1, 0, 1}, "dominant seventh without its fifth"},
	{"3-9", "027", [6]int{0, 1, 0, 0, 2, 0}, "sus4"},
	{"3-10", "036", [6]int{0, 0, 2, 0, 0, 1}, "diminished triad"},
	{"3-11", "037", [6]int{0, 0, 1, 1, 1, 0}, "major and minor triad"},
	{"3-12", "048", [6]int{0, 0, 0, 3, 0, 0}, "augmented triad"},
	{"4-18", "0147", [6]int{1, 0, 2, 1, 1, 1}, "diminished triad with a major seventh"},
	{"4-19", "0148", [6]int{1, 0, 1, 3, 1, 0}, "m(maj7), maj7#5"},
	{"4-20", "0158", [6]int{1, 0, 1, 2, 2, 0}, "maj7"},
	{"4-23", "0257", [6]int{0, 2, 1, 0, 3, 0}, "7sus4"},
	{"4-24", "0248", [6]int{0, 2, 0, 3, 0, 1}, "7#5"},
	{"4-25", "0268", [6]int{0, 2, 0, 2, 0, 2}, "7b5"},
	{"4-26", "0358", [6]int{0, 1, 2, 1, 2, 0}, "6, m7"},
	{"4-27", "0258", [6]int{0, 1, 2, 1, 1, 1}, "7, m6, m7b5"},
	{"4-28", "0369", [6]int{0, 0, 4, 0, 0, 2}, "dim7"},
	{"5-35", "02479", [6]int{0, 3, 2, 1, 4, 0}, "6/9"},
	{"8-25", "0124678T", [6]int{4, 6, 4, 6, 4, 4}, "dominant seventh flat five-diminished"},
	{"8-26", "0124579T", [6]int{4, 5, 6, 5, 6, 2}, "major sixth-diminished"},
	{"8-27", "0124578T", [6]int{4, 5, 6, 5, 5, 3}, "minor sixth- and dominant seventh-diminished"},
}

func TestPrimeFormsAndVectorsOfForte(t *testing.T) {
	for _, c := range forteTable {
		set := fromDigits(c.prime)
		for n := range 12 {
			for _, moved := range []tone.Set{set.Transpose(n), set.Invert().Transpose(n)} {
				assert.Equal(t, c.prime, digits(moved.PrimeForte()), c.number)
				assert.Equal(t, c.vector, moved.Vector(), c.number)
			}
		}
	}
}

func fromDigits(text string) tone.Set {
	var s tone.Set
	for i := range text {
		s |= 1 << slices.Index([]byte("0123456789TE"), text[i])
	}
	return s
}

// The numbers of classes by size are Forte's: 12, 29, 38, 50, 38, 29, 12 for 3
// to 9 tones (the same book, from memory). That Forte's and Rahn's prime forms
// differ for six classes is J. Rahn, Basic Atonal Theory (1980), with the forms
// of both as given there (from memory).
func TestAllClassesAndWhereTheTwoPrimeFormsDiffer(t *testing.T) {
	count := make([]int, 13)
	differ := map[string]string{}
	for s := tone.Set(0); s <= tone.All; s++ {
		forte, rahn := s.PrimeForte(), s.PrimeRahn()
		assert.Equal(t, s.Vector(), forte.Vector())
		assert.Equal(t, rahn, forte.PrimeRahn())
		assert.Equal(t, forte, rahn.PrimeForte())
		if s == forte {
			count[s.Len()]++
		}
		if forte != rahn {
			differ[digits(forte)] = digits(rahn)
		}
	}
	assert.Equal(t, []int{1, 1, 6, 12, 29, 38, 50, 38, 29, 12, 6, 1, 1}, count)
	assert.Equal(t, map[string]string{
		"01378":    "01568",    // 5-20
		"013689":   "023679",   // 6-Z29
		"013589":   "014579",   // 6-31
		"0123589":  "0145679",  // 7-Z18
		"0124789":  "0125679",  // 7-20
		"0124579T": "0134578T", // 8-26
	}, differ)
}

func TestInversionAndTransposition(t *testing.T) {
	for s := tone.Set(0); s <= tone.All; s++ {
		assert.Equal(t, s, s.Invert().Invert())
		assert.Equal(t, s, tone.SetOf(s.Classes()...))
		assert.True(t, slices.Equal(s.Classes(), slices.Collect(s.Each())))
		for n := -13; n <= 13; n++ {
			assert.Equal(t, s, s.Transpose(n).Transpose(-n))
			assert.Equal(t, s.Transpose(n).Invert(), s.Invert().Transpose(-n))
		}
	}
}

func TestASetIsWithinAnotherThatHoldsAllItsClasses(t *testing.T) {
	c6, c69 := tone.SetOf(0, 4, 7, 9), tone.SetOf(0, 2, 4, 7, 9)
	assert.True(t, c6.Within(c69))
	assert.False(t, c69.Within(c6))
	assert.True(t, tone.Set(0).Within(c6))
}
