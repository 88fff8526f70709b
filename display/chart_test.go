package display

import (
	"bytes"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse/changes"
	"shedlight/analyse/tone"
)

func chartOf(t *testing.T, c *changes.Chart, key string, chordView bool) ChartSheet {
	t.Helper()
	if key != "" {
		n, err := tone.ParseName(key)
		require.NoError(t, err)
		c = c.Transpose(n)
	}
	line, err := c.Unroll()
	require.NoError(t, err)
	return ChartSheet{Chart: c, Line: &line, ChordView: chordView}
}

func fileChart(t *testing.T, name string) *changes.Chart {
	t.Helper()
	text, err := os.ReadFile("../testdata/charts/" + name + ".chart")
	require.NoError(t, err)
	return textChart(t, string(text))
}

func textChart(t *testing.T, text string) *changes.Chart {
	t.Helper()
	c, err := changes.Parse(strings.NewReader(text))
	require.NoError(t, err)
	return c
}

// crowded has bars that do not lately, centres half a bar long, and a title that
// wants to paint the terminal.
const crowded = `title: Gangway
key: E
form: Tag A A

[Tag]
| C#m7b5 F#7b9 Bm7b5 E7b9b13 | F#m7b5/C B7b9b13 F#m7b5/C B7b9b13 F#m7b5/C B7b9b13 F#m7b5/C B7b9b13 | N.C. |
[A]
| {F# minor} G#m7b5 C#7b9 | F#m6 | {Eb blues} Eb7 {auto} E6 |
`

func TestCharts(t *testing.T) {
	blues, _ := changes.Generic("blues")
	bridge, _ := changes.Generic("rhythm-bridge")
	for _, c := range []struct {
		file  string
		sheet ChartSheet
		o     Options
	}{
		{"chart-blues", chartOf(t, blues, "F", false), Options{}},
		{"chart-blues-chord-view", chartOf(t, blues, "F", true), Options{}},
		{"chart-two-bridges", chartOf(t, fileChart(t, "two-bridges"), "", false), Options{}},
		{"chart-ferry-waltz", chartOf(t, fileChart(t, "ferry-waltz"), "", true), Options{}},
		{"chart-night-shift-ascii", chartOf(t, fileChart(t, "night-shift"), "", false), Options{ASCII: true}},
		{"chart-bridge-in-eb", chartOf(t, bridge, "Ab", false), Options{Written: tone.InEFlat}},
		{"chart-crowded", chartOf(t, textChart(t, crowded), "", true), Options{}},
		{"chart-crowded-ascii", chartOf(t, textChart(t, crowded), "", false), Options{ASCII: true}},
	} {
		t.Run(c.file, func(t *testing.T) {
			var b bytes.Buffer
			require.NoError(t, WriteChart(&b, c.sheet, c.o))
			golden(t, c.file+".txt", b.String())
			narrow(t, b.String(), c.o)
		})
	}
}

// Every generic chart in every key, in both views, stays within 80 columns and
// shows every chord of the form.
func TestChartsInAllKeys(t *testing.T) {
	for _, name := range changes.GenericNames() {
		for class := range tone.All.Each() {
			for _, chordView := range []bool{false, true} {
				c, ok := changes.Generic(name)
				require.True(t, ok)
				sheet := chartOf(t, c, class.Name().String(), chordView)
				var b bytes.Buffer
				require.NoError(t, WriteChart(&b, sheet, Options{ASCII: true}))
				narrow(t, b.String(), Options{ASCII: true})
				rest := b.String()
				for _, s := range sheet.Line.Slots {
					_, after, found := strings.Cut(rest, s.Symbol)
					require.True(t, found, "%s in %s lacks %s:\n%s", name, class.Name(), s.Symbol, b.String())
					rest = after
				}
			}
		}
	}
}

// A title from outside cannot move the cursor.
func TestHostileChart(t *testing.T) {
	c, _ := changes.Generic("two-five-one")
	c.Title = "\x1b[2JGangway"
	var b bytes.Buffer
	require.NoError(t, WriteChart(&b, chartOf(t, c, "", false), Options{}))
	require.NotContains(t, b.String(), "\x1b")
}

func TestChartTellsWriteErrors(t *testing.T) {
	c, _ := changes.Generic("two-five-one")
	require.ErrorIs(t, WriteChart(&failing{}, chartOf(t, c, "", false), Options{}), errFull)
}

// Chords stand at their beats, and move only for each other.
func TestFitTexts(t *testing.T) {
	const cells = 18
	for _, c := range []struct {
		name   string
		at     []int
		texts  []string
		want   string
		cutAny bool
	}{
		{"alone", []int{0}, []string{"C6"}, " C6", false},
		{"two at their beats", []int{0, 8}, []string{"Cm7", "F7"}, " Cm7     F7", false},
		{"the second makes way", []int{0, 8}, []string{"F#m7b5/C", "B7b9"}, " F#m7b5/C B7b9", false},
		{"the last stays inside", []int{0, 13}, []string{"C6", "Dbmaj7"}, " C6         Dbmaj7", false},
		{"no room left over", []int{0, 4, 8, 12}, []string{"Bbm7", "Eb7", "Abm7", "Db7b"}, "Bbm7 Eb7 Abm7 Db7b", false},
		{"the longest is cut", []int{0, 8}, []string{"F#m7b5/C", "B7(b9,b13)"}, "F#m7b5/C B7(b9,b1~", true},
	} {
		t.Run(c.name, func(t *testing.T) {
			var in []barText
			for i, text := range c.texts {
				in = append(in, barText{at: c.at[i], forms: []string{text}})
			}
			out, cutAny := fitTexts(in, cells, "~")
			var row textRow
			row.pieces(0, out)
			require.Equal(t, c.want, row.text())
			require.Equal(t, c.cutAny, cutAny)
		})
	}
	short, cutAny := fitTexts([]barText{{at: 0, forms: []string{"Bbm6 dim", "Bbm6"}}, {at: 4, forms: []string{"Ebm6 dim", "Ebm6"}}}, 12, "~")
	require.Equal(t, []placedText{{at: 1, text: "Bbm6"}, {at: 6, text: "Ebm6"}}, short, "all take their short form")
	require.False(t, cutAny)
}

// However many chords a bar has, they stay inside it.
func TestFitTextsStaysInside(t *testing.T) {
	for n := range 40 {
		for length := 1; length < 20; length++ {
			var in []barText
			for i := range n {
				in = append(in, barText{at: i * 17 / n, forms: []string{strings.Repeat("x", length)}})
			}
			out, _ := fitTexts(in, 18, "~")
			var row textRow
			row.pieces(0, out)
			require.LessOrEqual(t, width(row.text()), 18, "%d texts of %d cells", n, length)
			for _, p := range out {
				require.GreaterOrEqual(t, p.at, 0)
			}
		}
	}
}
