package changes

import (
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// The expected text is written by hand.
func TestCanonicalText(t *testing.T) {
	c := mustParse(t, `tempo:  132
title:  Two   Bridges
form: AAB
key: Bb major
[A]
|  Bb6 G7b9 | Cm7 F7 ||1. Dm7 . . G7 |
| Cm7 F7 :|2.{F minor}Gm7b5|C7|
[B]
 {auto} | {meter 3/4} Fm6 |Fm6| nc |
`)
	assert.Equal(t, `title: Two Bridges
key: Bb
meter: 4/4
tempo: 132
form: A A B

[A]
|: Bb6 G7b9 | Cm7 F7 | 1. Dm7 . . G7 | Cm7 F7 :|
| 2. {F minor} Gm7b5 | C7 |

[B]
| {meter 3/4} {auto} Fm6 | % | N.C. |
`, c.String())
}

func TestPrintedChartsParseToTheSameChart(t *testing.T) {
	names, err := filepath.Glob(filepath.Join(charts, "*.chart"))
	require.NoError(t, err)
	require.NotEmpty(t, names)
	for _, name := range names {
		c := fileChart(t, filepath.Base(name))
		assert.Equal(t, withoutRemarks(c), withoutRemarks(mustParse(t, c.String())), name)
	}
	for _, name := range GenericNames() {
		c, ok := Generic(name)
		require.True(t, ok, name)
		assert.Equal(t, withoutRemarks(c), withoutRemarks(mustParse(t, c.String())), name)
	}
}

// drawChart draws the text of a chart that is right by construction: every
// part of the grammar comes up.
func drawChart(t *rapid.T) string {
	var b strings.Builder
	pick := func(label string, of ...string) string { return rapid.SampledFrom(of).Draw(t, label) }
	b.WriteString(pick("title", "", "title: Quay Street\n", "title: Ünder # the | bridge\n"))
	b.WriteString(pick("key", "", "key: Gb\n", "key: C# minor\n", "key: F blues\n"))
	meter := pick("meter", "4/4", "3/4", "6/8", "5/4", "2/2")
	b.WriteString("meter: " + meter + "\n" + pick("pickup", "", "pickup: 1\n", "pickup: 1/3\n", "pickup: 0.5\n"))
	b.WriteString(pick("tempo", "", "tempo: 132\n"))
	names := []string{"A", "B", "Coda"}[:rapid.IntRange(1, 3).Draw(t, "sections")]
	if rapid.Bool().Draw(t, "with a form") {
		b.WriteString("form: " + strings.Join(rapid.SliceOfN(rapid.SampledFrom(names), 1, 5).Draw(t, "form"), " ") + "\n")
	}
	symbol := func() string {
		return pick("symbol", "C6", "Dm7b5", "G7b9", "Ab7/Gb", "F#m(maj7)", "N.C.", "B♭maj7", "E7alt", "D7(G7)")
	}
	bar := func() string {
		brace := pick("brace", "", "", "", "{F minor} ", "{auto} ", "{Bb} ")
		if rapid.IntRange(0, 9).Draw(t, "new meter") == 0 {
			meter = pick("meter", "4/4", "3/4", "6/8")
			brace += "{meter " + meter + "} "
		}
		brace += pick("new tempo", "", "", "", "{tempo 97} ", "{tempo 213} ")
		m, _ := parseMeter(meter)
		switch n := m.Beats(); rapid.IntRange(0, 3).Draw(t, "shape") {
		case 0:
			return brace + symbol()
		case 1:
			held := rapid.IntRange(1, n).Draw(t, "held")
			return brace + symbol() + strings.Repeat(" .", held-1) + strings.Repeat(" "+symbol(), n-held)
		case 2:
			return brace + symbol() + strings.Repeat(" .", n-1) + " " + symbol() + strings.Repeat(" .", n-1)
		default:
			return brace + symbol() + strings.Repeat(" "+symbol(), 2*n-1)
		}
	}
	bars := func() string {
		return strings.Join(rapid.SliceOfN(rapid.Custom(func(*rapid.T) string { return bar() }), 1, 3).Draw(t, "bars"), " | ")
	}
	for _, name := range names {
		b.WriteString("[" + name + "]\n")
		switch rapid.IntRange(0, 3).Draw(t, "repeat") {
		case 0:
			b.WriteString("| " + bars() + " |\n")
		case 1:
			b.WriteString("| " + bars() + " |: " + bars() + " :|\n| " + bars() + " | % |\n")
		case 2:
			b.WriteString("|: " + bars() + " |1. " + bars() + " :|2. " + bars() + " |\n")
		default:
			b.WriteString("|: " + bars() + " |1.2. " + bars() + " :|\n|3. " + bars() + " |: " + bars() + " :|\n")
		}
	}
	return b.String()
}
