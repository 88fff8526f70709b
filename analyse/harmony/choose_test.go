package harmony_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/analyse/harmony"
	"shedlight/analyse/tone"
)

func ExampleScalesFor() {
	c, _ := tone.ParseName("C")
	g, _ := tone.ParseName("G")
	cm6 := harmony.Chord{Root: c, Bass: c, Formula: harmony.FormulaOf(harmony.One, harmony.FlatThree, harmony.Five, harmony.Six)}
	g7b9 := harmony.Chord{Root: g, Bass: g, Formula: harmony.FormulaOf(
		harmony.One, harmony.FlatNine, harmony.Three, harmony.Five, harmony.FlatSeven)}
	fmt.Println(shorts(harmony.ScalesFor(g7b9, harmony.Chord{})))
	fmt.Println(shorts(harmony.ScalesFor(g7b9, cm6)))
	fmt.Println(harmony.ScalesFor(g7b9, cm6)[0].Reason)
	// Output:
	// C6 dim, Dm6 dim, Cm6 dim, Abm6 dim
	// Cm6 dim, Dm6 dim, C6 dim, Abm6 dim
	// the scale of the minor tonic: its dim half is the dominant with flat nine
}

func shorts(choices []harmony.Choice) string {
	var out []string
	for _, c := range choices {
		out = append(out, c.Scale.Short())
	}
	return strings.Join(out, ", ")
}

// unknown is the next chord where it is not known.
var unknown harmony.Chord

// The rules of the trade for each kind of chord: the default and the others in
// order (common practice).
func TestTheScalesOfEachKindOfChord(t *testing.T) {
	const dominants = "Dm6 dim, C6 dim, Cm6 dim, Abm6 dim"
	for _, c := range []struct{ root, quality, want string }{
		{"C", "maj7", "C6 dim"}, {"C", "6", "C6 dim"}, {"C", "6/9", "C6 dim"}, {"C", "maj9", "C6 dim"},
		{"C", "maj7#5", "C6 dim"}, {"C", "maj13", "C6 dim"}, {"C", "", "C6 dim"}, {"C", "add9", "C6 dim"}, {"C", "aug", "C6 dim"},
		{"C", "maj7#11", "G6 dim"}, {"C", "6/9#11", "G6 dim"}, {"C", "maj7b5", "G6 dim"}, {"C", "maj7#5#11", "E6 dim"},
		{"D", "m7", "F6 dim, Dm6 dim"}, {"D", "m9", "F6 dim, Dm6 dim"}, {"D", "m11", "F6 dim, Dm6 dim"}, {"D", "m13", "C6 dim, F6 dim, Dm6 dim"}, {"D", "m7#11", "C6 dim, F6 dim, Dm6 dim"},
		{"E", "m7b9", "C6 dim, G6 dim"},
		{"C", "m6", "Cm6 dim"}, {"C", "m6/9", "Cm6 dim"}, {"C", "m(maj7)", "Cm6 dim"}, {"C", "m(maj9)", "Cm6 dim"},
		{"C", "m", "Cm6 dim, Eb6 dim"},
		{"D", "m7b5", "Fm6 dim, Cm6 dim"}, {"D", "m9b5", "Fm6 dim, Cm6 dim"}, {"D", "m11b5", "Fm6 dim, Cm6 dim"},
		{"D", "m7b5(b9)", "Cm6 dim, Fm6 dim"},
		{"G", "7", dominants}, {"G", "9", dominants}, {"G", "13", dominants}, {"G", "7#11", dominants}, {"G", "13#11", dominants},
		{"G", "7#9", dominants}, {"G", "13#9", dominants}, {"G", "7#9#11", dominants}, {"G", "7(no3)", dominants},
		{"G", "7b9", "C6 dim, Dm6 dim, Cm6 dim, Abm6 dim"}, {"G", "13b9", "C6 dim, Dm6 dim, Cm6 dim, Abm6 dim"},
		{"G", "7b13", "Cm6 dim, Dm6 dim, C6 dim, Abm6 dim"}, {"G", "7b9b13", "Cm6 dim, Dm6 dim, C6 dim, Abm6 dim"},
		{"G", "7alt", "Abm6 dim, Dm6 dim, C6 dim, Cm6 dim"}, {"G", "7b5", "Abm6 dim, Dm6 dim, C6 dim, Cm6 dim"},
		{"G", "7#5", "Abm6 dim, Dm6 dim, C6 dim, Cm6 dim"}, {"G", "7b9#5", "Abm6 dim, Dm6 dim, C6 dim, Cm6 dim"},
		{"G", "7#9#5", "Abm6 dim, Dm6 dim, C6 dim, Cm6 dim"}, {"G", "7b9b5", "Abm6 dim, Dm6 dim, C6 dim, Cm6 dim"},
		{"G", "7#9b13", "Abm6 dim, Dm6 dim, C6 dim, Cm6 dim"}, {"G", "7b9#9", "Abm6 dim, Dm6 dim, C6 dim, Cm6 dim"},
		{"G", "13b9#11", "Abm6 dim, Dm6 dim, C6 dim, Cm6 dim"},
		{"G", "9b13", "G7 dim, Dm6 dim, C6 dim, Cm6 dim, Abm6 dim"},
		{"G", "9b5", "G7b5 dim, Dm6 dim, C6 dim, Cm6 dim, Abm6 dim"}, {"G", "9#5", "G7b5 dim, Dm6 dim, C6 dim, Cm6 dim, Abm6 dim"},
		{"G", "7sus4", "F6 dim"}, {"G", "9sus4", "F6 dim"}, {"G", "13sus4", "F6 dim"},
		{"G", "7sus4b9", "Fm6 dim"}, {"G", "13sus4b9", "Fm6 dim"}, {"G", "sus4", "F6 dim"}, {"G", "sus2", "G6 dim"},
		{"G", "5", "G6 dim, Gm6 dim"},
	} {
		assert.Equal(t, c.want, shorts(harmony.ScalesFor(chord(t, c.root, c.quality), unknown)), c.root+c.quality)
	}
	assert.Empty(t, harmony.ScalesFor(harmony.Chord{}, unknown), "N.C. has no scale")
}

// Common practice: what players call the scale's key.
func TestTheRootOfTheScaleIsSpelledForReading(t *testing.T) {
	for _, c := range []struct{ root, quality, want string }{
		{"G", "7alt", "Abm6 dim"}, {"C#", "m7", "E6 dim"}, {"F#", "7", "C#m6 dim"}, {"Db", "7alt", "Dm6 dim"}, {"C", "7alt", "Dbm6 dim"},
		{"F", "7alt", "F#m6 dim"}, {"Bb", "7alt", "Bm6 dim"}, {"Ab", "7alt", "Am6 dim"}, {"B", "7alt", "Cm6 dim"}, {"E", "7alt", "Fm6 dim"},
		{"D", "7alt", "Ebm6 dim"}, {"A", "7alt", "Bbm6 dim"}, {"Gb", "7alt", "Gm6 dim"}, {"Cb", "7", "F#m6 dim"}, {"C#", "7", "G#m6 dim"},
		{"Db", "7", "Abm6 dim"}, {"Ab", "m7", "B6 dim"}, {"G#", "m7", "B6 dim"}, {"Eb", "m7", "Gb6 dim"}, {"D#", "m7", "F#6 dim"},
		{"A#", "m7", "C#6 dim"}, {"E#", "m7b5", "G#m6 dim"}, {"B#", "m7", "Eb6 dim"}, {"Bb", "m7b5", "Dbm6 dim"}, {"Gb", "maj7#11", "Db6 dim"},
		{"G#", "7b9", "C#6 dim"}, {"Db", "7b9", "Gb6 dim"}, {"Gb", "7b9", "B6 dim"}, {"Bbb", "7", "Em6 dim"}, {"B", "7sus4", "A6 dim"},
		{"E", "maj7#11", "B6 dim"}, {"D#", "7", "Bbm6 dim"}, {"Cb", "maj7", "B6 dim"},
	} {
		assert.Equal(t, c.want, harmony.ScalesFor(chord(t, c.root, c.quality), unknown)[0].Scale.Short(), c.root+c.quality)
	}
}

// Common practice: a passing diminished seventh is the dim half of where it
// goes; otherwise the scale nearest to the next chord (arithmetic).
func TestADiminishedSeventhTakesItsScaleFromWhatFollows(t *testing.T) {
	for _, c := range []struct {
		root string
		next harmony.Chord
		want string
	}{
		{"B", unknown, "C6 dim"}, {"C#", unknown, "D6 dim"}, {"F#", unknown, "G6 dim"}, {"Ab", unknown, "A6 dim"},
		{"B", chord(t, "C", "6"), "C6 dim"}, {"B", chord(t, "C", "m6"), "Cm6 dim"}, {"B", chord(t, "C", "maj7"), "C6 dim"},
		{"D", chord(t, "C", "6"), "C6 dim"}, {"Ab", chord(t, "A", "m7"), "C6 dim"},
		{"C#", chord(t, "D", "m7"), "F6 dim"}, {"D#", chord(t, "E", "m7"), "G6 dim"},
		{"D#", slash(t, "C", "6", "E"), "G6 dim"}, {"C", chord(t, "C", "maj7"), "G6 dim"},
		{"F#", chord(t, "G", "7"), "G7 dim"}, {"Eb", chord(t, "D", "m7"), "Bb6 dim"},
	} {
		got := harmony.ScalesFor(chord(t, c.root, "dim7"), c.next)
		assert.Equal(t, c.want, got[0].Scale.Short(), "%sdim7 to %v", c.root, c.next)
		assert.Len(t, got, 14, "all the different scales that hold it")
		for _, o := range got {
			assert.Equal(t, chord(t, c.root, "dim7").Set(), o.Scale.Dim())
		}
	}
	assert.Equal(t, "C6 dim", harmony.ScalesFor(chord(t, "B", "dim"), unknown)[0].Scale.Short())
	for _, o := range harmony.ScalesFor(chord(t, "F", "dim(maj7)"), chord(t, "C", "6")) {
		assert.Zero(t, o.Missing)
	}
}

// Common practice: a flat nine belongs to the tonic it leads to, major where
// that is not known.
func TestAFlatNineTakesTheModeOfWhereItLeads(t *testing.T) {
	for _, c := range []struct {
		next harmony.Chord
		want string
	}{
		{unknown, "C6 dim"}, {chord(t, "C", "6"), "C6 dim"}, {chord(t, "C", "m6"), "Cm6 dim"}, {chord(t, "C", "m7"), "Cm6 dim"},
		{slash(t, "C", "m", "G"), "Cm6 dim"}, {chord(t, "A", "m7"), "C6 dim"}, {chord(t, "C", "7#9"), "C6 dim"},
	} {
		assert.Equal(t, c.want, harmony.ScalesFor(chord(t, "G", "7b9"), c.next)[0].Scale.Short(), "%v", c.next)
		assert.Equal(t, "C6 dim", harmony.ScalesFor(chord(t, "G", "13b9"), c.next)[0].Scale.Short())
	}
}

// Common practice: a plain seventh or ninth that leads to a minor chord a fifth
// below takes that minor's scale, with a sharp nine the minor sixth a semitone
// above; a thirteenth or a sharp eleven has said what it is.
func TestAPlainSeventhTakesTheMinorItLeadsTo(t *testing.T) {
	minor, major := chord(t, "C", "m6"), chord(t, "C", "6")
	for quality, want := range map[string]string{"7": "Cm6 dim", "9": "Cm6 dim", "7#9": "Abm6 dim", "13": "Dm6 dim", "7#11": "Dm6 dim", "13#9": "Dm6 dim"} {
		assert.Equal(t, want, harmony.ScalesFor(chord(t, "G", quality), minor)[0].Scale.Short(), quality)
		assert.Equal(t, "Dm6 dim", harmony.ScalesFor(chord(t, "G", quality), major)[0].Scale.Short(), quality)
	}
	assert.Equal(t, "Cm6 dim", harmony.ScalesFor(chord(t, "G", "7"), chord(t, "C", "m7"))[0].Scale.Short(), "a two is minor too")
	assert.Equal(t, "Dm6 dim", harmony.ScalesFor(chord(t, "G", "7"), chord(t, "F#", "m7"))[0].Scale.Short(), "a semitone below is no fifth")
}

// Common practice: only a dominant that resolves, by a fifth or a semitone down,
// lends itself to the scales of where it goes. Where the next chord is not known
// it may.
func TestADominantAdmitsMoreOnlyWhereItResolves(t *testing.T) {
	for _, quality := range []string{"7", "13", "7b9", "7alt", "9b5"} {
		g := chord(t, "G", quality)
		for _, next := range []harmony.Chord{unknown, chord(t, "C", "6"), chord(t, "C", "7"), chord(t, "F#", "maj7")} {
			assert.GreaterOrEqual(t, len(harmony.ScalesFor(g, next)), 4, "%s to %v", quality, next)
		}
		for _, next := range []harmony.Chord{g, chord(t, "A", "m7"), chord(t, "F", "7"), chord(t, "Ab", "maj7")} {
			assert.Len(t, harmony.ScalesFor(g, next), 1, "%s to %v", quality, next)
		}
	}
}

// Common practice: a bass that is no tone of the chord counts as a tension.
func TestSlashChords(t *testing.T) {
	for _, c := range []struct {
		chord harmony.Chord
		want  string
	}{
		{slash(t, "C", "", "E"), "C6 dim"}, {slash(t, "C", "", "Bb"), "Gm6 dim"}, {slash(t, "F", "", "G"), "F6 dim"},
		{slash(t, "D", "m7", "G"), "F6 dim"}, {slash(t, "F", "m", "G"), "Fm6 dim"}, {slash(t, "C", "m", "Bb"), "Eb6 dim"},
		{slash(t, "C", "m", "A"), "Cm6 dim"}, {slash(t, "C", "", "F#"), "G6 dim"}, {slash(t, "C", "", "B"), "C6 dim"},
	} {
		first := harmony.ScalesFor(c.chord, unknown)[0]
		assert.Equal(t, c.want, first.Scale.Short(), "%v", c.chord)
		assert.Zero(t, first.Missing, "%v", c.chord)
	}
}

// Every formula over every bass: one scale at least, none twice, and Missing
// says what the scale lacks.
func TestEveryChordHasAScale(t *testing.T) {
	for formula := harmony.Formula(1); formula != 0; formula++ {
		root := tone.Class(formula % 12)
		c := harmony.Chord{Root: root.Name(), Bass: root.Name(), Formula: formula}
		if formula%5 == 0 {
			c.Bass = tone.Class(formula / 5 % 12).Name()
		}
		next := harmony.Chord{Root: tone.Class(formula % 11).Name(), Formula: formula * 31}
		for _, follows := range []harmony.Chord{unknown, next} {
			choices := harmony.ScalesFor(c, follows)
			if len(choices) == 0 {
				t.Fatalf("no scale for %v", c)
			}
			seen := map[tone.Set]bool{}
			for _, o := range choices {
				if seen[o.Scale.Set()] || o.Reason == "" || o.Status == "" || o.Missing != c.Set()&^o.Scale.Set() {
					t.Fatalf("%v: %v", c, choices)
				}
				seen[o.Scale.Set()] = true
			}
		}
	}
}

// The choice moves with the chord through all keys.
func TestTheChoiceIsTheSameInEveryKey(t *testing.T) {
	for quality := range qualities {
		inC := harmony.ScalesFor(chord(t, "C", quality), chord(t, "F", "m6"))
		for _, root := range usualRoots {
			up := int(name(t, root).Class())
			moved := harmony.ScalesFor(chord(t, root, quality), harmony.Chord{
				Root: name(t, root).Transpose(3, 5), Bass: name(t, root).Transpose(3, 5), Formula: qualities["m6"]})
			require.Len(t, moved, len(inC), root+quality)
			for i := range inC {
				assert.Equal(t, inC[i].Scale.Set().Transpose(up), moved[i].Scale.Set(), root+quality)
				assert.Equal(t, inC[i].Reason, moved[i].Reason)
				assert.NotContains(t, []string{"E#", "B#", "Fb", "Gbm"}, moved[i].Scale.Root.String())
			}
		}
	}
}

func BenchmarkScalesFor(b *testing.B) {
	for _, quality := range []string{"maj7", "7b9", "dim7"} {
		b.Run(quality, func(b *testing.B) {
			c, next := chord(b, "G", quality), chord(b, "C", "m6")
			b.ReportAllocs()
			for b.Loop() {
				harmony.ScalesFor(c, next)
			}
		})
	}
}

func BenchmarkSpelling(b *testing.B) {
	s, over := scale(b, harmony.MajorSixth, "Bb"), chord(b, "F", "13b9")
	b.ReportAllocs()
	for b.Loop() {
		s.Spelling(over, true)
	}
}

// What no rule of the trade covers still gets a scale that can be defended.
func TestOddChords(t *testing.T) {
	for _, c := range []struct {
		what    string
		formula harmony.Formula
		want    string
		missing string
	}{
		{"C(b9) is read as C7b9", harmony.FormulaOf(harmony.One, harmony.FlatNine, harmony.Three, harmony.Five),
			"F6 dim, Gm6 dim, Fm6 dim, Dbm6 dim", "{}"},
		{"Cmaj7(b9) is no dominant", harmony.FormulaOf(harmony.One, harmony.FlatNine, harmony.Three, harmony.Five, harmony.Seven),
			"Em6 dim", "{}"},
		{"C7 with a minor third above is C7#9", harmony.FormulaOf(harmony.One, harmony.FlatThree, harmony.Three, harmony.Five, harmony.FlatSeven),
			"Gm6 dim, F6 dim, Fm6 dim, Dbm6 dim", "{}"},
		{"a sharp nine without a third is a minor third", harmony.FormulaOf(harmony.One, harmony.SharpNine, harmony.Five, harmony.Six),
			"Cm6 dim", "{}"},
		{"a flat five beside the fifth is not diminished", harmony.FormulaOf(harmony.One, harmony.FlatThree, harmony.FlatFive, harmony.Five, harmony.Six),
			"Cm6 dim", "{F#}"},
		{"a root alone", harmony.FormulaOf(harmony.One), "C6 dim, Cm6 dim", "{}"},
		{"all degrees", ^harmony.Formula(0), "Dbm6 dim, Gm6 dim, F6 dim, Fm6 dim", "{D F G B}"},
	} {
		choices := harmony.ScalesFor(harmony.Chord{Formula: c.formula}, unknown)
		assert.Equal(t, c.want, shorts(choices), c.what)
		assert.Equal(t, c.missing, choices[0].Missing.String(), c.what)
	}
}
