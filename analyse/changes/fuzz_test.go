package changes

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/require"

	"shedlight/analyse/timebase"
)

// checkRead checks what holds of anything a reader returns: an error that is
// plain text and bounded, or a chart that prints, parses back to itself and
// unrolls.
func checkRead(t *testing.T, c *Chart, err error) {
	if err != nil {
		errs, ok := err.(Errors)
		require.True(t, ok, "%T", err)
		require.LessOrEqual(t, len(errs), maxErrors)
		for _, e := range errs {
			require.Positive(t, e.Line)
			require.Positive(t, e.Column)
			for _, r := range e.Error() {
				require.True(t, unicode.IsGraphic(r), "%q", e.Error())
			}
		}
		return
	}
	text := c.String()
	back, err := Parse(strings.NewReader(text))
	require.NoError(t, err, text)
	require.Equal(t, withoutRemarks(c), withoutRemarks(back), text)
	for _, r := range c.Remarks {
		for _, sign := range r.String() {
			require.True(t, unicode.IsGraphic(sign), "%q", r.String())
		}
	}
	line, err := c.Unroll()
	require.NoError(t, err)
	checkTimeline(t, &line)
}

// withoutRemarks returns the tune alone: what is said of a text is no part of it.
func withoutRemarks(c *Chart) *Chart {
	out := c.clone()
	out.Remarks = nil
	return out
}

// addFiles seeds a fuzz test with the files of a folder.
func addFiles(f *testing.F, pattern string) {
	names, err := filepath.Glob(pattern)
	require.NoError(f, err)
	require.NotEmpty(f, names)
	for _, name := range names {
		data, err := os.ReadFile(name)
		require.NoError(f, err)
		f.Add(data)
	}
}

func FuzzParse(f *testing.F) {
	addFiles(f, filepath.Join(charts, "*.chart"))
	addFiles(f, "charts/*.chart")
	for _, text := range []string{
		"|: C |1.2. D :|3. F |: G :|", "| C . . . . G7 . F |", "{Fm} | % |", "[A] | C | {auto} % |", "key: x\n| \x1b |",
		"| Dm7 / G7 / | C / E |\nA:\n|[1. am :| x3\n| %% | # x", "Coda D.S. al Fine | C Fine | Segno (Dm7 b5) //", "| Hm7 | B | c | N. C. ./. |", "\xff\xfe|\x00C\x00|\x00", ":|x3",
		"Segno C6 | {tempo 400} % :|", "|1. :|: % |", "*2nd\n| H7 | Hb7 [B] |", "meter: 6/8\n{3/4}\n| {tempo 97} C | D.C.",
		"meter: 7/8\npickup: 2/3\n| N.C. | nc. |", "| C(b9,#11) Bbb5 D7(G7) C/E |",
	} {
		f.Add([]byte(text))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		c, err := Parse(bytes.NewReader(data))
		checkRead(t, c, err)
		if err == nil && c.HasKey {
			moved := c.Transpose(c.Key.Tonic.Transpose(1, 1))
			checkRead(t, moved, nil)
		}
	})
}

func FuzzMusicXML(f *testing.F) {
	addFiles(f, filepath.Join(sheets, "*.musicxml"))
	for _, text := range []string{
		sheet(measures("A " + forward + " | B " + first + firstEnd + " | C " + second + secEnd + ` | D <sound dacapo="yes"/>`)),
		sheet("<measure number='0' implicit='yes'>" + harmonyOf("C", "other", degree("7", "0", "add")) + "</measure>"),
	} {
		f.Add([]byte(text))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		c, err := ParseMusicXML(bytes.NewReader(data))
		checkRead(t, c, err)
	})
}

func FuzzMXL(f *testing.F) {
	addFiles(f, filepath.Join(sheets, "*.mxl"))
	f.Add(archive(f, containerName, container("a.xml"), "a.xml", sheet(measures("A | B"))))
	f.Fuzz(func(t *testing.T, data []byte) {
		c, err := ParseMXL(bytes.NewReader(data))
		checkRead(t, c, err)
	})
}

// Marks come from a file as well: one text a line, a beat apart.
func FuzzMarks(f *testing.F) {
	f.Add("Dm7\nG7\n\nC6", int64(12))
	f.Add("A\nB\nC7 b9\nbb7\nh7", int64(-1))
	f.Add("A,h\n\nB7", int64(-92)) // a German H behind a comma
	f.Add("A,h\nh", int64(-92))    // no German H: a half-diminished chord, beside one
	f.Fuzz(func(t *testing.T, text string, end int64) {
		var marks []Mark
		for i, line := range strings.Split(text, "\n") {
			marks = append(marks, Mark{Tick: int64(i) * timebase.Quarter, Text: line})
		}
		c, ok := FromMarks(marks, []MeterAt{{Meter: timebase.Meter{Num: 3, Den: 4}}}, end)
		if ok {
			checkRead(t, c, nil)
		}
	})
}
