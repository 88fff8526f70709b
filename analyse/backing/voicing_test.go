package backing

import (
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/analyse/harmony"
)

func chord(t *testing.T, symbol string) harmony.Chord {
	t.Helper()
	s, err := harmony.ParseSymbol(symbol)
	require.NoError(t, err)
	c, _ := s.InChart()
	return c.Chord
}

// What the piano plays of a chord (common practice): guide tones and one colour, and of
// a dominant no colour but one that is written.
func TestVoices(t *testing.T) {
	for symbol, want := range map[string]string{
		"C7":     "E Bb",
		"C9":     "D E Bb",
		"C7b9":   "Db E Bb",
		"C13":    "E A Bb",
		"C7#5":   "E Ab Bb",
		"C7sus4": "F G Bb",
		"Cm7":    "Eb G Bb",
		"Cm7b5":  "Eb Gb Bb",
		"Cdim7":  "Eb Gb A",
		"Cm6":    "Eb G A",
		"C":      "C E G",
		"C5":     "C G",
	} {
		names := strings.Split("C Db D Eb E F Gb G Ab A Bb B", " ")
		for _, v := range voicings(chord(t, symbol)) {
			in := map[string]bool{}
			for _, key := range v {
				in[names[key%12]] = true
			}
			var got []string
			for _, name := range names {
				if in[name] {
					got = append(got, name)
				}
			}
			assert.Equal(t, want, strings.Join(got, " "), symbol)
		}
	}
}

// No voice moves more than a fourth where another layout of the chord is nearer
// (common practice): every layout is tried here.
func TestVoicesMoveLittle(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	roots := strings.Split("C Db D Eb E F F# G Ab A Bb B", " ")
	kinds := strings.Split("6 m6 maj7 m7 7 7b9 9 13 m7b5 dim7 7sus4 m9", " ")
	far := 0
	for range 200 {
		var chords []strike
		for range 16 {
			chords = append(chords, strike{chord: chord(t, roots[r.IntN(len(roots))]+kinds[r.IntN(len(kinds))])})
		}
		led := led(chords, r)
		for i := 1; i < len(led); i++ {
			if _, most := moves(led[i-1], led[i]); most > 5 {
				far++
				for _, v := range voicings(chords[i].chord) {
					_, other := moves(led[i-1], v)
					assert.Greater(t, other, 5, "%v to %v, not to %v", led[i-1], led[i], v)
				}
			}
		}
	}
	assert.Less(t, far, 32, "of 3,000")
}
