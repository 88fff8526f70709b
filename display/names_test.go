package display

import (
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse/harmony"
	"shedlight/analyse/tone"
)

// Common practice: the way a chart prints a symbol.
func TestSymbols(t *testing.T) {
	for _, row := range []struct{ in, unicode, ascii string }{
		{"Bb6", "B♭6", "Bb6"},
		{"Bb7b5", "B♭7♭5", "Bb7b5"},
		{"F#m7b5", "F♯m7♭5", "F#m7b5"},
		{"C7b9#11", "C7♭9♯11", "C7b9#11"},
		{"Cm7(b5)", "Cm7(♭5)", "Cm7(b5)"},
		{"Ebmaj7/Bb", "E♭maj7/B♭", "Ebmaj7/Bb"},
		{"C6/9", "C6/9", "C6/9"},
		{"C6/9/E", "C6/9/E", "C6/9/E"},
		{"(C7)", "(C7)", "(C7)"},
		{"C△7", "C△7", "Cmaj7"},
		{"Dø7", "Dø7", "Dm7b5"},
		{"B♭o7", "B♭o7", "Bbo7"},
		{"N.C.", "N.C.", "N.C."},
		{"Bb blues", "B♭ blues", "Bb blues"},
		{"", "", ""},
	} {
		require.Equal(t, row.unicode, newSpeller(Options{}).symbol(row.in))
		require.Equal(t, row.ascii, newSpeller(Options{ASCII: true}).symbol(row.in))
	}
}

// A transposing player reads roots, basses, notes, centres and scales moved.
// Intervals: common practice, a trumpet in Bb reads a whole step up, an alto
// in Eb a major sixth.
func TestWrittenPitch(t *testing.T) {
	trumpet := newSpeller(Options{Written: tone.InBFlat})
	require.Equal(t, "Cmaj7/G", trumpet.symbol("Bbmaj7/F"))
	require.Equal(t, "N.C.", trumpet.symbol("N.C."))
	require.Equal(t, "D minor", trumpet.centre("C minor"))
	require.Equal(t, "F♯", trumpet.name("E"))
	require.Equal(t, "C5", trumpet.pitch("Bb", 70))
	home, dim := trumpet.halves(harmony.NewScale(harmony.MajorSixth, tone.Name{Letter: 6, Alter: -1}))
	require.Equal(t, "C6: C E G A", home)
	require.Equal(t, "dim: D F A♭ B", dim)
	require.Equal(t, "C5", newSpeller(Options{Written: tone.InEFlat}).pitch("Eb", 63))
}

// MIDI 1.0 gives middle C the key number 60; calling it C4 is the house's rule.
// The octave belongs to the letter.
func TestPitchHasTheOctaveOfItsLetter(t *testing.T) {
	concert := newSpeller(Options{})
	for _, row := range []struct {
		name string
		key  uint8
		want string
	}{{"C", 60, "C4"}, {"B", 59, "B3"}, {"Cb", 59, "C♭4"}, {"B#", 60, "B♯3"}, {"C", 0, "C-1"}, {"G", 127, "G9"}} {
		require.Equal(t, row.want, concert.pitch(row.name, row.key))
	}
}

func TestHomeHalfIsNamedByTheTopOfItsChord(t *testing.T) {
	require.Equal(t, "six", homeWord(harmony.MajorSixth))
	require.Equal(t, "six", homeWord(harmony.MinorSixth))
	require.Equal(t, "seven", homeWord(harmony.DominantSeventh))
	require.Equal(t, "seven", homeWord(harmony.DominantSeventhFlatFive))
}

// The large alphabet holds every root, digit and sign, and every glyph is a
// block: five rows of one width, of nothing but the three kinds of cell.
func TestLargeLetters(t *testing.T) {
	for r, glyph := range letters {
		for _, row := range glyph {
			require.Len(t, row, len(glyph[0]), "%c", r)
			require.Empty(t, trimAll(row, "#.' "), "%c", r)
		}
	}
	for _, text := range []string{"Bbmaj7#11/D", "F♯m7♭5", "Eb7alt", "N.C.", "C△7", "Gø7", "Ab13sus4b9", "D°7", "C+7", "A-7",
		"F# minor", "C major", "Bb blues", "(Ab)", "six", "seven", "dim", "outside", "slip", "1234567890"} {
		_, ok := lettering(newSpeller(Options{}).symbol(text), letterRows, false)
		require.True(t, ok, text)
	}
	_, ok := lettering("漢", letterRows, false)
	require.False(t, ok)
}

func trimAll(s, set string) string {
	out := ""
	for _, r := range s {
		found := false
		for _, one := range set {
			found = found || r == one
		}
		if !found {
			out += string(r)
		}
	}
	return out
}
