package fit_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse/fit"
	"shedlight/analyse/harmony"
	"shedlight/analyse/tone"
)

// Notes over a chord go best with it, or with the chord so many semitones away whose tones
// they are; what lies off the beat speaks less. Worked by hand from the weights: the four
// tones of G flat 7 over an F7 that does not resolve are moved down to .6 .84 .6 .84, from
// D flat, G flat, B flat and E at -.8 each, for 6.08 points. The dim half, G B flat D flat E,
// would win 4.18 so, and counts .72 a tone for itself, which wins 5.58.
func TestNearest(t *testing.T) {
	f7, err := harmony.ParseSymbol("F7")
	require.NoError(t, err)
	own := harmony.NewScale(harmony.DominantSeventh, f7.Chord.Root)
	played := func(beat float64, classes ...tone.Class) (tones fit.Tones) {
		for _, c := range classes {
			tones.Add(c, beat)
		}
		return tones
	}
	for _, test := range []struct {
		name      string
		tones     fit.Tones
		semitones int
		evidence  float64
	}{
		{"as written", played(1, 5, 9, 0, 3), 0, 0},
		{"nothing", fit.Tones{}, 0, 0},
		{"a half step high", played(1, 6, 10, 1, 4), -1, 0.15 * 6.08},
		{"a little late", played(2.2, 6, 10, 1, 4), -1, 0.15 * 6.08},
		{"early", played(2.9, 6, 10, 1, 4), -1, 0.15 * 6.08},
		{"the dim half, a half step below most of G flat 7", played(1, 7, 10, 1, 4), 0, 0},
		{"off the beat", played(2.5, 6, 10, 1, 4), -1, 0.15 * 6.08 * 0.6},
	} {
		semitones, evidence := test.tones.Nearest(f7.Chord, own, false)
		require.Equal(t, test.semitones, semitones, test.name)
		require.InDelta(t, test.evidence, evidence, 1e-9, test.name)
	}
	twice, more := played(1, 6, 10, 1, 4), played(1.5, 6, 10)
	twice.Include(&more)
	require.Equal(t, int64(4), twice.Of(tone.SetOf(6, 10)))
}
