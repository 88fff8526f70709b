package harmony

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"

	"shedlight/analyse/tone"
)

func ExampleBorrowed() {
	c, _ := tone.ParseName("C")
	b, ok := Borrowed(tone.SetOf(11, 4, 7, 9), NewScale(MajorSixth, c)) // B E G A
	fmt.Println(b, ok)
	// Output: C6 with B for C true
}

// The practice of the sixth-diminished system: a voice of the home chord steps
// to its neighbour in the dim half.
func TestBorrowedAsAPlayerSaysIt(t *testing.T) {
	for _, c := range []struct {
		kind        ScaleKind
		root, notes string
		want        string
	}{
		{MajorSixth, "C", "D E G A", "C6 with D for C"},
		{MajorSixth, "C", "C F G A", "C6 with F for E"},
		{MajorSixth, "C", "C D G A", "C6 with D for E"},
		{MajorSixth, "C", "C E Ab A", "C6 with Ab for G"},
		{MajorSixth, "C", "C E G B", "C6 with B for A"},
		{MajorSixth, "C", "B E Ab A", "C6 with B for C and Ab for G"},
		{MajorSixth, "C", "D F G A", "C6 with D for C and F for E"},
		{MajorSixth, "C", "B D G A", "C6 with B for C and D for E"},
		{MinorSixth, "C", "C Eb G B", "Cm6 with B for A"},
		{MajorSixth, "Eb", "D G Bb C", "Eb6 with D for Eb"},
		{DominantSeventh, "G", "F# B D F", "G7 with F# for G"},
		{DominantSeventhFlatFive, "C", "D E Gb Bb", "C7b5 with D for C"},
		{MajorSixth, "C", "C E G A", ""},  // the home chord
		{MajorSixth, "C", "D F Ab B", ""}, // the dim chord
		{MajorSixth, "C", "C E G F", ""},  // F is no neighbour of A
		{MajorSixth, "C", "C E G Bb", ""}, // Bb is outside
		{MajorSixth, "C", "C E G", ""},
	} {
		set, _ := sounding(t, c.notes)
		got, ok := Borrowed(set, scaleOn(t, c.kind, c.root))
		assert.Equal(t, c.want != "", ok, c.notes)
		if ok {
			assert.Equal(t, c.want, got.String(), c.notes)
		}
	}
}

// By enumeration: among all four-note sets of every scale, exchanging voices
// back gives the home chord, and no other pairing would have done.
func TestBorrowedIsNeverAmbiguous(t *testing.T) {
	for kind := MajorSixth; kind <= DominantSeventhFlatFive; kind++ {
		for class := range tone.Class(12) {
			s := NewScale(kind, usualRoots.major[class])
			for set := tone.Set(0); set <= tone.All; set++ {
				b, ok := Borrowed(set, s)
				if !ok {
					continue
				}
				home := set
				for _, l := range b.Loans() {
					home = home&^tone.SetOf(l.Tone.Class()) | tone.SetOf(l.For.Class())
				}
				assert.Equal(t, s.Home(), home)
				if loans := b.Loans(); len(loans) == mostLoans {
					crossed := step(s, loans[0].Tone, loans[1].For) && step(s, loans[1].Tone, loans[0].For)
					assert.False(t, crossed, "%s in %s can be read two ways", b, s)
				}
			}
		}
	}
}

func step(s Scale, a, b tone.Name) bool {
	i, _ := s.Index(a.Class())
	j, _ := s.Index(b.Class())
	return neighbours(i, j)
}
