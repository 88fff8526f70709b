package harmony_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/analyse/harmony"
	"shedlight/analyse/tone"
)

func ExampleChord_Voice() {
	c, _ := tone.ParseName("C")
	maj7 := harmony.Chord{Root: c, Bass: c, Formula: harmony.FormulaOf(harmony.One, harmony.Three, harmony.Five, harmony.Seven)}
	for v := harmony.Close; v <= harmony.RootlessSeventh; v++ {
		keys, _ := maj7.Voice(v, 0)
		fmt.Println(v, keys)
	}
	// Output:
	// close [60 64 67 71]
	// drop 2 [48 55 59 64]
	// drop 3 [48 59 64 67]
	// drop 2 and 4 [48 55 64 71]
	// shell [60 64 71]
	// shell with the third on top [48 59 64]
	// rootless [52 55 59 62]
	// rootless from the seventh [59 62 64 67]
}

// laid spells keys as a chord does, from the lowest up.
func laid(t testing.TB, c harmony.Chord, keys []uint8) string {
	var out []tone.Name
	for i, key := range keys {
		if i > 0 {
			require.Greater(t, key, keys[i-1])
		}
		n, ok := c.Spell(tone.ClassOf(int(key)))
		require.True(t, ok)
		out = append(out, n)
	}
	return words(out)
}

// Common practice: the order of the voices from the bass up.
func TestVoicings(t *testing.T) {
	for _, c := range []struct {
		chord     harmony.Chord
		voicing   harmony.Voicing
		inversion int
		want      string
	}{
		{chord(t, "Bb", "maj7"), harmony.Close, 0, "Bb D F A"},
		{chord(t, "Bb", "maj7"), harmony.Close, 1, "D F A Bb"},
		{chord(t, "Bb", "maj7"), harmony.Close, 3, "A Bb D F"},
		{chord(t, "C", "6"), harmony.Drop2, 0, "C G A E"},
		{chord(t, "C", "6"), harmony.Drop2, 1, "E A C G"},
		{chord(t, "C", "6"), harmony.Drop2, 2, "G C E A"},
		{chord(t, "C", "6"), harmony.Drop2, 3, "A E G C"},
		{chord(t, "G", "7"), harmony.Drop3, 0, "G F B D"},
		{chord(t, "G", "7"), harmony.Drop3, 2, "D B F G"},
		{chord(t, "G", "7"), harmony.Drop2And4, 0, "G D B F"},
		{chord(t, "G", "7"), harmony.Drop2And4, 1, "B F D G"},
		{chord(t, "F", "9"), harmony.Close, 0, "F A C Eb G"},
		{chord(t, "F", "13"), harmony.Close, 0, "F A C Eb G D"},
		{chord(t, "F", "6/9"), harmony.Close, 0, "F A C D G"},
		{chord(t, "F", "9sus4"), harmony.Close, 0, "F G Bb C Eb"},
		{chord(t, "F", "sus4"), harmony.Close, 0, "F Bb C"},
		{chord(t, "D", "m11"), harmony.Close, 0, "D F A C E G"},
		{chord(t, "D", "m7b5"), harmony.Shell, 0, "D F C"},
		{chord(t, "D", "7sus4"), harmony.Shell, 0, "D G C"},
		{chord(t, "D", "m6"), harmony.Shell, 0, "D F B"},
		{chord(t, "D", "m9"), harmony.Rootless, 0, "F A C E"},
		{chord(t, "D", "m9"), harmony.Rootless, 2, "C E F A"},
		{chord(t, "D", "m9"), harmony.RootlessSeventh, 0, "C E F A"},
		{chord(t, "G", "13"), harmony.RootlessSeventh, 0, "F A B E"},
		{slash(t, "G", "13", "F"), harmony.Rootless, 0, "F A B E"},
		{slash(t, "G", "13", "F"), harmony.RootlessSeventh, 0, "F A B E"},
		{chord(t, "D", "m7"), harmony.ShellOpen, 0, "D C F"},
		{chord(t, "D", "7sus4"), harmony.ShellOpen, 0, "D C G"},
		{chord(t, "G", "13"), harmony.Rootless, 0, "B E F A"},
		{chord(t, "G", "7b9b13"), harmony.Rootless, 0, "B Eb F Ab"},
		{slash(t, "C", "maj7", "E"), harmony.Close, 0, "E G B C"},
		{slash(t, "C", "maj7", "E"), harmony.Close, 1, "G B C E"},
		{slash(t, "C", "maj7", "E"), harmony.Drop2, 0, "E B C G"},
		{slash(t, "C", "", "D"), harmony.Close, 0, "D C E G"},
		{slash(t, "C", "", "D"), harmony.Close, 1, "D E G C"},
		{slash(t, "G", "7", "D"), harmony.Shell, 0, "D G B F"},
	} {
		keys, err := c.chord.Voice(c.voicing, c.inversion)
		require.NoError(t, err)
		assert.Equal(t, c.want, laid(t, c.chord, keys), "%v %s %d", c.chord, c.voicing, c.inversion)
	}
}

// Whatever the chord, a close or dropped voicing keeps to its tones; every
// voicing rises, and has its middle within an octave of middle C: half an octave,
// and what a foreign bass adds.
func TestEveryVoicingLiesNearMiddleC(t *testing.T) {
	laidOut := 0
	for formula := harmony.Formula(1); formula != 0; formula++ {
		c := harmony.Chord{Root: tone.Class(formula % 12).Name(), Formula: formula}
		c.Bass = tone.Class(formula % 7).Name()
		for v := harmony.Close; v <= harmony.RootlessSeventh; v++ {
			for inversion := range 2 {
				keys, err := c.Voice(v, inversion)
				if err != nil {
					continue
				}
				laidOut++
				middle := (int(keys[0]) + int(keys[len(keys)-1])) / 2
				sound := middle >= 60-12 && middle <= 60+12
				for i, key := range keys {
					own := v >= harmony.Shell || c.Set().Has(tone.ClassOf(int(key)))
					sound = sound && own && (i == 0 || key > keys[i-1])
				}
				if !sound {
					t.Fatalf("%v %s %d: %v", c, v, inversion, keys)
				}
			}
		}
	}
	assert.Greater(t, laidOut, 300_000)
}

func TestVoicingsThatDoNotExist(t *testing.T) {
	for _, c := range []struct {
		chord     harmony.Chord
		voicing   harmony.Voicing
		inversion int
		want      string
	}{
		{chord(t, "C", "5"), harmony.Shell, 0, "a shell voicing needs 3 tones, the chord gives it 1: expected a fuller chord"},
		{chord(t, "C", ""), harmony.Drop3, 0, "a drop 3 voicing needs 4 tones, the chord gives it 3: expected a fuller chord"},
		{chord(t, "C", "6"), harmony.Close, 4, "inversion 4 of a voicing of 4 tones: expected 0 to 3"},
		{chord(t, "C", "6"), harmony.Close, -1, "inversion -1 of a voicing of 4 tones: expected 0 to 3"},
		{harmony.Chord{}, harmony.Close, 0, "a close voicing needs 2 tones, the chord gives it 0: expected a fuller chord"},
	} {
		_, err := c.chord.Voice(c.voicing, c.inversion)
		assert.EqualError(t, err, c.want)
	}
}

func TestVoicingsFromText(t *testing.T) {
	assert.Equal(t, []uint8{58, 62, 65, 69}, voicing(t, "Bb3 D4 F4 A4"))
	assert.Equal(t, []uint8{58, 62}, voicing(t, "  B♭3\t D4 "))
	for text, want := range map[string]string{
		"":           "column 1: no notes: expected pitches like Bb3 D4 F4 A4",
		"   ":        "column 1: no notes: expected pitches like Bb3 D4 F4 A4",
		"Bb3 H4":     `column 5: "H4" is not a pitch: expected a note name and its octave, like Bb3 or F#4`,
		"B♭3 D4  F":  `column 9: "F" is not a pitch: expected an octave after F, like F4`,
		"Bb3 D4\x1b": `column 5: "D4\x1b" is not a pitch: expected an octave after D, like D4`,
	} {
		_, err := harmony.ParseVoicing(text)
		assert.EqualError(t, err, want)
	}
}
