package harmony_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse/harmony"
)

// usualRoots are the roots that players write.
var usualRoots = []string{
	"C", "C#", "Db", "D", "D#", "Eb", "E", "F", "F#", "Gb", "G", "G#", "Ab", "A", "A#", "Bb", "B", "Cb",
}

// qualities are the kinds of chord as the degrees that make them, for tests
// that must not lean on the reading of symbols.
var qualities = map[string]harmony.Formula{
	"":           harmony.FormulaOf(harmony.One, harmony.Three, harmony.Five),
	"6":          harmony.FormulaOf(harmony.One, harmony.Three, harmony.Five, harmony.Six),
	"6/9":        harmony.FormulaOf(harmony.One, harmony.Nine, harmony.Three, harmony.Five, harmony.Six),
	"6/9#11":     harmony.FormulaOf(harmony.One, harmony.Nine, harmony.Three, harmony.SharpEleven, harmony.Five, harmony.Six),
	"maj7":       harmony.FormulaOf(harmony.One, harmony.Three, harmony.Five, harmony.Seven),
	"maj9":       harmony.FormulaOf(harmony.One, harmony.Nine, harmony.Three, harmony.Five, harmony.Seven),
	"maj13":      harmony.FormulaOf(harmony.One, harmony.Nine, harmony.Three, harmony.Five, harmony.Six, harmony.Seven),
	"maj7#5":     harmony.FormulaOf(harmony.One, harmony.Three, harmony.SharpFive, harmony.Seven),
	"maj7#11":    harmony.FormulaOf(harmony.One, harmony.Three, harmony.SharpEleven, harmony.Five, harmony.Seven),
	"maj7b5":     harmony.FormulaOf(harmony.One, harmony.Three, harmony.FlatFive, harmony.Seven),
	"aug":        harmony.FormulaOf(harmony.One, harmony.Three, harmony.SharpFive),
	"add9":       harmony.FormulaOf(harmony.One, harmony.Nine, harmony.Three, harmony.Five),
	"m":          harmony.FormulaOf(harmony.One, harmony.FlatThree, harmony.Five),
	"m6":         harmony.FormulaOf(harmony.One, harmony.FlatThree, harmony.Five, harmony.Six),
	"m6/9":       harmony.FormulaOf(harmony.One, harmony.Nine, harmony.FlatThree, harmony.Five, harmony.Six),
	"m(maj7)":    harmony.FormulaOf(harmony.One, harmony.FlatThree, harmony.Five, harmony.Seven),
	"m(maj9)":    harmony.FormulaOf(harmony.One, harmony.Nine, harmony.FlatThree, harmony.Five, harmony.Seven),
	"m7":         harmony.FormulaOf(harmony.One, harmony.FlatThree, harmony.Five, harmony.FlatSeven),
	"m9":         harmony.FormulaOf(harmony.One, harmony.Nine, harmony.FlatThree, harmony.Five, harmony.FlatSeven),
	"m11":        harmony.FormulaOf(harmony.One, harmony.Nine, harmony.FlatThree, harmony.Four, harmony.Five, harmony.FlatSeven),
	"m13":        harmony.FormulaOf(harmony.One, harmony.Nine, harmony.FlatThree, harmony.Four, harmony.Five, harmony.Six, harmony.FlatSeven),
	"m7b9":       harmony.FormulaOf(harmony.One, harmony.FlatNine, harmony.FlatThree, harmony.Five, harmony.FlatSeven),
	"m7b5":       harmony.FormulaOf(harmony.One, harmony.FlatThree, harmony.FlatFive, harmony.FlatSeven),
	"m9b5":       harmony.FormulaOf(harmony.One, harmony.Nine, harmony.FlatThree, harmony.FlatFive, harmony.FlatSeven),
	"m11b5":      harmony.FormulaOf(harmony.One, harmony.FlatThree, harmony.Four, harmony.FlatFive, harmony.FlatSeven),
	"m7b5(b9)":   harmony.FormulaOf(harmony.One, harmony.FlatNine, harmony.FlatThree, harmony.FlatFive, harmony.FlatSeven),
	"dim":        harmony.FormulaOf(harmony.One, harmony.FlatThree, harmony.FlatFive),
	"dim7":       harmony.FormulaOf(harmony.One, harmony.FlatThree, harmony.FlatFive, harmony.DoubleFlatSeven),
	"dim(maj7)":  harmony.FormulaOf(harmony.One, harmony.FlatThree, harmony.FlatFive, harmony.Seven),
	"7":          harmony.FormulaOf(harmony.One, harmony.Three, harmony.Five, harmony.FlatSeven),
	"9":          harmony.FormulaOf(harmony.One, harmony.Nine, harmony.Three, harmony.Five, harmony.FlatSeven),
	"13":         harmony.FormulaOf(harmony.One, harmony.Nine, harmony.Three, harmony.Five, harmony.Six, harmony.FlatSeven),
	"7#11":       harmony.FormulaOf(harmony.One, harmony.Three, harmony.SharpEleven, harmony.Five, harmony.FlatSeven),
	"13#11":      harmony.FormulaOf(harmony.One, harmony.Nine, harmony.Three, harmony.SharpEleven, harmony.Five, harmony.Six, harmony.FlatSeven),
	"7#9":        harmony.FormulaOf(harmony.One, harmony.SharpNine, harmony.Three, harmony.Five, harmony.FlatSeven),
	"13#9":       harmony.FormulaOf(harmony.One, harmony.SharpNine, harmony.Three, harmony.Five, harmony.Six, harmony.FlatSeven),
	"7#9#11":     harmony.FormulaOf(harmony.One, harmony.SharpNine, harmony.Three, harmony.SharpEleven, harmony.Five, harmony.FlatSeven),
	"7b9":        harmony.FormulaOf(harmony.One, harmony.FlatNine, harmony.Three, harmony.Five, harmony.FlatSeven),
	"13b9":       harmony.FormulaOf(harmony.One, harmony.FlatNine, harmony.Three, harmony.Five, harmony.Six, harmony.FlatSeven),
	"7b13":       harmony.FormulaOf(harmony.One, harmony.Three, harmony.Five, harmony.FlatThirteen, harmony.FlatSeven),
	"9b13":       harmony.FormulaOf(harmony.One, harmony.Nine, harmony.Three, harmony.Five, harmony.FlatThirteen, harmony.FlatSeven),
	"7b9b13":     harmony.FormulaOf(harmony.One, harmony.FlatNine, harmony.Three, harmony.Five, harmony.FlatThirteen, harmony.FlatSeven),
	"7#9b13":     harmony.FormulaOf(harmony.One, harmony.SharpNine, harmony.Three, harmony.Five, harmony.FlatThirteen, harmony.FlatSeven),
	"7b9#9":      harmony.FormulaOf(harmony.One, harmony.FlatNine, harmony.SharpNine, harmony.Three, harmony.Five, harmony.FlatSeven),
	"13b9#11":    harmony.FormulaOf(harmony.One, harmony.FlatNine, harmony.Three, harmony.SharpEleven, harmony.Five, harmony.Six, harmony.FlatSeven),
	"7b5":        harmony.FormulaOf(harmony.One, harmony.Three, harmony.FlatFive, harmony.FlatSeven),
	"7#5":        harmony.FormulaOf(harmony.One, harmony.Three, harmony.SharpFive, harmony.FlatSeven),
	"9b5":        harmony.FormulaOf(harmony.One, harmony.Nine, harmony.Three, harmony.FlatFive, harmony.FlatSeven),
	"9#5":        harmony.FormulaOf(harmony.One, harmony.Nine, harmony.Three, harmony.SharpFive, harmony.FlatSeven),
	"7b9#5":      harmony.FormulaOf(harmony.One, harmony.FlatNine, harmony.Three, harmony.SharpFive, harmony.FlatSeven),
	"7#9#5":      harmony.FormulaOf(harmony.One, harmony.SharpNine, harmony.Three, harmony.SharpFive, harmony.FlatSeven),
	"7b9b5":      harmony.FormulaOf(harmony.One, harmony.FlatNine, harmony.Three, harmony.FlatFive, harmony.FlatSeven),
	"7alt":       harmony.FormulaOf(harmony.One, harmony.FlatNine, harmony.SharpNine, harmony.Three, harmony.FlatFive, harmony.SharpFive, harmony.FlatSeven),
	"7sus4":      harmony.FormulaOf(harmony.One, harmony.Four, harmony.Five, harmony.FlatSeven),
	"9sus4":      harmony.FormulaOf(harmony.One, harmony.Nine, harmony.Four, harmony.Five, harmony.FlatSeven),
	"13sus4":     harmony.FormulaOf(harmony.One, harmony.Nine, harmony.Four, harmony.Five, harmony.Six, harmony.FlatSeven),
	"7sus4b9":    harmony.FormulaOf(harmony.One, harmony.FlatNine, harmony.Four, harmony.Five, harmony.FlatSeven),
	"13sus4b9":   harmony.FormulaOf(harmony.One, harmony.FlatNine, harmony.Four, harmony.Five, harmony.Six, harmony.FlatSeven),
	"sus4":       harmony.FormulaOf(harmony.One, harmony.Four, harmony.Five),
	"sus2":       harmony.FormulaOf(harmony.One, harmony.Nine, harmony.Five),
	"5":          harmony.FormulaOf(harmony.One, harmony.Five),
	"7(no3)":     harmony.FormulaOf(harmony.One, harmony.Five, harmony.FlatSeven),
	"maj7#5#11":  harmony.FormulaOf(harmony.One, harmony.Three, harmony.SharpEleven, harmony.SharpFive, harmony.Seven),
	"m(maj7)b13": harmony.FormulaOf(harmony.One, harmony.FlatThree, harmony.Five, harmony.FlatThirteen, harmony.Seven),
	"m7#11":      harmony.FormulaOf(harmony.One, harmony.FlatThree, harmony.SharpEleven, harmony.Five, harmony.FlatSeven),
}

func chord(t testing.TB, root, quality string) harmony.Chord {
	formula, ok := qualities[quality]
	require.True(t, ok, "no quality %q", quality)
	n := name(t, root)
	return harmony.Chord{Root: n, Bass: n, Formula: formula}
}

// slash is a chord over a bass.
func slash(t testing.TB, root, quality, bass string) harmony.Chord {
	c := chord(t, root, quality)
	c.Bass = name(t, bass)
	return c
}
