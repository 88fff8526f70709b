package tone_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/analyse/tone"
)

func ExampleInstrument_Written() {
	concert, _ := tone.ParseName("F")
	for _, key := range []string{"C", "Bb", "Eb", "F"} {
		i, _ := tone.ParseInstrument(key)
		fmt.Println(i, i.Written(concert))
	}
	// Output:
	// C F
	// Bb G
	// Eb D
	// F C
}

// Common practice: a concert C is D for instruments in Bb, A in Eb, G in F.
func TestWrittenPitch(t *testing.T) {
	for _, c := range []struct{ instrument, concert, written, root string }{
		{"Bb", "C", "D", "D"}, {"Bb", "Bb", "C", "C"}, {"Bb", "Ab", "Bb", "Bb"}, {"Bb", "E", "F#", "F#"},
		{"Bb", "Db", "Eb", "Eb"}, {"Bb", "D#", "E#", "F"}, {"Bb", "F#", "G#", "Ab"}, {"Bb", "B#", "D", "D"},
		{"Eb", "C", "A", "A"}, {"Eb", "Eb", "C", "C"}, {"Eb", "B", "G#", "Ab"}, {"Eb", "F#", "D#", "Eb"}, {"Eb", "Gb", "Eb", "Eb"},
		{"Eb", "Ebb", "Cb", "B"},
		{"F", "C", "G", "G"}, {"F", "F", "C", "C"}, {"F", "B", "F#", "F#"}, {"F", "Gb", "Db", "Db"},
		{"C", "Db", "Db", "Db"}, {"C", "G#", "G#", "G#"}, {"C", "D#", "D#", "D#"}, {"C", "Cb", "Cb", "Cb"}, {"C", "E#", "E#", "E#"},
	} {
		i, err := tone.ParseInstrument(c.instrument)
		require.NoError(t, err)
		concert := name(t, c.concert)
		assert.Equal(t, c.written, i.Written(concert).String(), "%s in %s", c.concert, i)
		assert.Equal(t, c.root, i.WrittenRoot(concert).String(), "root %s in %s", c.concert, i)
	}
}

func TestWrittenThenConcertGivesTheSameSound(t *testing.T) {
	for i := tone.InC; i <= tone.InF; i++ {
		for l := range tone.Letter(7) {
			for alter := int8(-2); alter <= 2; alter++ {
				n := tone.Name{Letter: l, Alter: alter}
				assert.Equal(t, n.Class(), i.Concert(i.Written(n)).Class())
				assert.Equal(t, i.Written(n).Class(), i.WrittenRoot(n).Class())
				if i == tone.InC {
					assert.Equal(t, n, i.WrittenRoot(n))
					continue
				}
				assert.NotContains(t, []string{"D#", "G#", "A#", "E#", "B#", "Cb", "Fb"}, i.WrittenRoot(n).String())
			}
		}
	}
}

func TestInstrumentsThatAreNone(t *testing.T) {
	for _, text := range []string{"", "G", "tenor", "Bbb", "B"} {
		_, err := tone.ParseInstrument(text)
		assert.EqualError(t, err, fmt.Sprintf("%q is not a key that instruments are written in: expected C, Bb, Eb or F", text))
	}
}
