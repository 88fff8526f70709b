package material

import (
	"fmt"
	"slices"
	"strings"

	"shedlight/analyse/tone"
)

// Range is the keys that a line may use, both included.
type Range struct{ Low, High uint8 }

// String prints the range as ParseRange reads it: "C4-C6".
func (r Range) String() string { return pitchOf(r.Low) + "-" + pitchOf(r.High) }

func pitchOf(key uint8) string {
	const octave, below = tone.Octave, 1
	return fmt.Sprintf("%s%d", tone.ClassOf(int(key)).Name(), int(key)/octave-below)
}

// instruments are what players of an instrument have under their fingers without
// looking for it, at concert pitch (common practice, from memory: the range that
// parts for a section are written in).
var instruments = map[string]string{
	"piano": "C4-C6", "vibraphone": "F3-F6", "guitar": "E3-C6", "bass": "E2-G4", "violin": "G3-E6", "voice": "A3-E5",
	"flute": "C4-C7", "clarinet": "D3-C6", "soprano-sax": "Ab3-Eb6", "alto-sax": "Db3-Ab5", "tenor-sax": "Ab2-Eb5",
	"baritone-sax": "C2-Ab4", "trumpet": "E3-Bb5", "trombone": "E2-Bb4", "horn": "F2-F5",
}

// Instruments lists the names that ParseRange knows.
func Instruments() []string {
	var out []string
	for name := range instruments {
		out = append(out, name)
	}
	slices.Sort(out)
	return out
}

// ParseRange reads a range as two pitches, "Bb3-F6", or as an instrument's name.
func ParseRange(text string) (Range, error) {
	if known, ok := instruments[strings.ToLower(strings.ReplaceAll(text, " ", "-"))]; ok {
		text = known
	}
	low, high, ok := strings.Cut(text, "-")
	if ok {
		a, errLow := tone.ParsePitch(low)
		b, errHigh := tone.ParsePitch(high)
		if errLow == nil && errHigh == nil && a.Key() < b.Key() {
			return Range{Low: uint8(a.Key()), High: uint8(b.Key())}, nil
		}
	}
	return Range{}, fmt.Errorf("expected the lowest and the highest note, like Bb3-F6, or one of: %s", strings.Join(Instruments(), ", "))
}
