package changes

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
)

// playedBars writes the bars of a chorus as "C:2 G7:2 | F:4".
func playedBars(t testing.TB, c *Chart) string {
	t.Helper()
	played, err := c.order()
	require.NoError(t, err)
	var out []string
	for _, b := range played {
		out = append(out, inBeats(*b.WrittenBar))
	}
	return strings.Join(out, " | ")
}

// remarksOf returns what is said of a chart.
func remarksOf(c *Chart) []string {
	var out []string
	for _, r := range c.Remarks {
		out = append(out, r.String())
	}
	return out
}

// mustSheet reads a lead sheet of one part that has to be right.
func mustSheet(t testing.TB, document string) *Chart {
	t.Helper()
	c, err := ParseMusicXML(strings.NewReader(document))
	require.NoError(t, err)
	return c
}

// held writes a note or rest of so many eighths.
func held(eighths string) string {
	return "<note><rest/><duration>" + eighths + "</duration></note>"
}

func majors(roots string) string {
	var b strings.Builder
	for _, r := range strings.Fields(roots) {
		b.WriteString(harmonyOf(r, "major", ""))
	}
	return b.String()
}

// Several harmonies before one note share its time (common practice of notation
// programs that put chords on notes only).
func TestHarmoniesOnOneNoteShareIt(t *testing.T) {
	for _, c := range []struct{ name, measure, want string }{
		{"two on a whole note", majors("C D") + held("8"), "C:2 D:2"},
		{"three on a whole note", majors("C D E") + held("8"), "C:2 D:1 E:1"},
		{"five on a whole note", majors("C D E F G") + held("8"), "C:1 D:1 E:1 F:0.5 G:0.5"},
		{"two on a half, up to the next harmony", majors("C D") + held("4") + majors("E") + held("4"), "C:1 D:1 E:2"},
		{"two on a dotted half", majors("C D") + held("6") + majors("E") + held("2"), "C:2 D:1 E:1"},
		{"two on a quarter", held("6") + majors("C D") + held("2"), "N.C.:3 C:0.5 D:0.5"},
		{"two on an eighth", majors("C D") + held("1") + held("7"), "C:0.25 D:3.75"},
		{"up to the next note", majors("C D") + held("4") + held("4"), "C:1 D:3"},
		{"where an offset is given", majors("C") + harmonyOf("D", "major", "<offset>6</offset>") + held("8"), "C:3 D:1"},
		{"twice the same", majors("C C") + held("8"), "C:4"},
	} {
		t.Run(c.name, func(t *testing.T) {
			chart := mustSheet(t, sheet("<measure><attributes><divisions>2</divisions></attributes>"+c.measure+"</measure>"))
			assert.Equal(t, c.want, playedBars(t, chart))
		})
	}
	chart := mustSheet(t, sheet("<measure number='1'><attributes><divisions>2</divisions></attributes>"+majors("C D")+held("8")+"</measure><measure number='2'>"+majors("E F")+held("8")+"</measure>"))
	assert.Equal(t, []string{"part P1, measure 1 (line 1, column 77): several chords on one note here and in 1 more measure: they share its time in whole beats, the first longest"}, remarksOf(chart))
}

// What players do with the signs (common practice).
func TestFormsOfTheWild(t *testing.T) {
	stop := `<barline location="right"><ending number="1" type="stop"/></barline>`
	for _, c := range []struct{ name, measures, want, said string }{
		{"a bracket that closes before its repeat sign", "A " + forward + " | B " + first + stop + " | C " + backward + " | D " + second + secEnd + " | E", "A B C A D E", ""},
		{"and the last one after it", "A " + forward + " | B " + first + firstEnd + " | C " + second + secEnd + " | D | E " + backward, "A B A C D E D E", ""},
		{"an ending without its repeat sign", "A " + forward + " | B " + first + stop + " | C " + second + secEnd, "A B A C", "part P1, measure 2 (line 1, column 245): ending 1 ends without a repeat sign: it is read with one"},
		{"a coda with a repeat of its own", `A <sound segno="s"/> | B <sound tocoda="c"/> | C <sound dalsegno="s"/> | D <sound coda="c"/>` + forward + backward, "A B C A B D D", ""},
		{"Fine in the first ending", "A | B " + first + `<sound fine="yes"/>` + firstEnd + " | C " + second + secEnd + ` | D <sound dacapo="yes"/>`, "A B A C D A B", ""},
		{"To Coda in the first ending", "A | B " + first + `<sound tocoda="c"/>` + firstEnd + " | C " + second + secEnd + ` | D <sound dacapo="yes"/> | E <sound coda="c"/>`, "A B A C D A B E", ""},
		{"Fine in brackets", "A <direction><direction-type><words>(Fine)</words></direction-type></direction> | B <direction><direction-type><words>D.C. al Fine</words></direction-type></direction>", "A B A", ""},
		{"what follows a D.C. is new", `A | B <sound dacapo="yes"/> | C ` + forward + backward, "A B A B C C", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			chart := mustSheet(t, sheet(measures(c.measures)))
			var got []string
			played, err := chart.order()
			require.NoError(t, err)
			for _, b := range played {
				got = append(got, b.Stays[0].Symbol)
			}
			assert.Equal(t, c.want, strings.Join(got, " "))
			assert.Equal(t, c.said, strings.Join(remarksOf(chart), "\n"))
		})
	}
}

// Kinds that older and other programs write, read as they are printed.
func TestKindsOutsideTheStandard(t *testing.T) {
	kind := func(name, text string) string {
		return "<harmony><root><root-step>C</root-step></root><kind text='" + text + "'>" + name + "</kind></harmony>"
	}
	for _, c := range [][3]string{
		{"minor-major", "mMaj7", "Cm(maj7)"}, {"augmented-ninth", "9+", "C9#5"}, {"", "m7", "Cm7"}, {"other", "7alt", "C7alt"},
	} {
		chart := mustSheet(t, sheet("<measure number='1'>"+kind(c[0], c[1])+"</measure>"))
		assert.Equal(t, c[2], chart.Sections[0].Bars[0].Stays[0].Chord.Symbol(), c)
	}
	for _, name := range []string{"minor-major", "other", ""} {
		_, err := ParseMusicXML(strings.NewReader(sheet("<measure number='9'>" + kind(name, "") + "</measure>")))
		assert.ErrorContains(t, err, "part P1, measure 9 (line 1, column ")
		assert.ErrorContains(t, err, `found the harmony kind "`+name+`" without a text, expected a kind-value of MusicXML 4.0, or the chord's symbol as its text`)
	}
}

func TestHarmonyInSeveralParts(t *testing.T) {
	parts := func(one, two string) string {
		return "<score-partwise><part id='P1'>" + one + "</part><part id='P2'>" + two + "</part></score-partwise>"
	}
	empty := "<measure number='1'/><measure number='2'/>"
	chart := mustSheet(t, parts(measures("C")+"<measure number='2'/>", "<measure number='1'/><measure number='2'>"+majors("G")+"</measure>"))
	assert.Equal(t, "C:4 | G:4", playedBars(t, chart))
	assert.Empty(t, chart.Remarks)

	chart = mustSheet(t, parts(measures("C | D"), measures("C | E")))
	assert.Equal(t, "C:4 | D:4", playedBars(t, chart))
	assert.Equal(t, []string{"part P1, measure 2 (line 1, column 155): part P2 has other chords here; those of part P1 are read"}, remarksOf(chart))

	chart = mustSheet(t, parts(strings.Replace(empty, "'2'/>", "'2'>"+backward+"</measure>", 1), measures("C | D")))
	assert.Equal(t, "C:4 | D:4 | C:4 | D:4", playedBars(t, chart), "the repeat signs stand in the other part")

	odd := "<measure number='1'><note><duration>much</duration></note></measure>"
	chart = mustSheet(t, parts(odd, measures("C")))
	assert.Equal(t, "C:4", playedBars(t, chart), "a part without harmony may be what it likes")
}

func TestTimewise(t *testing.T) {
	chart := mustSheet(t, "<score-timewise><measure number='1'><part id='P1'/><part id='P2'>"+majors("C")+"</part></measure>"+
		"<measure number='2'><part id='P1'>"+backward+"</part><part id='P2'>"+majors("G")+"</part></measure></score-timewise>")
	assert.Equal(t, "C:4 | G:4 | C:4 | G:4", playedBars(t, chart))
}

func TestEncodingsOfLeadSheets(t *testing.T) {
	document := "<score-partwise><movement-title>Café du Port</movement-title><part id='P1'>" + measures("C | G") + "</part></score-partwise>"
	latin, err := charmap.ISO8859_1.NewEncoder().String(document)
	require.NoError(t, err)
	for name, text := range map[string]string{
		"UTF-8":      document,
		"ISO-8859-1": `<?xml version="1.0" encoding="ISO-8859-1"?>` + latin,
		"UTF-16LE":   utf16(t, unicode.LittleEndian, unicode.UseBOM, `<?xml version="1.0" encoding="UTF-16"?>`+document),
		"UTF-16BE":   utf16(t, unicode.BigEndian, unicode.IgnoreBOM, `<?xml version="1.0" encoding="UTF-16"?>`+document),
	} {
		c, err := Read(strings.NewReader(text))
		require.NoError(t, err, name)
		assert.Equal(t, "Café du Port", c.Title, name)
	}
}

func utf16(t testing.TB, e unicode.Endianness, bom unicode.BOMPolicy, text string) string {
	t.Helper()
	out, err := unicode.UTF16(e, bom).NewEncoder().String(text)
	require.NoError(t, err)
	return out
}

// The key decides spelling only: one that nobody writes is read as its
// enharmonic, one of single accidentals as none.
func TestKeysNobodyWrites(t *testing.T) {
	for key, want := range map[string]string{
		"<fifths>-11</fifths>": "G", "<fifths>9</fifths>": "Eb", "<fifths>-3</fifths><mode>minor</mode>": "C minor", "<key-step>F</key-step><key-alter>1</key-alter>": "",
	} {
		chart := mustSheet(t, sheet("<measure number='1'><attributes><key>"+key+"</key></attributes>"+majors("C")+"</measure>"))
		got := ""
		if chart.HasKey {
			got = short(chart.Key)
		}
		assert.Equal(t, want, got, key)
	}
}

// Measures that are not as long as their time signature says.
func TestMeasuresOfOtherLengths(t *testing.T) {
	m := func(number, more string) string { return "<measure number='" + number + "'>" + more + "</measure>" }
	div := "<attributes><divisions>2</divisions></attributes>"
	four := "<attributes><divisions>2</divisions><time><beats>4</beats><beat-type>4</beat-type></time></attributes>"

	chart := mustSheet(t, sheet(m("1", four+majors("C")+held("2"))+m("2", majors("D")+held("8"))+m("3", majors("E")+held("6"))))
	assert.Equal(t, "D:4 | E:4", playedBars(t, chart), "a pick-up, which the last measure leaves room for")
	assert.Equal(t, int64(960), chart.Pickup)
	assert.Equal(t, []string{"part P1, measure 1 (line 1, column 77): the first measure is not full: it is read as a pick-up"}, remarksOf(chart))

	chart = mustSheet(t, sheet(m("1", four+majors("C")+held("8"))+m("2", majors("D")+held("4")+backward)+m("3", majors("E")+held("4"))+m("4", majors("F")+held("8"))))
	assert.Equal(t, "C:4 | D:2 | C:4 | D:2 | E:2 | F:4", playedBars(t, chart))
	assert.Equal(t, []string{"part P1, measure 2 (line 1, column 325): the notes here make a bar of 2/4 and in 1 more measure and not of the time signature: it is read so"}, remarksOf(chart))

	chart = mustSheet(t, sheet(m("1", div+majors("C")+held("6"))+m("2", majors("D")+held("6"))+m("3", majors("E")+held("6"))))
	assert.Equal(t, "3/4", chart.Meter.String())
	assert.Equal(t, []string{"part P1, measure 1 (line 1, column 77): no time signature: the notes make bars of 3/4"}, remarksOf(chart))

	cut := "<attributes><divisions>4</divisions><time><beats>2</beats><beat-type>2</beat-type></time></attributes>"
	chart = mustSheet(t, sheet(m("1", cut+majors("C")+held("15")+majors("D")+held("1"))))
	assert.Equal(t, "C:1.875 D:0.125", playedBars(t, chart), "a sixteenth in 2/2")
	assert.Equal(t, playedBars(t, chart), playedBars(t, mustParse(t, chart.String())))

	mixed := "<attributes><time><beats>2</beats><beat-type>4</beat-type><beats>3</beats><beat-type>8</beat-type></time></attributes>"
	assert.Equal(t, "7/8", mustSheet(t, sheet(m("1", mixed+majors("C")))).Meter.String())
}
