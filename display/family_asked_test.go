package display

import (
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse/harmony"
)

// What a player who asked for a shell or a rootless voicing calls it: by the chord that
// was asked for, with what is left out, whatever else it is the tones of. Written down
// before the code named one (common practice, from memory).
func TestAVoicingIsCalledWhatWasAsked(t *testing.T) {
	for _, c := range []struct {
		symbol          string
		shell, rootless string
	}{
		{symbol: "C", shell: "C6 without fifth", rootless: "C6/9 rootless"},
		{symbol: "C6", shell: "C6 without fifth", rootless: "C6/9 rootless"},
		{symbol: "Cm6", shell: "Cm6 without fifth", rootless: "Cm6/9 rootless"},
		{symbol: "Cmaj7", shell: "Cmaj7 without fifth", rootless: "Cmaj9 rootless"},
		{symbol: "Cm7", shell: "Cm7 without fifth", rootless: "Cm9 rootless"},
		{symbol: "C7", shell: "C7 without fifth", rootless: "C13 rootless"},
		{symbol: "C9", shell: "C7 without fifth", rootless: "C13 rootless"},
		{symbol: "Bm7b5", shell: "Bm7b5 without fifth", rootless: "Bm9b5 rootless"},
		{symbol: "F#7b5", shell: "F#7b5 without fifth", rootless: "F#9b5 rootless"},
		{symbol: "G7alt", shell: "G7#5 without fifth", rootless: "G7#5(#9) rootless"},
		{symbol: "Cm(maj7)", shell: "Cm(maj7) without fifth", rootless: "Cm(maj9) rootless"},
		{symbol: "C7sus4", shell: "C7sus4 without fifth"},
	} {
		for v, want := range map[harmony.Voicing]string{harmony.Shell: c.shell, harmony.Rootless: c.rootless} {
			if want == "" {
				continue
			}
			names := familyIn(t, c.symbol, v)
			require.Equal(t, want, names[0].first(speller{ascii: true}), "%s, %s", c.symbol, v)
		}
	}
}

// The rest of the family of a shell is called by plain chords, or by the home chord less
// the tone that is missing: nobody says Em(no5,add11)/G for G A E in C6 (common practice,
// from memory).
func TestPiecesOfTheHomeChord(t *testing.T) {
	said := func(symbol string) (out []string) {
		for _, n := range familyIn(t, symbol, harmony.Shell) {
			out = append(out, n.first(speller{ascii: true}))
		}
		return out
	}
	require.Equal(t, []string{"C6 without fifth", "Bdim/D", "C/E", "Ddim/F", "C6/G without root", "Fdim/Ab", "Am7(no5)", "Abdim/B"}, said("C6"))
	require.Equal(t, []string{"Cm6 without fifth", "Bdim/D", "Cm/Eb", "Ddim/F", "Cm6/G without root", "Fdim/Ab", "Am7(no5)", "Abdim/B"}, said("Cm6"))
}

// Where no chord holds just the tones that sound, a chord that they can be a voicing of is
// said rather than none: Bb Eb E A is F#13(#9).
func TestAReadingIsSaidRatherThanNoName(t *testing.T) {
	require.Equal(t, "F#13(#9) rootless", familyIn(t, "F#7b5", harmony.Close)[3].first(speller{ascii: true}))
}

// familyIn names the family of a chord in the first scale that holds it.
func familyIn(t *testing.T, symbol string, v harmony.Voicing) []StepNames {
	parsed, err := harmony.ParseSymbol(symbol)
	require.NoError(t, err)
	keys, err := parsed.Chord.Voice(v, 0)
	require.NoError(t, err)
	for _, choice := range harmony.ScalesFor(parsed.Chord, harmony.Chord{}) {
		if family, err := harmony.Expand(choice.Scale, keys); err == nil {
			return NameFamily(family, parsed.Chord)
		}
	}
	require.Fail(t, "no scale", symbol)
	return nil
}
