package harmony_test

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/analyse/harmony"
	"shedlight/analyse/tone"
)

// semitonesAbove prints the classes of a set as distances from a root.
func semitonesAbove(root tone.Class, s tone.Set) string {
	var out []string
	for c := range s.Transpose(-int(root)).Each() {
		out = append(out, fmt.Sprint(c))
	}
	return strings.Join(out, " ")
}

// Source: testdata/theory/rules.csv: what each rule's scale holds of the chord
// (arithmetic), and in which half.
func TestWhatTheScalesOfTheRulesHold(t *testing.T) {
	contained := map[string]int{}
	for _, row := range readTable(t, "rules.csv") {
		quality, _, _ := strings.Cut(row["chord_quality"], " (b5 #5")
		var above int
		_, err := fmt.Sscan(row["scale_root_minus_chord_root_semitones"], &above)
		require.NoError(t, err)
		for root := range tone.Class(12) {
			c := chord(t, root.Name().String(), quality)
			s := harmony.NewScale(tableKinds[row["scale"]], tone.ClassOf(int(root)+above).Name())
			missing := c.Set() &^ s.Set()
			assert.Equal(t, row["fully_contained"] == "yes", missing == 0, "%v", row)
			assert.Equal(t, row["missing_intervals_from_chord_root"], semitonesAbove(root, missing), "%v", row)
			assert.Equal(t, row["chord_tones_in_chord_half"], semitonesAbove(root, c.Set()&s.Home()), "%v", row)
			assert.Equal(t, row["chord_tones_in_dim_half"], semitonesAbove(root, c.Set()&s.Dim()), "%v", row)
			for _, o := range harmony.ScalesFor(c, unknown) {
				if o.Scale.Set() == s.Set() {
					assert.Equal(t, missing, o.Missing, "%v", row)
				}
			}
		}
		contained[row["fully_contained"]]++
	}
	assert.Equal(t, map[string]int{"yes": 67, "no": 15}, contained)
}

// The default scale holds all that the symbol names, but for the natural fifth
// under altered tensions: the third and the seventh are what must be there
// (common practice).
func TestWhatTheDefaultScaleLacks(t *testing.T) {
	lacks := map[string]string{}
	for quality := range qualities {
		if o := harmony.ScalesFor(chord(t, "C", quality), unknown)[0]; o.Missing != 0 {
			lacks[quality] = o.Missing.String()
		}
	}
	assert.Equal(t, map[string]string{"7#9b13": "{G}", "7b9#9": "{G}", "13b9#11": "{G}"}, lacks)
}

// Where the usual rule fails arithmetic, the scale used instead holds what the
// usual one lacks.
func TestWhereTheUsualRuleFails(t *testing.T) {
	for _, c := range []struct {
		root, quality string
		usual         harmony.Scale
		lacks         string
	}{
		{"C", "maj7#11", scale(t, harmony.MajorSixth, "C"), "{F#}"},
		{"G", "7b9", scale(t, harmony.MinorSixth, "D"), "{Ab}"},
		{"G", "7b13", scale(t, harmony.MinorSixth, "D"), "{Eb}"},
		{"G", "7b9b13", scale(t, harmony.MinorSixth, "D"), "{Eb Ab}"},
		{"G", "7#5", scale(t, harmony.MinorSixth, "D"), "{Eb}"},
		{"G", "13b9", scale(t, harmony.MinorSixth, "C"), "{E}"},
		{"G", "9#5", scale(t, harmony.MinorSixth, "Ab"), "{A}"},
		{"D", "m7b5(b9)", scale(t, harmony.MinorSixth, "F"), "{Eb}"},
		{"D", "m13", scale(t, harmony.MajorSixth, "F"), "{B}"},
		{"E", "m7b9", scale(t, harmony.MajorSixth, "G"), "{F}"},
	} {
		ch := chord(t, c.root, c.quality)
		assert.Equal(t, c.lacks, (ch.Set() &^ c.usual.Set()).String(), c.root+c.quality)
		first := harmony.ScalesFor(ch, unknown)[0]
		assert.NotEqual(t, c.usual, first.Scale)
		assert.Zero(t, first.Missing, c.root+c.quality)
	}
}

// Source: testdata/theory/key_centre.csv (arithmetic): which chords the two key
// scales of C hold.
func TestWhatTheScaleOfAKeyHolds(t *testing.T) {
	rows := readTable(t, "key_centre.csv")
	for _, row := range rows {
		s := scale(t, tableKinds[row["scale"]], row["scale_root"])
		root, quality, ok := tone.CutName(row["chord"])
		require.True(t, ok)
		c := chord(t, root.String(), quality)
		assert.Equal(t, set(t, row["tones"]), c.Set(), "%v", row)
		assert.Equal(t, row["contained"] == "yes", c.Set().Within(s.Set()), "%v", row)
		assert.Equal(t, set(t, row["not_in_scale"]), c.Set()&^s.Set(), "%v", row)
		assert.Equal(t, set(t, row["in_chord_half"]), c.Set()&s.Home(), "%v", row)
		assert.Equal(t, set(t, row["in_dim_half"]), c.Set()&s.Dim(), "%v", row)
	}
	assert.Len(t, rows, 52)
}

// Arithmetic: the whole altered set lies in two of the scales and no more.
func TestTheAlteredSetLiesInTwoScales(t *testing.T) {
	altered := chord(t, "G", "7alt").Set()
	var found []string
	for _, kind := range kinds {
		for root := range tone.Class(12) {
			if s := harmony.NewScale(kind, root.Name()); altered.Within(s.Set()) {
				found = append(found, s.Short())
			}
		}
	}
	assert.Equal(t, []string{"Abm6 dim", "Eb7 dim"}, found)
}

// Every status names what the rule rests on.
func TestEveryRuleNamesItsSource(t *testing.T) {
	statuses := map[string]bool{}
	for quality := range qualities {
		for _, o := range harmony.ScalesFor(chord(t, "C", quality), unknown) {
			statuses[o.Status] = true
		}
	}
	for status := range statuses {
		ok := status == "common practice" || status == "arithmetic" || strings.Contains(status, "published on ")
		assert.True(t, ok, status)
	}
	assert.Len(t, slices.Collect(maps.Keys(statuses)), 4)
}

// The prime forms, numbers and vectors of the kinds of chord are those of
// A. Forte, The Structure of Atonal Music (1973), appendix 1 (from memory).
func TestTheKindsOfChordInTheTableOfSets(t *testing.T) {
	for quality, want := range map[string]struct {
		number, prime string
		vector        [6]int
	}{
		"":          {"3-11", "0 3 7", [6]int{0, 0, 1, 1, 1, 0}},
		"m":         {"3-11", "0 3 7", [6]int{0, 0, 1, 1, 1, 0}},
		"dim":       {"3-10", "0 3 6", [6]int{0, 0, 2, 0, 0, 1}},
		"aug":       {"3-12", "0 4 8", [6]int{0, 0, 0, 3, 0, 0}},
		"sus4":      {"3-9", "0 2 7", [6]int{0, 1, 0, 0, 2, 0}},
		"6":         {"4-26", "0 3 5 8", [6]int{0, 1, 2, 1, 2, 0}},
		"m7":        {"4-26", "0 3 5 8", [6]int{0, 1, 2, 1, 2, 0}},
		"maj7":      {"4-20", "0 1 5 8", [6]int{1, 0, 1, 2, 2, 0}},
		"maj7#5":    {"4-19", "0 1 4 8", [6]int{1, 0, 1, 3, 1, 0}},
		"m(maj7)":   {"4-19", "0 1 4 8", [6]int{1, 0, 1, 3, 1, 0}},
		"maj7b5":    {"4-16", "0 1 5 7", [6]int{1, 1, 0, 1, 2, 1}},
		"dim(maj7)": {"4-18", "0 1 4 7", [6]int{1, 0, 2, 1, 1, 1}},
		"7":         {"4-27", "0 2 5 8", [6]int{0, 1, 2, 1, 1, 1}},
		"m6":        {"4-27", "0 2 5 8", [6]int{0, 1, 2, 1, 1, 1}},
		"m7b5":      {"4-27", "0 2 5 8", [6]int{0, 1, 2, 1, 1, 1}},
		"7b5":       {"4-25", "0 2 6 8", [6]int{0, 2, 0, 2, 0, 2}},
		"7#5":       {"4-24", "0 2 4 8", [6]int{0, 2, 0, 3, 0, 1}},
		"7sus4":     {"4-23", "0 2 5 7", [6]int{0, 2, 1, 0, 3, 0}},
		"dim7":      {"4-28", "0 3 6 9", [6]int{0, 0, 4, 0, 0, 2}},
		"add9":      {"4-22", "0 2 4 7", [6]int{0, 2, 1, 1, 2, 0}},
		"6/9":       {"5-35", "0 2 4 7 9", [6]int{0, 3, 2, 1, 4, 0}},
		"9sus4":     {"5-35", "0 2 4 7 9", [6]int{0, 3, 2, 1, 4, 0}},
		"9":         {"5-34", "0 2 4 6 9", [6]int{0, 3, 2, 2, 2, 1}},
		"maj9":      {"5-27", "0 1 3 5 8", [6]int{1, 2, 2, 2, 3, 0}},
		"m9":        {"5-27", "0 1 3 5 8", [6]int{1, 2, 2, 2, 3, 0}},
		"7b9":       {"5-31", "0 1 3 6 9", [6]int{1, 1, 4, 1, 1, 2}},
		"7#9":       {"5-32", "0 1 4 6 9", [6]int{1, 1, 3, 2, 2, 1}},
		"9#5":       {"5-33", "0 2 4 6 8", [6]int{0, 4, 0, 4, 0, 2}},
		"m11":       {"6-32", "0 2 4 5 7 9", [6]int{1, 4, 3, 2, 5, 0}},
		"7alt":      {"7-34", "0 1 3 4 6 8 10", [6]int{2, 5, 4, 4, 4, 2}},
		"m13":       {"7-35", "0 1 3 5 6 8 10", [6]int{2, 5, 4, 3, 6, 1}},
	} {
		s := chord(t, "C", quality).Set()
		assert.Equal(t, want.prime, semitonesAbove(0, s.PrimeForte()), "%s %s", quality, want.number)
		assert.Equal(t, want.vector, s.Vector(), "%s %s", quality, want.number)
	}
}
