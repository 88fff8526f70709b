package changes

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/analyse/timebase"
)

const charts = "../../testdata/charts"

// mustParse reads a chart that has to be right.
func mustParse(t testing.TB, text string) *Chart {
	t.Helper()
	c, err := Parse(strings.NewReader(text))
	require.NoError(t, err)
	return c
}

// fileChart reads a chart of testdata.
func fileChart(t testing.TB, name string) *Chart {
	t.Helper()
	f, err := os.Open(filepath.Join(charts, name))
	require.NoError(t, err)
	defer f.Close()
	c, err := Read(f)
	require.NoError(t, err)
	return c
}

// inBeats writes a bar as "Dm7:3 G7:1", lengths in beats of its meter.
func inBeats(b WrittenBar) string {
	var words []string
	for _, s := range b.Stays {
		words = append(words, s.Symbol+":"+ticksToBeats(s.Ticks, b.Meter))
	}
	return strings.Join(words, " ")
}

// The rule is DESIGN's: an equal share where the number of chords divides the
// beats or is twice them, else dots. A beat is a dotted one in 6/8 and 12/8
// (common practice). Thirds and quarters of beats go beyond it.
func TestChordsShareTheirBar(t *testing.T) {
	for _, c := range []struct{ meter, bar, want string }{
		{"4/4", "Bb6", "Bb6:4"},
		{"4/4", "Cm7 F7", "Cm7:2 F7:2"},
		{"4/4", "Bm7 Bb7 Am7 Ab7", "Bm7:1 Bb7:1 Am7:1 Ab7:1"},
		{"4/4", "C D C D C D C D", "C:0.5 D:0.5 C:0.5 D:0.5 C:0.5 D:0.5 C:0.5 D:0.5"},
		{"4/4", "Dm7 . . G7", "Dm7:3 G7:1"},
		{"4/4", "Dm7 G7 . .", "Dm7:1 G7:3"},
		{"4/4", "Dm7 . G7 C6", "Dm7:2 G7:1 C6:1"},
		{"4/4", "Dm7 . . .", "Dm7:4"},
		{"4/4", "Dm7...", "Dm7:4"},
		{"4/4", "Dm7 . . . . G7 . C6", "Dm7:2.5 G7:1 C6:0.5"},
		{"3/4", "C", "C:3"},
		{"3/4", "C F G", "C:1 F:1 G:1"},
		{"3/4", "C . G7", "C:2 G7:1"},
		{"3/4", "C . . G7 . .", "C:1.5 G7:1.5"},
		{"2/4", "C G7", "C:1 G7:1"},
		{"5/4", "C . . G7 .", "C:3 G7:2"},
		{"6/8", "C G7", "C:1 G7:1"},
		{"6/8", "C . . . . G7", "C:5/3 G7:1/3"},
		{"12/8", "C . . G7", "C:3 G7:1"},
		{"7/8", "C . . . G7 . .", "C:4 G7:3"},
		{"4/4", "N.C.", "N.C.:4"},
		{"4/4", "N.C. . . G7", "N.C.:3 G7:1"},
	} {
		t.Run(c.meter+" "+c.bar, func(t *testing.T) {
			bar := strings.Replace(c.bar, "...", " . . .", 1)
			chart := mustParse(t, "meter: "+c.meter+"\n| "+bar+" |")
			assert.Equal(t, c.want, inBeats(chart.Sections[0].Bars[0]))
		})
	}
}

func TestBarsThatDoNotFill(t *testing.T) {
	for _, c := range []struct{ meter, bar, found, expected string }{
		{"4/4", "C D E F G", "5 chords in the bar", "1, 2, 4 or 8 chords, or chords and dots that make 4 beats in 4/4"},
		{"4/4", "C . G7", "2 chords and 1 dot in the bar", "1, 2, 4 or 8 chords, or chords and dots that make 4 beats in 4/4"},
		{"4/4", "C . . . G7", "2 chords and 3 dots in the bar", "1, 2, 4 or 8 chords, or chords and dots that make 4 beats in 4/4"},
		{"3/4", "C G7 . .", "2 chords and 2 dots in the bar", "1, 3 or 6 chords, or chords and dots that make 3 beats in 3/4"},
		{"6/8", "C . G7", "2 chords and 1 dot in the bar", "1, 2 or 4 chords, or chords and dots that make 2 beats in 6/8"},
	} {
		t.Run(c.meter+" "+c.bar, func(t *testing.T) {
			_, err := Parse(strings.NewReader("meter: " + c.meter + "\n| " + c.bar + " |"))
			assert.Equal(t, Errors{{Line: 2, Column: 3, Found: c.found, Expected: c.expected, Hint: hintDots}}, err)
		})
	}
}

// The chart is the one of the contract, its meter change in the last bar.
func TestTheChartOfTheContract(t *testing.T) {
	c := mustParse(t, `title: Two Bridges
key: Bb
meter: 4/4
tempo: 132
form: A A B A

[A]
| Bb6 G7b9 | Cm7 F7 | Dm7 . . G7 | Cm7 F7 |
[B]
{F minor} | Gm7b5 | C7 | {auto} Fm6 | {meter 3/4} C7 |
`)
	assert.Equal(t, "Two Bridges", c.Title)
	assert.Equal(t, "Bb major", c.Key.String())
	assert.Equal(t, 132, c.Tempo)
	assert.Equal(t, []string{"A", "A", "B", "A"}, c.Form)
	require.Len(t, c.Sections, 2)
	a, b := c.Sections[0].Bars, c.Sections[1].Bars
	assert.Equal(t, "Dm7:3 G7:1", inBeats(a[2]))
	assert.True(t, b[0].Stays[0].Forced)
	assert.Equal(t, "F minor", b[1].Stays[0].Centre.String())
	assert.False(t, b[2].Stays[0].Forced)
	assert.Equal(t, timebase.Meter{Num: 3, Den: 4}, b[3].Meter)
	assert.Equal(t, "C7:3", inBeats(b[3]))
}

func TestPercentRepeatsTheBarBefore(t *testing.T) {
	c := mustParse(t, "|: Dm7 . . G7 | % |1. C6 A7 | % :|2. % | {F blues} % |")
	bars := c.Sections[0].Bars
	var got []string
	for _, b := range bars {
		got = append(got, inBeats(b))
	}
	assert.Equal(t, []string{"Dm7:3 G7:1", "Dm7:3 G7:1", "C6:2 A7:2", "C6:2 A7:2", "Dm7:3 G7:1", "Dm7:3 G7:1"}, got,
		"in the second ending % is the last bar that both passes play")
	assert.True(t, bars[5].Stays[0].Forced, "an override stands beside %")
	assert.False(t, bars[4].Stays[0].Forced)
}

func TestHeaderIsOptionalAndAnyOrder(t *testing.T) {
	c := mustParse(t, "| Cm7 | F7 |")
	assert.False(t, c.HasKey)
	assert.Equal(t, timebase.Common, c.Meter)
	c = mustParse(t, "\uFEFF  Pickup: 1.5 \r\nMETER: 3/4\r\n\r\n  # mine\r\nkey: f# minor\r\n| F#m7 |\r\n")
	assert.Equal(t, int64(1440), c.Pickup)
	assert.Equal(t, "F# minor", c.Key.String())
}

func TestFormWithoutSpaces(t *testing.T) {
	c := mustParse(t, "form: AABA Tag\n[A]\n| C6 |\n[B]\n| F6 |\n[Tag]\n| C6 |")
	assert.Equal(t, []string{"A", "A", "B", "A", "Tag"}, c.Form)
}

// Each line names what a player could get wrong and what is said of it.
func TestErrorsSayWhereAndWhat(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"nothing", "", "line 1, column 1: found the end of the file, expected at least one line of bars, like | Dm7 G7 | C6 |"},
		{"header twice", "key: C\nkey: D\n| C |", "line 2, column 1: found a second header key, expected one"},
		{"header late", "| C |\nkey: D", "line 2, column 1: found the header key after the first bars, expected it above them"},
		{"empty value", "key:\n| C |", "line 1, column 5: found nothing, expected a value after key:"},
		{"key", "  key:  Hb\n| C |", `line 1, column 9: found "Hb", expected a key like Bb, C minor or F blues`},
		{"meter", "meter: 4/5\n| C |", `line 1, column 8: found "4/5", expected a meter like 4/4, 3/4 or 6/8`},
		{"tempo", "tempo: fast\n| C |", `line 1, column 8: found "fast", expected a tempo in beats a minute, 10 to 600`},
		{"pick-up as long as a bar", "pickup: 4\n| C |", `line 1, column 9: found "4", expected a number of beats, more than 0 and less than 4`},
		{"pick-up between ticks", "pickup: 0.0001\n| C |", `line 1, column 9: found "0.0001", expected a number of beats, more than 0 and less than 4`},
		{"form", "form: A X\n[A]\n| C |", `line 1, column 9: found "X", expected one of the sections A`},
		{"form and bars without a section", "form: A\n| C |\n[A]\n| C |", "line 1, column 7: found a form line, and bars before the first section, expected a name like [A] above them"},
		{"chord symbol", "| C6 | Cmaj7 Xyz |", `line 1, column 14: found "Xyz", expected a root A to G, or N.C.`},
		{"chord symbol after wide characters", "| C♯m7♭5 Fq |", `line 1, column 11: found "q" in "Fq", expected `},
		{"empty bar first", "| | F7 |", "line 1, column 1: found an empty bar without a chord before it in its section, expected a chord symbol or N.C."},
		{"dot first", "| . C6 . . |", "line 1, column 3: found a dot at the start of a bar, expected a chord symbol for it to hold"},
		{"% first", "| % |", "line 1, column 3: found % without a bar before it in its section, expected a chord symbol or N.C."},
		{"% first in a section", "| C |\n[B]\n| % |", "line 3, column 3: found % without a bar before it in its section, expected a chord symbol or N.C."},
		{"% beside a chord", "| C | % F |", "line 1, column 7: found % beside other chords, expected % alone in its bar"},
		{"% after another meter", "| C | {meter 3/4} % |", "line 1, column 19: found % after a bar of 4/4, expected the chords of this bar of 3/4"},
		{"section twice", "[A]\n| C |\n[A]\n| C |", `line 3, column 1: found a second section "A", expected another name; a form line plays a section again`},
		{"section without bars", "[A]\n[B]\n| C |", `line 1, column 1: found section "A" without bars, expected at least one bar in it`},
		{"section name", "[A|]\n| C |", `line 1, column 1: found "A|", expected a section name of letters and digits, at most 16, like [A]`},
		{"bracket open", "[A\n| C |", "line 1, column 1: found a [ that is not closed, expected a ] on the same line"},
		{"brace open", "| {F minor C |", "line 1, column 3: found a { that is not closed, expected a } on the same line"},
		{"brace", "| {loud} C |", `line 1, column 3: found "{loud}", expected a key centre like {F minor}, {auto}, a meter like {meter 3/4} or a tempo like {tempo 132}`},
		{"brace meter", "| {meter 3} C |", `line 1, column 3: found "{meter 3}", expected a meter like 4/4, 3/4 or 6/8`},
		{"a repeat right after an ending", "|: C |1.2. D :|3.|: G :|", `line 1, column 18: found the repeat sign |: right after the ending "3.", expected the bars of the ending before it`},
		{"meter inside a bar", "| C {meter 3/4} F |", "line 1, column 5: found a change of meter inside a bar, expected it before the first chord of the bar"},
		{"repeat not closed", "|: C | F |", "line 1, column 1: found the end of the file, expected the sign :| that belongs to the |: of line 1"},
		{"repeat not closed in its section", "[A]\n|: C | F |\n[B]\n| C :|", `line 3, column 1: found section "B", expected the sign :| that belongs to the |: of line 2`},
		{"repeat in a repeat", "|: C |: F :|", "line 1, column 6: found the repeat sign |: inside a repeat, expected the :| of the one before it first"},
		{"repeat sign first", ":| C |", "line 1, column 1: found the repeat sign :| without a bar before it, expected it at the end of a bar"},
		{"ending without the next", "|: C |1. F :|", "line 1, column 1: found the end of the file, expected the ending 2. of the repeat"},
		{"ending out of order", "|: C |2. F :|1. G |", `line 1, column 7: found the ending "2.", expected the ending 1. (at most 9, in order)`},
		{"ending without :|", "|: C |1. F |2. G |", `line 1, column 13: found the ending "2.", expected the sign :| at the end of the ending before it`},
		{"ending with :| and no next", "|: C |1. F :|2. G :| C |", "line 1, column 19: found a :| in ending 2., expected the ending 3. after it, or a plain bar line"},
		{"ending inside a bar", "|: C 1. F :|", `line 1, column 6: found the ending "1." inside a bar, expected it right after a bar line`},
		{"control character", "| C\x1b[31m |", "line 1, column 4: found the control character U+001B, expected plain text"},
		{"control character in the title", "title: x\x07\n| C |", "line 1, column 9: found the control character U+0007, expected plain text"},
		{"not UTF-8", "| C \xff |", "line 1, column 5: found the byte 0xFF, expected text in UTF-8"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := Parse(strings.NewReader(c.text))
			require.Error(t, err)
			first, _, _ := strings.Cut(err.Error(), "\n")
			if strings.HasSuffix(c.want, "expected ") { // harmony's own words follow
				first = first[:min(len(first), len(c.want))]
			}
			assert.Equal(t, c.want, first)
		})
	}
}

func TestOnePassFindsThemAll(t *testing.T) {
	_, err := Parse(strings.NewReader("key: Q\ntempo: 1\nform: A C\n[A]\n| C | Zm7 | {?} F |\n| G G G G G |\n|: A | Q\n"))
	var lines []int
	for _, e := range err.(Errors) {
		lines = append(lines, e.Line)
	}
	assert.ElementsMatch(t, []int{1, 2, 3, 5, 5, 6, 7, 8}, lines)
}

func TestErrorsAreBounded(t *testing.T) {
	_, err := Parse(strings.NewReader(strings.Repeat("| X | Y | Z |\n", 1000)))
	assert.Len(t, err, maxErrors)
}

func TestBounds(t *testing.T) {
	_, err := Parse(strings.NewReader(strings.Repeat("#", MaxChartBytes+1)))
	assert.ErrorContains(t, err, "a file of more than 256 KiB")

	long := "form: " + strings.Repeat("A ", MaxBars/2+1) + "\n[A]\n| C | F |\n"
	_, err = Parse(strings.NewReader(long))
	assert.ErrorContains(t, err, "line 1, column 7: found more than 2000 bars in the unrolled form")

	fits := "form: " + strings.Repeat("A ", MaxBars/2) + "\n[A]\n| C | F |\n"
	_, err = Parse(strings.NewReader(fits))
	assert.NoError(t, err)

	var many strings.Builder
	for i := range maxSections + 1 {
		fmt.Fprintf(&many, "[A%d]\n| C |\n", i)
	}
	_, err = Parse(strings.NewReader(many.String()))
	assert.EqualError(t, err, "line 257, column 1: found more than 128 sections, expected fewer")

	_, err = Parse(strings.NewReader("form: " + strings.Repeat("A", MaxChartBytes/2) + "\n[A]\n| C |\n"))
	assert.Len(t, err, 1)
}

func TestParseCentre(t *testing.T) {
	for text, want := range map[string]string{
		"Bb": "Bb major", "bb": "Bb major", "F minor": "F minor", "Fm": "F minor", "F# Minor": "F# minor",
		"F blues": "F blues", "E♭": "Eb major", " C  major ": "C major",
	} {
		c, err := ParseCentre(text)
		assert.NoError(t, err, text)
		assert.Equal(t, want, c.String(), text)
	}
	for _, text := range []string{"", "H", "C lydian", "C minor x", "Cm minor", "Cbb", "C7", "\x1b"} {
		_, err := ParseCentre(text)
		assert.Error(t, err, text)
		assert.NotContains(t, err.Error(), "\x1b")
	}
}
