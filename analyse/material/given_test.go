package material_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse/changes"
	"shedlight/analyse/material"
	"shedlight/analyse/tone"
)

// Tones that are given, in bars. What must come out was written down first, by the rules
// at Shape and Over: eighths, the last held for a beat, over the bars of the chart or, where
// the chord has no room there, over its own.
func TestGiven(t *testing.T) {
	const ropewalk = "key: C\n| C6 | A7 | Dm7 | G7 | C6 | % |"
	for _, test := range []struct {
		name, chart string
		of          material.Given
		want        string
	}{
		{"up and back", ropewalk, material.Given{Tones: given("B D F Ab"), Bar: 4, ToBar: 4, Chord: "G7"}, "G7: B4 D5 F5 Ab5 F5 D5 B4 -"},
		{"down", ropewalk, material.Given{Shape: material.Fall, Tones: given("C# E G Bb"), Bar: 2, ToBar: 2, Chord: "A7"}, "A7: Bb4 G4 E4 C#4 - r r r"},
		{"into the next", ropewalk, material.Given{Shape: material.Into, Tones: given("E G Bb C#"), Then: given("D"), Bar: 2, ToBar: 2, Chord: "A7"},
			"A7: r r r r E4 G4 Bb4 C#5 | Dm7: D5 - - - r r r r"},
		{"round the form", ropewalk, material.Given{Shape: material.Into, Tones: given("A"), Then: given("G"), Bar: 5, ToBar: 6, Chord: "C6"},
			"C6: r r r r r r r A4 | C6: G4 - - - r r r r"},
		{"two chords of a family", ropewalk, material.Given{Tones: given("D F Ab B"), Then: given("C E G A"), Bar: 4, ToBar: 5, Chord: "C6"},
			"G7: D4 F4 Ab4 B4 Ab4 F4 D4 - | C6: C4 E4 G4 A4 G4 E4 C4 -"},
		{"that fight the bars", ropewalk, material.Given{Tones: given("C E G A"), Then: given("D F Ab B"), Bar: 2, ToBar: 3, Chord: "C6"},
			"C6: C4 E4 G4 A4 G4 E4 C4 - | C6: D4 F4 Ab4 B4 Ab4 F4 D4 -"},
		{"no room", "key: C\n| Dm7 G7 C6 A7 |", material.Given{Shape: material.Into, Tones: given("B D F Ab"), Then: given("G"), Bar: 1, ToBar: 1, Chord: "G7", Next: "C6"},
			"G7: r r r r B4 D5 F5 Ab5 | C6: G5 - - - r r r r"},
		{"a meter without whole eighths", "key: C\nmeter: 5/16\n| G7 | C6 |", material.Given{Shape: material.Fall, Tones: given("B D"), Bar: 1, ToBar: 1, Chord: "G7"},
			"G7: D5 B4 - r r r r r"},
		{"endings", ropewalk, material.Given{Shape: material.Pairs, Tones: given("F Ab"), Then: given("E G"), Chord: "C6"},
			"C6: r F4 E4 - - - r r | C6: r Ab4 G4 - - - r r"},
		{"a scale, without a chart", "", material.Given{Tones: given("C D Eb F G Ab A B"), Chord: "Cm6"},
			"Cm6: C4 D4 Eb4 F4 G4 Ab4 A4 B4 | Cm6: A4 Ab4 G4 F4 Eb4 D4 C4 -"},
	} {
		t.Run(test.name, func(t *testing.T) {
			var line *changes.Timeline
			if test.chart != "" {
				chart, err := changes.Parse(strings.NewReader(test.chart))
				require.NoError(t, err)
				unrolled, err := chart.Unroll()
				require.NoError(t, err)
				line = &unrolled
			}
			test.of.Key = material.KeyOf(chord(t, test.of.Chord))
			e, err := test.of.Over(line)
			require.NoError(t, err)
			require.Equal(t, test.want, strings.Join(e.Bars(), " | "))
		})
	}
	for name, of := range map[string]material.Given{
		"nothing": {Chord: "C6"}, "nowhere to go": {Shape: material.Into, Tones: given("A"), Chord: "C6"}, "no chord": {Tones: given("A"), Chord: "x"},
	} {
		_, err := of.Over(nil)
		require.Error(t, err, name)
	}
}

// given reads tones by name.
func given(text string) (out []tone.Class) {
	for _, word := range strings.Fields(text) {
		name, err := tone.ParseName(word)
		if err != nil {
			panic(err)
		}
		out = append(out, name.Class())
	}
	return out
}
