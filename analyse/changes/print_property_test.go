package changes

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	"shedlight/analyse/tone"
)

// saidAgain checks that a chart's own text is read back as the same chart; from is what
// the chart was read from.
func saidAgain(t *rapid.T, from string, c *Chart) {
	back, err := Parse(strings.NewReader(c.String()))
	if err != nil {
		t.Fatalf("%v\n%s\n%s", err, from, c)
	}
	if !assert.ObjectsAreEqual(withoutRemarks(c), withoutRemarks(back)) {
		t.Fatalf("the printed chart is another\n%s\n%s\n%s", from, c, back)
	}
}

func TestAnyChartPrintsAndParsesBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := drawChart(t)
		c, err := Parse(strings.NewReader(text))
		if err != nil && strings.Contains(err.Error(), "% after a bar of") {
			t.Skip("% cannot follow a change of meter")
		}
		if err != nil {
			t.Fatalf("%v\n%s", err, text)
		}
		saidAgain(t, text, c)
	})
}

// What players write, to be thrown together: headers, lines of their own, chords, and
// what stands before a bar, in it and behind it.
var (
	anyHeaders = []string{
		"title: Low # Tide", "title: [A] |", "key: Bb", "key: f# min", "key: C blues", "key: Cb", "meter: 6/8", "meter: 7/8", "time: 2/2",
		"meter: 9/16", "meter: 1/64", "{12/8}", "{5/4}", "{tempo 61}", "{F minor}", "tempo: 97", "tempo: 600", "bpm: q=132 bpm", "form: A B A",
		"form: ABAB", "form: B", "pickup: 1/3", "pickup: 0.5", "pickup: 1", "composer: x: y # z", "style: ", "x-y: {A}", "A x: | C |", "solo: 3",
	}
	anyLines = []string{
		"[A]", "[B]", "A:", "*B", "*12", "*2nd", "[1a]", "[Verse 1]", "Coda", "[Coda]", "Solo 2:", "[x3]", "[D.C.]", "[fine]", "Bridge", "last A",
		"[٣]", "[A-1]", "[-]", "[_']", "# x", "// y", "A: [1.",
	}
	anyChords = []string{
		"C6", "Dm7", "G7", "Bb7", "C6", "Dm7", "H7", "B", "c", "am", "N.C.", "nc", "C/E", "C/H", "C7(b9, #11)", "C7 b9", "D7(G7)", "Hb7 [B]",
		"E7alt", "b", "bb", "C / E", "C,h", "Bbmaj7/A", "hm7", "Fdim", "h/b", "B7/h", "C7/9-", "C maj7", "D m7", "a b5", "Ab", "A b",
	}
	anyWords = []string{
		"|", "||", "|:", ":|", ":|:", "|1.", ":|2.", "|1.2.", "|1-2.", "[1.", "1", "x3", "x2", "3x", "x64", "(x4)", "%", "%%", ".", "/", "/E",
		"b9", "#11", "(b9,#11)", "(D7 G7)", "maj7", "dim", "-", "alt", "N.C", "no chord", "C5", "Cbb", "F##", "Csus4/H", "{auto}", "{4/4}", "{600 bpm}",
		"{A# minor}", "D.C.", "D.S.", "al Fine", "Segno", "𝄌", "[B]", "// x", "# y",
	}
	anyBraces = []string{
		"{F minor} ", "{auto} ", "{meter 3/4}", "{6/8} ", "{tempo 97}", "{tempo 213} ", "{2/2} {tempo 61} ", "{4/4} {tempo 400}", "Segno ", "Coda ",
	}
	anyHolds = []string{" . ", " . . ", " . . . ", " / / / ", " / . ", " "}
	anySame  = []string{"%", "%%", "/", "", "./."}
	anyBars  = []string{
		"| ", " |", " :| ", " :| ", " :|: ", " |: ", " |: ", " |1. ", " :|2. ", " :|2. ", " :| x3 ", " :|1.", " |1.2. ", " | Fine | ",
		" | D.C. al Fine | ", " | To Coda | ", " | D.S. al Coda |",
	}
)

// drawAnything draws the text of a chart: most have something odd in them, and many are
// wrong.
func drawAnything(t *rapid.T) string {
	of := func(words []string) string { return rapid.SampledFrom(words).Draw(t, "word") }
	n := func(most int) int { return rapid.IntRange(0, most).Draw(t, "n") }
	seldom := func(words []string, otherwise string) string {
		if n(9) < 8 { // small numbers are drawn more often
			return otherwise
		}
		return of(words)
	}
	var b strings.Builder
	for range n(3) {
		b.WriteString(of(anyHeaders) + "\n")
	}
	for range 1 + n(4) {
		if line := seldom(anyLines, ""); line != "" {
			b.WriteString(line + "\n")
		}
		b.WriteString("|")
		for range 1 + n(6) {
			b.WriteString(" " + seldom(anyBraces, "") + of(anyChords))
			switch n(8) {
			case 6:
				b.WriteString(of(anyHolds) + of(anyChords))
			case 7:
				b.WriteString(" | " + of(anySame))
			case 8:
				b.WriteString(" " + of(anyWords))
			}
			b.WriteString(seldom(anyBars, " |"))
		}
		b.WriteString("\n")
	}
	return b.String()
}

// Whatever is read of what players may write can be said again, in any key too.
func TestWhateverIsReadIsSaidAgain(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := drawAnything(t)
		if c, err := Parse(strings.NewReader(text)); err == nil {
			saidAgain(t, text, c)
			tonic := tone.Name{Letter: tone.Letter(rapid.IntRange(0, 6).Draw(t, "letter")), Alter: int8(rapid.IntRange(-1, 1).Draw(t, "alter"))}
			saidAgain(t, text, c.Transpose(tonic))
		}
	})
}

// Texts that random words have found: each crashed, or was printed as another chart or
// as none.
func TestFoundByRandomWords(t *testing.T) {
	for _, c := range []struct{ name, text, said string }{
		{"no tempo at first, played again after one", "Segno C6 | {tempo 400} % :|", "| C6 | {tempo 400} C6 | % | % |"},
		{"a tempo of 6/8 said in 4/4", "| {6/8} {tempo 97} C6 | {4/4} Segno G7 | {tempo 213} F6 | D.S. |", "tempo: 97\n\n| C6 | {meter 4/4} G7 | {tempo 213} F6 | {tempo 146} G7 |\n| {tempo 213} F6 |"},
		{"a tempo too fast in the header's meter", "meter: 7/8\n| {4/4} {tempo 400} C6 |", "meter: 7/8\ntempo: 600\n\n| {meter 4/4} {tempo 400} C6 |"},
		{"an H beside a chord in brackets", "| H7 | Hb7 [B] |", "| B7 | Bb7 |"},
		{"a small letter beside a chord in brackets", "b [B]\n| C6 |", "| Bm | C6 |"},
		{"a name that begins as an ending does", "*2nd\n| C6 |\n[1a]\n| F6 |", "[2nd]\n| C6 |\n\n[1a]\n| F6 |"},
		{"a meter in braces under the header's", "meter: 6/8\n{3/4}\n| C6 |", "meter: 6/8\n\n| {meter 3/4} C6 |"},
	} {
		t.Run(c.name, func(t *testing.T) {
			chart := mustParse(t, c.text)
			assert.Contains(t, chart.String(), c.said)
			assert.Equal(t, withoutRemarks(chart), withoutRemarks(mustParse(t, chart.String())))
		})
	}
	_, err := Parse(strings.NewReader("|1. :|: % |"))
	assert.ErrorContains(t, err, "right after the ending")
}
