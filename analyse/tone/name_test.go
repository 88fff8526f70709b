package tone_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/analyse/tone"
)

func ExampleParseName() {
	n, err := tone.ParseName("e♭")
	fmt.Println(n, n.Unicode(), n.Class(), err)
	_, err = tone.ParseName("H")
	fmt.Println(err)
	// Output:
	// Eb E♭ 3 <nil>
	// "H" is not a note name: expected a letter A to G and at most two accidentals, like Bb or F#
}

func ExampleName_Transpose() {
	c, _ := tone.ParseName("C#")
	fmt.Println(c.Transpose(2, 4), c.Transpose(-1, -2)) // a major third up, a whole step down
	// Output: E# B
}

func name(t require.TestingT, text string) tone.Name {
	n, err := tone.ParseName(text)
	require.NoError(t, err)
	return n
}

func TestEveryNameReadsBackFromBothPrintings(t *testing.T) {
	for l := range tone.Letter(7) {
		for alter := int8(-2); alter <= 2; alter++ {
			n := tone.Name{Letter: l, Alter: alter}
			assert.Equal(t, n, name(t, n.String()))
			assert.Equal(t, n, name(t, n.Unicode()))
		}
	}
}

func TestNamesThatAreNone(t *testing.T) {
	for _, text := range []string{"", "H", "Cbbb", "C#b", "C ", " C", "Cx#", "♭", "4"} {
		_, err := tone.ParseName(text)
		assert.Error(t, err, text)
	}
}

func TestDoubleAccidentalsArePlainNotes(t *testing.T) {
	for text, want := range map[string]struct{ plain, easy string }{
		"Bbb": {"A", "A"}, "Abb": {"G", "G"}, "Ebb": {"D", "D"}, "Dbb": {"C", "C"}, "Gbb": {"F", "F"},
		"Cbb": {"Bb", "Bb"}, "Fbb": {"Eb", "Eb"}, "F##": {"G", "G"}, "C##": {"D", "D"}, "G##": {"A", "A"},
		"D##": {"E", "E"}, "A##": {"B", "B"}, "E##": {"F#", "F#"}, "B##": {"C#", "C#"},
		"Cb": {"Cb", "B"}, "Fb": {"Fb", "E"}, "E#": {"E#", "F"}, "B#": {"B#", "C"}, "F#": {"F#", "F#"}, "Gb": {"Gb", "Gb"},
	} {
		n := name(t, text)
		assert.Equal(t, want.plain, n.Plain().String(), text)
		assert.Equal(t, want.easy, n.Easy().String(), text)
		assert.Equal(t, n.Class(), n.Easy().Class(), text)
	}
}

func TestTransposingThereAndBack(t *testing.T) {
	for l := range tone.Letter(7) {
		for alter := int8(-2); alter <= 2; alter++ {
			n := tone.Name{Letter: l, Alter: alter}
			for letters := -8; letters <= 8; letters++ {
				for semitones := -13; semitones <= 13; semitones++ {
					moved := n.Transpose(letters, semitones)
					assert.Equal(t, tone.ClassOf(int(n.Class())+semitones), moved.Class())
					if int(moved.Letter) == ((int(l)+letters)%7+7)%7 {
						assert.Equal(t, n, moved.Transpose(-letters, -semitones))
					}
				}
			}
		}
	}
}

func TestPrintingANameAllocatesNothing(t *testing.T) {
	n := name(t, "Abb")
	var text string
	assert.Zero(t, testing.AllocsPerRun(100, func() { text = n.String() + "" }))
	assert.Equal(t, "Abb", text)
}
