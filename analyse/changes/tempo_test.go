package changes

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// quarters are the tempi of a chart's bars as they are played, in microseconds a
// quarter note.
func quarters(t *testing.T, c *Chart) (out []int64) {
	t.Helper()
	for _, b := range mustUnroll(t, c).Bars {
		out = append(out, b.Quarter)
	}
	return out
}

// A tempo holds from its bar on, in the order in which bars are written; a beat is that
// of its bar. By hand: 120 is 500,000 microseconds a quarter note, 100 is 600,000, and
// 80 dotted quarter notes are 120 quarter notes.
func TestTempoChanges(t *testing.T) {
	for text, want := range map[string][]int64{
		"| C | F |":                                                   {0, 0},
		"tempo: 120\n| C | F |":                                       {500_000, 500_000},
		"tempo: 120\n| C | {tempo 100} F | G |":                       {500_000, 600_000, 600_000},
		"| {tempo 120} C | {100 bpm} F |":                             {500_000, 600_000},
		"tempo: 120\n| C | {6/8} F | {tempo 80} G |":                  {500_000, 500_000, 500_000},
		"meter: 6/8\ntempo: 80\n| C | {4/4} {tempo 100} F |":          {500_000, 600_000},
		"tempo: 120\n|: C | {tempo 100} F :|":                         {500_000, 600_000, 500_000, 600_000},
		"tempo: 120\nform: A B A\n[A]\n| C |\n[B]\n| {tempo 100} F |": {500_000, 600_000, 500_000},
	} {
		assert.Equal(t, want, quarters(t, mustParse(t, text)), text)
	}
	c := mustParse(t, "| {tempo 96} C | F |")
	assert.Equal(t, 96, c.Tempo, "one before the first bar is the chart's")
	c = mustParse(t, "tempo: 120\n| C | {tempo 100} F | G |")
	assert.Contains(t, c.String(), "| C | {tempo 100} F | G |")
}

// Bars that are played over and over have the tempo of the first of them.
func TestTempoOfALoop(t *testing.T) {
	line := mustUnroll(t, mustParse(t, "tempo: 120\n| C | {tempo 100} F | G |"))
	loop, err := line.Loop(2, 3)
	require.NoError(t, err)
	assert.EqualValues(t, 600_000, loop.Tempo)
}

func TestWrongTempoChanges(t *testing.T) {
	for text, want := range map[string]string{
		"| C | {tempo fast} F |": `line 1, column 7: found "{tempo fast}", expected a tempo in beats a minute, 10 to 600`,
		"| C {tempo 100} F |":    "line 1, column 5: found a change of tempo inside a bar, expected it before the first chord of the bar",
	} {
		_, err := Parse(strings.NewReader(text))
		assert.EqualError(t, err, want)
	}
}

// MusicXML says tempi in quarter notes a minute (MusicXML 4.0, sound element, tempo);
// the first holds from the beginning on.
func TestTempoChangesOfMusicXML(t *testing.T) {
	direction := func(tempo string) string {
		return "<direction><sound tempo='" + tempo + "'/></direction>"
	}
	chart, err := ParseMusicXML(strings.NewReader(sheet(
		"<measure number='1'>" + harmonyOf("C", "major", "") + "</measure>" +
			"<measure number='2'>" + direction("120") + harmonyOf("F", "major", "") + "</measure>" +
			"<measure number='3'>" + direction("100") + harmonyOf("G", "major", "") + "</measure>" +
			"<measure number='4'>" + harmonyOf("A", "minor", "") + "</measure>")))
	require.NoError(t, err)
	assert.Equal(t, []int64{500_000, 500_000, 600_000, 600_000}, quarters(t, chart))
	assert.Equal(t, 120, chart.Tempo)
	assert.Equal(t, quarters(t, chart), quarters(t, mustParse(t, chart.String())))
}
