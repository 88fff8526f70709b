package harmony_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/analyse/harmony"
	"shedlight/analyse/tone"
)

func ExampleExpand() {
	f, _ := tone.ParseName("F")
	keys, _ := harmony.ParseVoicing("F3 A3 C4 E4")
	family, _ := harmony.Expand(harmony.NewScale(harmony.MajorSixth, f), keys)
	for i, step := range family.Steps {
		fmt.Println(i+1, words(step.Tones), step.Keys, step.Half)
	}
	fmt.Println("closes after", family.Size)
	// Output:
	// 1 F A C E [53 57 60 64] mixed
	// 2 G Bb Db F [55 58 61 65] mixed
	// 3 A C D G [57 60 62 67] mixed
	// 4 Bb Db E A [58 61 64 69] mixed
	// 5 C D F Bb [60 62 65 70] mixed
	// 6 Db E G C [61 64 67 72] mixed
	// 7 D F A Db [62 65 69 73] mixed
	// 8 E G Bb D [64 67 70 74] mixed
	// closes after 8
}

func ExampleExpand_refused() {
	c, _ := tone.ParseName("C")
	keys, _ := harmony.ParseVoicing("C4 E4 G4 Bb4")
	_, err := harmony.Expand(harmony.NewScale(harmony.MajorSixth, c), keys)
	fmt.Println(err)
	// Output: Bb4 is not in C major sixth-diminished: expected notes from C D E F G Ab A B
}

func voicing(t testing.TB, text string) []uint8 {
	keys, err := harmony.ParseVoicing(text)
	require.NoError(t, err)
	return keys
}

func expand(t testing.TB, s harmony.Scale, keys []uint8) harmony.Family {
	family, err := harmony.Expand(s, keys)
	require.NoError(t, err)
	return family
}

// at is a chord by its name, for comparing sets.
type at struct{ root, quality string }

// Sources: testdata/theory and the trade facts that moving a root-position
// major seventh up the scale of its root gives a half-diminished seventh, a
// minor eleventh without its fifth, a diminished triad with a major seventh, a
// major triad with a ninth over the fifth, the same diminished kind again, a
// minor with a major seventh and a half-diminished seventh (common practice).
func TestTheFamiliesOfTheSystem(t *testing.T) {
	cMajor, cMinor := scale(t, harmony.MajorSixth, "C"), scale(t, harmony.MinorSixth, "C")
	for _, c := range []struct {
		scale  harmony.Scale
		voiced string
		size   int
		want   []at
		bass   string
	}{
		{cMajor, "C4 E4 G4 A4", 2, []at{
			{"C", "6"}, {"D", "dim7"}, {"C", "6"}, {"F", "dim7"}, {"C", "6"}, {"Ab", "dim7"}, {"A", "m7"}, {"B", "dim7"},
		}, "C D E F G Ab A B"},
		{cMajor, "C4 E4 G4 B4", 8, []at{
			{"C", "maj7"}, {"D", "m7b5"}, {"E", "m11(no5)"}, {"F", "dim(maj7)"}, {"F", "add9"}, {"Ab", "dim(maj7)"}, {"A", "m(maj7)"}, {"B", "m7b5"},
		}, "C D E F G Ab A B"},
		{cMajor, "D4 G4 A4 C5", 8, []at{
			{"D", "7sus4"}, {"E", "7"}, {"F", "maj7"}, {"G", "7"}, {"Ab", "maj7#5"}, {"D", "m(#11)"}, {"E", "m(11)"}, {"F", "m(#11)"},
		}, "D E F G Ab A B C"},
		{cMajor, "D4 F4 A4 C5", 8, []at{
			{"D", "m7"}, {"E", "m7"}, {"F", "m(maj7)"}, {"D", "m(11)"}, {"E", "(#9)"}, {"F", "(#9)"}, {"G", "add9"}, {"C", "maj7#5"},
		}, "D E F G Ab A B C"},
		{cMinor, "C4 Eb4 G4 B4", 8, []at{
			{"C", "m(maj7)"}, {"D", "m7b5"}, {"Eb", "maj7b5"}, {"F", "m7b5"}, {"F", "add9"}, {"Ab", "dim(maj7)"}, {"A", "dim(maj7)"}, {"B", "m7b5"},
		}, "C D Eb F G Ab A B"},
	} {
		family := expand(t, c.scale, voicing(t, c.voiced))
		require.Len(t, family.Steps, 8)
		assert.Equal(t, c.size, family.Size, c.voiced)
		var basses []string
		for i, step := range family.Steps {
			root := name(t, c.want[i].root)
			want := harmony.Chord{Root: root, Bass: root, Formula: familyQuality(t, c.want[i].quality)}
			assert.Equal(t, want.Set(), step.Set, "%s: step %d %s", c.voiced, i+1, words(step.Tones))
			basses = append(basses, step.Tones[0].String())
			assert.Equal(t, step.Tones[0].Class(), step.Bass)
		}
		assert.Equal(t, c.bass, strings.Join(basses, " "), c.voiced)
	}
}

// familyQuality adds the kinds that only families hold.
func familyQuality(t testing.TB, quality string) harmony.Formula {
	own := map[string]harmony.Formula{
		"m11(no5)": harmony.FormulaOf(harmony.One, harmony.FlatThree, harmony.Four, harmony.FlatSeven),
		"m(#11)":   harmony.FormulaOf(harmony.One, harmony.FlatThree, harmony.SharpEleven, harmony.Five),
		"m(11)":    harmony.FormulaOf(harmony.One, harmony.FlatThree, harmony.Four, harmony.Five),
		"(#9)":     harmony.FormulaOf(harmony.One, harmony.SharpNine, harmony.Three, harmony.Five),
	}
	if f, ok := own[quality]; ok {
		return f
	}
	return chord(t, "C", quality).Formula
}

// Arithmetic: the seventy sets of four places in eight fall into ten patterns,
// eight of size 8, one of size 4 and one of size 2.
func TestTheTenPatternsOfFourVoices(t *testing.T) {
	s := scale(t, harmony.MajorSixth, "C")
	tones := s.Tones()
	patterns := map[string]int{}
	sets := 0
	for places := range 1 << 8 {
		var keys []uint8
		var picked tone.Set
		for i, n := range tones {
			if places>>i&1 == 1 {
				keys = append(keys, 60+uint8(n.Class()))
				picked |= tone.SetOf(n.Class())
			}
		}
		if len(keys) != 4 {
			continue
		}
		sets++
		family := expand(t, s, keys)
		distinct := map[tone.Set]bool{}
		for _, step := range family.Steps {
			distinct[step.Set] = true
		}
		assert.Len(t, distinct, family.Size)
		least := slices.MinFunc(family.Steps, func(a, b harmony.Step) int { return int(a.Set) - int(b.Set) })
		patterns[least.Set.String()] = family.Size
	}
	assert.Equal(t, 70, sets)
	sizes := map[int]int{}
	for _, size := range patterns {
		sizes[size]++
	}
	assert.Equal(t, map[int]int{8: 8, 4: 1, 2: 1}, sizes)
}

func TestOtherSizesOfFamilies(t *testing.T) {
	s := scale(t, harmony.MajorSixth, "C")
	for voiced, size := range map[string]int{
		"C4 E4": 8, "C4 G4": 4, "C4 D4 G4 Ab4": 4, "C4 E4 G4 A4 B4": 8, "C4 D4 E4 F4 G4 Ab4 A4 B4": 1, "C3 E4 G4 C5": 8,
	} {
		assert.Equal(t, size, expand(t, s, voicing(t, voiced)).Size, voiced)
	}
}

// Every pair of keys that the scale holds: each voice moves to the very next
// tone of the scale, whatever the other does, and the next family step is the
// family of the step.
func TestEachVoiceMovesToTheNextToneOfTheScale(t *testing.T) {
	for _, kind := range kinds {
		for root := range tone.Class(12) {
			s := harmony.NewScale(kind, root.Name())
			for low := uint8(30); low < 54; low++ {
				for high := low + 1; high < low+20; high++ {
					if !s.Set().Has(tone.ClassOf(int(low))) || !s.Set().Has(tone.ClassOf(int(high))) {
						continue
					}
					family := expand(t, s, []uint8{high, low})
					again := expand(t, s, family.Steps[1].Keys)
					for n := 1; n < len(family.Steps); n++ {
						for voice, key := range family.Steps[n].Keys {
							next := family.Steps[n-1].Keys[voice] + 1
							for !s.Set().Has(tone.ClassOf(int(next))) {
								next++
							}
							require.Equal(t, next, key, "%s from %d, %d", s, low, high)
						}
						require.Equal(t, family.Steps[n], again.Steps[n-1])
					}
					last := again.Steps[7].Keys
					require.Equal(t, []uint8{low + 12, high + 12}, last)
				}
			}
		}
	}
}

// The family of a voicing in another key is the family moved there.
func TestAFamilyMovesWithItsKey(t *testing.T) {
	for _, kind := range kinds {
		for quality, formula := range qualities {
			c := harmony.Chord{Formula: formula}
			keys, err := c.Voice(harmony.Close, 0)
			require.NoError(t, err, quality)
			low := harmony.NewScale(kind, tone.Name{})
			family, err := harmony.Expand(low, keys)
			for up := uint8(1); up < 12; up++ {
				moved := slices.Clone(keys)
				for i := range moved {
					moved[i] += up
				}
				other, otherErr := harmony.Expand(harmony.NewScale(kind, tone.Class(up).Name()), moved)
				require.Equal(t, err == nil, otherErr == nil, "%s %d", quality, up)
				require.Equal(t, family.Size, other.Size)
				for i := range family.Steps {
					assert.Equal(t, family.Steps[i].Set.Transpose(int(up)), other.Steps[i].Set)
					assert.Equal(t, family.Steps[i].Half, other.Steps[i].Half)
				}
			}
		}
	}
}

func TestWhatExpandRefuses(t *testing.T) {
	c := scale(t, harmony.MajorSixth, "C")
	for _, refused := range []struct {
		keys []uint8
		want string
	}{
		{[]uint8{60}, "a voicing of 1 notes: expected 2 to 8"},
		{[]uint8{48, 50, 52, 53, 55, 56, 57, 59, 60}, "a voicing of 9 notes: expected 2 to 8"},
		{[]uint8{60, 66}, "F#4 is not in C major sixth-diminished: expected notes from C D E F G Ab A B"},
		{[]uint8{60, 64, 60}, "C4 stands twice in the voicing"},
		{[]uint8{60, 128}, "key 128: expected 0 to 127"},
		{[]uint8{60, 117}, "starting with A8 on top the family would rise to key 128, above the highest, 127: expected a lower voicing"},
	} {
		_, err := harmony.Expand(c, refused.keys)
		assert.EqualError(t, err, refused.want)
	}
	_, err := harmony.Expand(harmony.Scale{}, []uint8{60, 64})
	assert.EqualError(t, err, "no scale to move the voicing in")
	low := expand(t, c, []uint8{0, 2})
	assert.Equal(t, []uint8{11, 12}, low.Steps[7].Keys)
	high := expand(t, c, []uint8{115, 116}) // G8, Ab8
	assert.Equal(t, []uint8{125, 127}, high.Steps[7].Keys)
	lowKeyed := expand(t, scale(t, harmony.MajorSixth, "B"), []uint8{1, 3}) // below the lowest B
	assert.Equal(t, "C# D#", words(lowKeyed.Steps[0].Tones))
}

// Common practice: E7 in C is read with G#, F#m(maj7) in A with E#, and a
// diminished chord as the scale is.
func TestAStepIsSpelledByTheChordItIsCalled(t *testing.T) {
	for _, s := range []struct {
		kind              harmony.ScaleKind
		key, voiced, want string
		named             harmony.Chord
	}{
		{harmony.MajorSixth, "C", "E4 Ab4 B4 D5", "E G# B D", chord(t, "E", "7")},
		{harmony.MajorSixth, "C", "D4 F4 Ab4 B4", "D F Ab B", chord(t, "D", "dim7")},
		{harmony.MajorSixth, "C", "F4 Ab4 B4 E5", "F Ab B E", chord(t, "F", "dim(maj7)")},
		{harmony.MajorSixth, "C", "A4 C5 E5 G#5", "A C E G#", chord(t, "A", "m(maj7)")},
		{harmony.MajorSixth, "C", "Ab3 C4 E4 G4", "Ab C E G", chord(t, "Ab", "maj7#5")},
		{harmony.MajorSixth, "A", "F#4 A4 C#5 F5", "F# A C# E#", chord(t, "F#", "m(maj7)")},
		{harmony.MajorSixth, "E", "C#4 E4 G#4 C5", "C# E G# B#", chord(t, "C#", "m(maj7)")},
		{harmony.MajorSixth, "B", "G#4 B4 D#5 G5", "G# B D# G", chord(t, "G#", "m(maj7)")},
		{harmony.MajorSixth, "A", "F4 G#4 B4 E5", "F G# B E", chord(t, "F", "dim(maj7)")},
		{harmony.MajorSixth, "Eb", "Cb4 D4 F4 Bb4", "Cb D F Bb", chord(t, "B", "dim(maj7)")},
		{harmony.MinorSixth, "C", "F4 Ab4 B4 Eb5", "F Ab Cb Eb", chord(t, "F", "m7b5")},
		{harmony.MinorSixth, "F", "E4 Ab4 C5 D5", "E G# C D", chord(t, "E", "7#5")},
		{harmony.MinorSixth, "A", "G#4 C5 E5 F#5", "Ab C E Gb", chord(t, "Ab", "7#5")},
		{harmony.MajorSixth, "C", "Ab4 E5 G5 B5", "G# E G B", slash(t, "E", "", "G#")},
	} {
		step := expand(t, scale(t, s.kind, s.key), voicing(t, s.voiced)).Steps[0]
		assert.Equal(t, s.want, words(step.Spell(s.named)), "%s in %s", s.voiced, s.key)
	}
}

func BenchmarkExpand(b *testing.B) {
	s, keys := scale(b, harmony.MajorSixth, "Bb"), voicing(b, "Bb3 D4 F4 A4")
	b.ReportAllocs()
	for b.Loop() {
		_, _ = harmony.Expand(s, keys)
	}
}
