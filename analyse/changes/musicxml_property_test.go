package changes

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// What may stand in a measure of a lead sheet, in its order; what is plain comes first,
// for that is drawn more often.
var (
	anyAttributes = []string{
		"", "", "", "", "<time><beats>6</beats><beat-type>8</beat-type></time>", "<time><beats>3+2</beats><beat-type>4</beat-type></time>",
		"<time><beats>2</beats><beat-type>2</beat-type></time>", "<key><fifths>6</fifths><mode>minor</mode></key>",
		"<transpose><chromatic>-2</chromatic></transpose>", "<measure-style><measure-repeat type='start'>1</measure-repeat></measure-style>",
		"<measure-style><measure-repeat type='stop'/></measure-style>",
	}
	anyLeft = []string{
		"", "", "", "", forward, first, second, "<barline location='left'><ending number='1,2' type='start'/></barline>",
		"<barline location='left'><ending number='3' type='start'/></barline>",
	}
	anyMarks = []string{
		"", "", "", "", "A", "B", "A2", "12", "1a", "2nd", "Coda", "Intro", "x3", "D.C.", "٣", "Intro2", "A 1", "3x", "ß", "Fine", "Ab", "C7", "%",
		"a/b", "1.", "A Chorus of many words",
	}
	anySounds = []string{"", "", "", "", "segno='s'", "coda='c'", "tempo='97'", "tempo='131.7'", "tempo='599'", "tempo='12'", "tempo='200'"}
	anyRoots  = []string{"C", "G", "A", "B"}
	anyAlters = []string{"", "", "-1", "1", "-2"}
	anyKinds  = []string{
		"dominant", "major", "minor-seventh", "none", "other", "diminished", "suspended-fourth", "major-minor", "power", "half-diminished",
	}
	anyTexts = []string{ // as printed
		"7", "7 b9", "7(b9, #11)", "m7.", "7alt.", "-7", "Δ", "7/9+", "sus 4", "7,9", "°7", " maj7", "(add9)", "7[b9]", "b5", "7b5b9", "h7", "o",
		"7 / 9", "7//", "6/9", "no5", "7(no 3)", "2", "11",
	}
	anyMore = []string{
		"", "", "", "<bass><bass-step>B</bass-step></bass>", "<bass><bass-step>E</bass-step><bass-alter>-1</bass-alter></bass>",
		"<inversion>1</inversion>", degree("9", "-1", "add"), degree("5", "1", "alter"), degree("7", "0", "add"), degree("3", "0", "subtract"),
	}
	anyLengths = []string{"8", "4", "2", "6", "1", "3", "5"}
	anyLasts   = []string{"", "", "", "", "", "dacapo='yes'", "fine='yes'", "tocoda='c'", "dalsegno='s'"}
	anyRight   = []string{"", "", "", "", backward, firstEnd, secEnd, "<barline location='right'><repeat direction='backward' times='3'/></barline>"}
)

// drawSheet draws the measures of a lead sheet, with two divisions to the quarter note.
func drawSheet(t *rapid.T) string {
	of := func(words []string) string { return rapid.SampledFrom(words).Draw(t, "part") }
	n := func(least, most int) int { return rapid.IntRange(least, most).Draw(t, "n") }
	var b strings.Builder
	for i := range n(1, 8) {
		fmt.Fprintf(&b, "<measure number='%d'><attributes><divisions>2</divisions>%s</attributes>%s", i, of(anyAttributes), of(anyLeft))
		if mark := of(anyMarks); mark != "" {
			b.WriteString(rehearsal(mark))
		}
		fmt.Fprintf(&b, "<sound %s/>", of(anySounds))
		for range n(0, 3) {
			fmt.Fprintf(&b, "<harmony><root><root-step>%s</root-step><root-alter>%s</root-alter></root><kind text='%s'>%s</kind>%s</harmony>",
				of(anyRoots), of(anyAlters), of(anyTexts), of(anyKinds), of(anyMore))
			if n(0, 2) > 0 {
				fmt.Fprintf(&b, "<note><duration>%s</duration></note>", of(anyLengths))
			}
		}
		fmt.Fprintf(&b, "<sound %s/>%s</measure>", of(anyLasts), of(anyRight))
	}
	return sheet(b.String())
}

func rehearsal(mark string) string {
	return "<direction><direction-type><rehearsal>" + mark + "</rehearsal></direction-type></direction>"
}

// Whatever is read of a lead sheet can be said again, as a take has to.
func TestWhateverIsReadOfASheetIsSaidAgain(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := drawSheet(t)
		if c, err := ParseMusicXML(strings.NewReader(text)); err == nil {
			saidAgain(t, text, c)
		}
	})
}

// A mark that begins with a digit was printed as an ending; a chord's own text with a
// blank in it, or what a chart has another use for, as another symbol.
func TestMarksAndTextsOfSheetsAreSaidAgain(t *testing.T) {
	for _, c := range []struct{ mark, text, said string }{
		{"2nd", "7", "[2nd]\n| G7 |"},
		{"A", "7 b9", "[A]\n| G7b9 |"},
		{"A", "7(b9, #11)", "[A]\n| G7(b9,#11) |"},
	} {
		chart, err := ParseMusicXML(strings.NewReader(sheet("<measure number='1'>" + rehearsal(c.mark) +
			"<harmony><root><root-step>G</root-step></root><kind text='" + c.text + "'>other</kind></harmony></measure>")))
		require.NoError(t, err, c.text)
		assert.Contains(t, chart.String(), c.said)
		assert.Equal(t, withoutRemarks(chart), withoutRemarks(mustParse(t, chart.String())), c.text)
	}
}
