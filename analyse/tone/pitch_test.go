package tone_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/analyse/tone"
)

func ExampleParsePitch() {
	for _, text := range []string{"C4", "Bb3", "Cb4", "B#3"} {
		p, _ := tone.ParsePitch(text)
		fmt.Println(p, p.Unicode(), p.Key())
	}
	// Output:
	// C4 C4 60
	// Bb3 B♭3 58
	// Cb4 C♭4 59
	// B#3 B♯3 60
}

// Key 60 as C4 and A4 as key 69: the numbering of MIDI 1.0 in the most usual
// octave names (common practice).
func TestPitchesAndKeys(t *testing.T) {
	for text, key := range map[string]int{
		"C-1": 0, "A0": 21, "C4": 60, "A4": 69, "Fb4": 64, "E#4": 65, "Dbb4": 60, "B##3": 61, "C8": 108, "G9": 127, "Abb9": 127,
	} {
		p, err := tone.ParsePitch(text)
		require.NoError(t, err, text)
		assert.Equal(t, key, p.Key(), text)
		assert.Equal(t, text, p.String())
		back, ok := p.Name.At(uint8(key))
		assert.True(t, ok)
		assert.Equal(t, p, back)
	}
}

func TestEveryNameFindsItsKeysAndNoOthers(t *testing.T) {
	for l := range tone.Letter(7) {
		for alter := int8(-2); alter <= 2; alter++ {
			n := tone.Name{Letter: l, Alter: alter}
			for key := range uint8(tone.MaxKey + 1) {
				p, ok := n.At(key)
				assert.Equal(t, tone.ClassOf(int(key)) == n.Class(), ok)
				if ok {
					assert.Equal(t, int(key), p.Key())
				}
			}
		}
	}
}

func TestPitchesThatAreNone(t *testing.T) {
	for text, want := range map[string]string{
		"":      `"" is not a pitch: expected a note name and its octave, like Bb3 or F#4`,
		"H4":    `"H4" is not a pitch: expected a note name and its octave, like Bb3 or F#4`,
		"Bb":    `"Bb" is not a pitch: expected an octave after Bb, like Bb4`,
		"C4.5":  `"C4.5" is not a pitch: expected an octave after C, like C4`,
		"C\x1b": `"C\x1b" is not a pitch: expected an octave after C, like C4`,
		"C1000": `"C1000" is not a pitch: expected an octave after C, like C4`,
		"Cb-1":  `"Cb-1" lies outside the keys: expected C-1 to G9`,
		"G#9":   `"G#9" lies outside the keys: expected C-1 to G9`,
	} {
		_, err := tone.ParsePitch(text)
		assert.EqualError(t, err, want)
	}
}
