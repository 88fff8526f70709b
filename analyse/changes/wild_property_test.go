package changes

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

// hands writes one chart in the hands of many players: what is drawn where two
// ways of writing mean the same.
type hands struct{ t *rapid.T }

func (h hands) pick(of ...string) string { return rapid.SampledFrom(of).Draw(h.t, "spelling") }

// chords are symbols, each in several spellings of one chord, the plain one first.
var handChords = [][]string{
	{"Dm7b5", "Dm7 b5", "D m7b5", "Dm7(b5)", "Dm7(5-)", "Dø", "D-7b5", "d m7b5"},
	{"G7(b9)", "G7b9", "G7 b9", "G7 (b9)", "G7(9-)", "G7/9-", "G7 ♭9", "g7b9"},
	{"C7(b9,#11)", "C7(b9, #11)", "C7 b9 #11", "C7b9#11"},
	{"Cmaj7", "C maj7", "CM7", "C△7", "C Δ7"},
	{"C/E", "C /E", "C/e"},
	{"Bdim7", "Bdim", "Bo7", "B°", "B dim7"},
	{"F7(#9)", "F7 #9", "F7/9+", "F7(9+)", "F7+9"},
	{"Eb6", "E♭6", "Eb 6", "Es6"},
	{"N.C.", "NC", "n.c.", "N. C.", "no chord"},
}

func (h hands) chord(n int, plain bool) string {
	if plain {
		return handChords[n][0]
	}
	return h.pick(handChords[n]...)
}

// bar writes a bar of 4/4: a chord, two, or two with the first held for three.
func (h hands) bar(plain bool, shape, one, two int) string {
	a, b := h.chord(one, plain), h.chord(two, plain)
	// A slash before a bare note is its bass: the chord over E stands alone here.
	hold := " ."
	if !plain {
		hold = h.pick(" .", " /", " ·")
	}
	switch shape {
	case 0:
		if !plain && h.pick("no", "yes") == "yes" {
			return a + strings.Repeat(hold, 3)
		}
		return a
	case 1:
		if plain {
			return a + " " + b
		}
		if h.pick("no", "yes") == "yes" {
			return a + hold + " " + b + hold
		}
		return a + h.pick(" ", ", ", "  ") + b
	}
	return a + strings.Repeat(hold, 2) + " " + b
}

// chart writes a whole chart of two sections; drawn holds what it is, and plain
// says that it is to be written in our own form.
func (h hands) chart(plain bool, drawn []int) string {
	or := func(own string, others ...string) string {
		if plain {
			return own
		}
		return h.pick(append(others, own)...)
	}
	line := or("|", "||", "│", "┃")
	bars := func(at int) string {
		var out []string
		for i := range 3 {
			out = append(out, h.bar(plain, drawn[at+3*i]%3, drawn[at+3*i+1]%len(handChords), drawn[at+3*i+2]%len(handChords)))
		}
		return strings.Join(out, " "+line+" ")
	}
	same := or(" "+line+" % "+line, " "+line+" % "+line, " "+line+" 𝄎 "+line)
	text := or("meter: 4/4", "time: 4/4", "{4/4}", "# no meter") + "\n" + or("key: F minor", "key: Fm", "key: F-", "key: f min", "key: F minor # four flats") + "\n"
	text += or("[A]\n", "A:\n", "*A\n", "A: ", "[A] ")
	text += or("|: ", "||: ", "|:") + bars(0) + or(" :|\n", " :||\n", " :|]\n", " :| x2\n", " :| # twice\n", "\n:|\n")
	text += or("[B]\n", "B:\n", "*B ", "[B]: ")
	text += or("| ", "", "|| ") + bars(9) + same + or("\n", " # the end\n", " // the end\n", "|\n")
	text += or("[Solo1]\n", "[Solo 1]\n", "Solo 1:\n", "Solo 1\n")
	text += "|: " + bars(18) + or(" |1. ", "\n1. ", " |1 ", " |[1. ", " | 1) ") + bars(27) + " :|" + or("2. ", "[2. ", "2 ", "\n2. ", " 2) ") + bars(36) + or(" |\n", "\n", " ||\n", " |]\n")
	text += or("[Tag]\n", "Tag:\n") + or("|: ", "||: ") + bars(45) + or(" :| x3\n", " :| 3x\n", " :|×3\n", " :|| (x3)\n")
	return strings.ReplaceAll(text, "\n", or("\n", "\r\n", "\r"))
}

// One chart in the hand of any player is one chart.
func TestOneChartInManyHands(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		drawn := rapid.SliceOfN(rapid.IntRange(0, 1000), 54, 54).Draw(t, "music")
		h := hands{t}
		own, typed := h.chart(true, drawn), h.chart(false, drawn)
		want, err := Parse(strings.NewReader(own))
		if err != nil {
			t.Fatalf("%v\n%s", err, own)
		}
		got, err := Parse(strings.NewReader(typed))
		if err != nil {
			t.Fatalf("%v\n%s\n%s", err, typed, own)
		}
		if a, b := plainly(want), plainly(got); !assert.ObjectsAreEqual(a, b) {
			t.Fatalf("two charts\n%s\n%s\n%s\n%s", own, typed, a, b)
		}
	})
}

// plainly returns a chart with its symbols as we print them.
func plainly(c *Chart) *Chart {
	out := withoutRemarks(c)
	for i := range out.Sections {
		for _, bar := range out.Sections[i].Bars {
			for j := range bar.Stays {
				bar.Stays[j].Symbol = bar.Stays[j].Chord.ChartSymbol()
			}
		}
	}
	return out
}
