package harmony_test

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/analyse/harmony"
	"shedlight/analyse/tone"
)

var theory = filepath.Join("..", "..", "testdata", "theory")

// readTable reads one of the reference tables; each row is keyed by the
// heading.
func readTable(t testing.TB, file string) []map[string]string {
	f, err := os.Open(filepath.Join(theory, file))
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	require.Greater(t, len(rows), 1, file)
	var out []map[string]string
	for _, row := range rows[1:] {
		m := map[string]string{}
		for i, heading := range rows[0] {
			m[heading] = row[i]
		}
		out = append(out, m)
	}
	return out
}

func readJSON(t testing.TB, file string, into any) {
	data, err := os.ReadFile(filepath.Join(theory, file))
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal(data, into))
}

// tableKinds are the names of the kinds in the reference tables.
var tableKinds = map[string]harmony.ScaleKind{
	"maj6dim": harmony.MajorSixth, "min6dim": harmony.MinorSixth,
	"dom7dim": harmony.DominantSeventh, "dom7b5dim": harmony.DominantSeventhFlatFive,
}

var kinds = []harmony.ScaleKind{
	harmony.MajorSixth, harmony.MinorSixth, harmony.DominantSeventh, harmony.DominantSeventhFlatFive,
}

func name(t testing.TB, text string) tone.Name {
	n, err := tone.ParseName(text)
	require.NoError(t, err)
	return n
}

func scale(t testing.TB, kind harmony.ScaleKind, root string) harmony.Scale {
	return harmony.NewScale(kind, name(t, root))
}

// classes makes a set of pitch class numbers.
func classes(numbers []int) tone.Set {
	var s tone.Set
	for _, n := range numbers {
		s |= tone.SetOf(tone.ClassOf(n))
	}
	return s
}

// words prints names with blanks between.
func words[T fmt.Stringer](names []T) string {
	var out []string
	for _, n := range names {
		out = append(out, n.String())
	}
	return strings.Join(out, " ")
}

// set reads note names, spelled anyhow.
func set(t testing.TB, text string) tone.Set {
	var s tone.Set
	for _, word := range strings.Fields(text) {
		s |= tone.SetOf(name(t, word).Class())
	}
	return s
}

func ExampleScale() {
	bFlat, _ := tone.ParseName("Bb")
	s := harmony.NewScale(harmony.MajorSixth, bFlat)
	fmt.Println(s, "-", s.Short())
	fmt.Println(words(toneList(s)))
	fmt.Println(s.Home(), s.Dim())
	i, _ := s.Index(6)
	fmt.Println(i, s.Label(i))
	// Output:
	// Bb major sixth-diminished - Bb6 dim
	// Bb C D Eb F Gb G A
	// {D F G Bb} {C Eb F# A}
	// 5 b6
}

func toneList(s harmony.Scale) []tone.Name {
	tones := s.Tones()
	return tones[:]
}

// Source: testdata/theory/spelling.csv, column
// practice_no_double_accidentals: 18 roots, four kinds (common practice).
func TestScalesAreSpelledAsPlayersWriteThem(t *testing.T) {
	rows := readTable(t, "spelling.csv")
	for _, row := range rows {
		s := scale(t, tableKinds[row["scale"]], row["root"])
		assert.Equal(t, row["practice_no_double_accidentals"], words(toneList(s)), s.Short())
		var home, dim []tone.Name
		for i, n := range s.Tones() {
			if i%2 == 0 {
				home = append(home, n)
			} else {
				dim = append(dim, n)
			}
		}
		assert.Equal(t, row["chord_half"], words(home), s.Short())
		assert.Equal(t, row["dim_half"], words(dim), s.Short())
	}
	assert.Len(t, rows, len(kinds)*18)
}

// Common practice: on the roots players use, no degree but the flat six, and
// the flat five of the flat five kind, leaves its letter.
func TestOnlyTheFlatSixAndFlatFiveAreRespelledOnUsualRoots(t *testing.T) {
	letters := map[harmony.ScaleKind][8]int{
		harmony.MajorSixth: {0, 1, 2, 3, 4, 5, 5, 6}, harmony.MinorSixth: {0, 1, 2, 3, 4, 5, 5, 6},
		harmony.DominantSeventh: {0, 1, 2, 3, 4, 5, 6, 6}, harmony.DominantSeventhFlatFive: {0, 1, 2, 3, 4, 5, 6, 6},
	}
	respelled := 0
	for _, row := range readTable(t, "spelling.csv") {
		if row["usual_root"] != "yes" {
			continue
		}
		s := scale(t, tableKinds[row["scale"]], row["root"])
		for i, n := range s.Tones() {
			if int(n.Letter) != (int(s.Root.Letter)+letters[s.Kind][i])%7 {
				respelled++
				assert.Contains(t, []string{"b6", "b5"}, s.Label(i), s.Short())
				assert.Zero(t, n.Alter, "%s: %s", s.Short(), n)
			}
		}
	}
	assert.Positive(t, respelled)
}

func TestNoRootGivesADoubleAccidental(t *testing.T) {
	for _, kind := range kinds {
		for l := range tone.Letter(7) {
			for alter := int8(-2); alter <= 2; alter++ {
				s := harmony.NewScale(kind, tone.Name{Letter: l, Alter: alter})
				var sounding tone.Set
				for _, n := range s.Tones() {
					assert.Equal(t, n, n.Plain(), s.Short())
					sounding |= tone.SetOf(n.Class())
				}
				assert.Equal(t, s.Set(), sounding, s.Short())
			}
		}
	}
}

// Source: testdata/theory/scales.json; its prime forms, numbers and vectors are
// those of A. Forte, The Structure of Atonal Music (1973).
func TestTheFourScales(t *testing.T) {
	type figures struct {
		Pcs           []int
		Spelled       []string
		ChordHalf     []int  `json:"chord_half"`
		DimHalf       []int  `json:"dim_half"`
		Forte         []int  `json:"prime_form_forte"`
		Rahn          []int  `json:"prime_form_rahn"`
		Vector        [6]int `json:"interval_vector"`
		Complement    []int
		Symmetry      []int `json:"transpositional_symmetry_Tn"`
		Mirrors       []int `json:"inversional_symmetry_TnI"`
		Distinct      int   `json:"distinct_transpositions"`
		SharingSevens []int `json:"transpositions_sharing_7_or_more"`
	}
	var table map[string]json.RawMessage
	readJSON(t, "scales.json", &table)
	for key, kind := range tableKinds {
		var want figures
		require.NoError(t, json.Unmarshal(table[key], &want), key)
		s := scale(t, kind, "C")
		pcs := s.Set()
		assert.Equal(t, classes(want.Pcs), pcs, key)
		assert.Equal(t, strings.Join(want.Spelled, " "), words(toneList(s)), key)
		assert.Equal(t, classes(want.ChordHalf), s.Home(), key)
		assert.Equal(t, classes(want.DimHalf), s.Dim(), key)
		assert.Equal(t, s.Home(), s.HomeChord().Set(), key)
		assert.Equal(t, classes(want.Forte), pcs.PrimeForte(), key)
		assert.Equal(t, classes(want.Rahn), pcs.PrimeRahn(), key)
		assert.Equal(t, want.Vector, pcs.Vector(), key)
		assert.Equal(t, classes(want.Complement), tone.All&^pcs, key)

		var symmetry, mirrors, sharing []int
		distinct := map[tone.Set]bool{}
		for n := range 12 {
			moved := pcs.Transpose(n)
			distinct[moved] = true
			if n > 0 && moved == pcs {
				symmetry = append(symmetry, n)
			}
			if pcs.Invert().Transpose(n) == pcs {
				mirrors = append(mirrors, n)
			}
			if n > 0 && (moved&pcs).Len() >= 7 {
				sharing = append(sharing, n)
			}
		}
		assert.ElementsMatch(t, want.Symmetry, symmetry, key)
		assert.ElementsMatch(t, want.Mirrors, mirrors, key)
		assert.ElementsMatch(t, want.SharingSevens, sharing, key)
		assert.Len(t, distinct, want.Distinct, key)
	}
}

// Arithmetic. The minor sixth and the dominant seventh kind are mirrors of each
// other, so that no prime form tells them apart.
func TestMinorSixthAndDominantSeventhAreMirrors(t *testing.T) {
	minor, dominant := scale(t, harmony.MinorSixth, "C").Set(), scale(t, harmony.DominantSeventh, "C").Set()
	assert.Equal(t, dominant, minor.Invert().Transpose(7))
	assert.Equal(t, minor.PrimeForte(), dominant.PrimeForte())
}

// Arithmetic: there are three diminished seventh chords, so scales a minor
// third apart share their dim half.
func TestScalesAMinorThirdApartShareTheirDimHalf(t *testing.T) {
	for _, kind := range kinds {
		for _, c := range []struct{ roots, dim string }{
			{"C Eb Gb A", "D F Ab B"}, {"D F Ab B", "E G Bb Db"}, {"Db E G Bb", "Eb Gb A C"},
		} {
			for _, root := range strings.Fields(c.roots) {
				assert.Equal(t, set(t, c.dim), scale(t, kind, root).Dim(), root)
			}
		}
	}
}

// Source: testdata/theory/scale_common_tones.csv (arithmetic).
func TestCommonTonesBetweenScales(t *testing.T) {
	rows := readTable(t, "scale_common_tones.csv")
	for _, row := range rows {
		one := scale(t, tableKinds[row["scale_on_C"]], "C").Set()
		var root int
		_, err := fmt.Sscan(row["other_root_pc"], &root)
		require.NoError(t, err)
		other := scale(t, tableKinds[row["other_scale"]], "C").Set().Transpose(root)
		assert.Equal(t, row["common_tones"], fmt.Sprint((one & other).Len()), "%v", row)
		assert.Equal(t, set(t, row["symmetric_difference"]), one^other, "%v", row)
	}
	assert.Len(t, rows, len(kinds)*len(kinds)*12)
}

func TestKindsByTheirWords(t *testing.T) {
	for word, want := range map[string]harmony.ScaleKind{
		"major": harmony.MajorSixth, "minor": harmony.MinorSixth,
		"seventh": harmony.DominantSeventh, "seven-flat-five": harmony.DominantSeventhFlatFive,
	} {
		kind, err := harmony.ParseScaleKind(word)
		require.NoError(t, err)
		assert.Equal(t, want, kind)
	}
	_, err := harmony.ParseScaleKind("blues")
	assert.EqualError(t, err, `"blues" is not a kind of scale: expected major, minor, seventh or seven-flat-five`)
}

// Source: testdata/theory/spelling.csv, the columns of npm tonal 6.4.2. Where
// its dictionary has the scale the sounds agree. The spelling agrees on these
// roots only: tonal writes the major sixth kind with a sharp five for the flat
// six, the minor sixth kind with double accidentals where the letters want them
// and the flat five kind as a row of sharps.
func TestTheDictionaryOfTonalHasTheSameSounds(t *testing.T) {
	same := map[string]string{}
	compared := 0
	for _, row := range readTable(t, "spelling.csv") {
		if row["tonal_scale_name"] == "" {
			continue
		}
		compared++
		s := scale(t, tableKinds[row["scale"]], row["root"])
		if row["tonal_notes"] == words(toneList(s)) {
			same[row["scale"]] += " " + row["root"]
		}
		var sounding tone.Set
		for _, word := range strings.Fields(row["tonal_notes"]) {
			letter := int(name(t, word[:1]).Class())
			sounding |= tone.SetOf(tone.ClassOf(letter + strings.Count(word, "#") - strings.Count(word, "b")))
		}
		assert.Equal(t, s.Set(), sounding, s.Short())
	}
	assert.Equal(t, 3*18, compared)
	assert.Equal(t, map[string]string{
		"maj6dim":   " Db Gb Cb",
		"min6dim":   " C C# D Eb E F F# G Ab A Bb B",
		"dom7b5dim": " Cb",
	}, same)
}
