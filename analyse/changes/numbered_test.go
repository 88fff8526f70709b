package changes

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Rehearsal marks may be numbers (MusicXML 4.0, rehearsal element). The chart of such a
// sheet is read back from its text, as a take holds it: a number in brackets alone would
// be an ending there.
func TestNumberedRehearsalMarks(t *testing.T) {
	mark := func(text string) string {
		return "<direction><direction-type><rehearsal>" + text + "</rehearsal></direction-type></direction>"
	}
	chart, err := ParseMusicXML(strings.NewReader(sheet(
		"<measure number='1'>" + mark("12") + harmonyOf("C", "major", "") + "</measure>" +
			"<measure number='2'>" + mark("13") + harmonyOf("F", "major", "") + "</measure>")))
	require.NoError(t, err)
	require.Equal(t, "R12", chart.Sections[0].Name)
	again, err := Parse(strings.NewReader(chart.String()))
	require.NoError(t, err)
	assert.Equal(t, chart.Sections, again.Sections)
}

func TestNoSectionIsANumber(t *testing.T) {
	_, err := Parse(strings.NewReader("*12\n| C |\n"))
	assert.ErrorContains(t, err, `found "12"`)
}
