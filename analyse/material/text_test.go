package material_test

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse/changes"
	"shedlight/analyse/material"
	"shedlight/analyse/tone"
)

// What is in neither chord nor key is written by where it goes: a letter away by a half
// step, else as the chord's own scale has it (common practice, written down first).
func TestForeignTonesAreWrittenByWhereTheyGo(t *testing.T) {
	for text, want := range map[string]string{
		"centre: F minor\n| Gm7b5: Bb4 A4 G4 F#4 F4 - - - |":  "Gm7b5: Bb4 A4 G4 Gb4 F4 - - -",
		"centre: F minor\n| Gm7b5: Eb5 F5 Gb5 G5 Bb5 - - - |": "Gm7b5: Eb5 F5 F#5 G5 Bb5 - - -",
		"centre: Eb\n| Bb7: Ab4 Bb4 C5 C#5 C5 D5 - - |":       "Bb7: Ab4 Bb4 C5 Db5 C5 D5 - -",
		"centre: C\n| Dm7: C5 Db5 D5 E5 F5 - - - |":           "Dm7: C5 C#5 D5 E5 F5 - - -",
		"centre: A minor\n| Bm7b5: C#5 A#4 A4 A#4 D5 - - - |": "Bm7b5: C#5 Bb4 A4 Bb4 D5 - - -",
		"centre: F minor\n| Db7: D#5 - - E5 Eb5 - - - |":      "Db7: Eb5 - - E5 Eb5 - - -",
		"centre: C\n| G7: F5 Db5 D5 B4 A#4 A4 G4 - |":         "G7: F5 C#5 D5 B4 Bb4 A4 G4 -",
	} {
		read, err := material.Read(strings.NewReader(text))
		require.NoError(t, err)
		require.Equal(t, want, strings.Join(read[0].Bars(), " | "))
	}
}

// text is an exercise as it is printed, no wider than so many characters.
func text(e *material.Exercise, width int) string {
	return fmt.Sprintf("centre: %s\n\n1. %s\n   %s\n   why  It is there.\n   over  C6  1 2\n", e.Key, e.Idea, strings.Join(e.Rows(width), "\n   "))
}

// What is printed is read back, note for note, chord for chord.
func TestTextIsReadBack(t *testing.T) {
	all := made()
	made, err := etudes()
	require.NoError(t, err)
	for _, e := range made {
		all = append(all, e.Exercise)
	}
	for _, e := range all {
		for _, width := range []int{40, 100} {
			back, err := material.Read(strings.NewReader(text(e, width)))
			require.NoError(t, err, text(e, width))
			require.Len(t, back, 1)
			require.Equal(t, e.Notes, back[0].Notes)
			require.Equal(t, e.Idea, back[0].Idea)
			if e.Title == "" { // of a form the sections are gone, and with them what its centres are heard by
				require.Equal(t, e.Bars(), back[0].Bars())
			}
		}
	}
}

func TestTextThatCannotBeRead(t *testing.T) {
	for given, want := range map[string]string{
		"":                                     "no music: expected bars like | C6: E4 F4 G4 Ab4 A4 - - - |",
		"la la la":                             `line 1: "la la la": expected bars, like | C6: E4 F4 G4 Ab4 A4 - - - |`,
		"| C6: E4 F4 G4 |":                     "line 1: bar 1: it has 3 eighths: a bar of 4/4 has 8",
		"| E4 - - - - - - - |":                 `line 1: bar 1: "E4": expected a chord and a colon first, like C6:`,
		"| C6: - r r r r r r r |":              `line 1: bar 1: "-" holds on to nothing: expected a note before it`,
		"| C6: H4 - - - - - - - |":             `line 1: bar 1: "H4": expected a note with its octave like Ab4, r, - or a chord with a colon`,
		"| C6: (C4 D4) - - - - - - |":          "line 1: bar 1: a bracket without three notes: expected a triplet, like (C5 A4 F4)",
		"| {3/16} C6: r |":                     "line 1: bar 1: {3/16}: expected a meter of whole eighths, like {3/4}",
		"tempo: fast\n| C6: r r r r r r r r |": `line 1: tempo "fast": expected beats a minute, 10 to 600`,
	} {
		_, err := material.Read(strings.NewReader(given))
		require.EqualError(t, err, want)
	}
}

// Whatever is read neither crashes nor takes long, and what can be read is printed and
// read the same.
func FuzzRead(f *testing.F) {
	f.Add("| C6: E4 F4 G4 Ab4 A4 - - - |")
	f.Add("title: x\nkey: F blues\ntempo: 120\n\n1. Up.\n | {3/4} G7(b9): r (C5 A4 F4) E4 Dm7: - - |\n why a\n over b")
	f.Fuzz(func(t *testing.T, given string) {
		all, err := material.Read(strings.NewReader(given))
		if err != nil {
			return
		}
		for _, e := range all {
			back, err := material.Read(strings.NewReader(fmt.Sprintf("key: %s\n%s", e.Key, strings.Join(e.Rows(60), "\n"))))
			require.NoError(t, err)
			require.Equal(t, e.Notes, back[0].Notes)
		}
	})
}

// score is what a reader of MusicXML makes of the notes: ticks, and keys by step, alter
// and octave, ties joined (MusicXML 4.0: pitch, duration, tie).
type score struct {
	Measures []struct {
		Notes []struct {
			Rest  *struct{} `xml:"rest"`
			Pitch struct {
				Step   string `xml:"step"`
				Alter  int    `xml:"alter"`
				Octave int    `xml:"octave"`
			} `xml:"pitch"`
			Duration int64      `xml:"duration"`
			Type     string     `xml:"type"`
			Dots     []struct{} `xml:"dot"`
			Actual   int64      `xml:"time-modification>actual-notes"`
			Ties     []struct {
				Type string `xml:"type,attr"`
			} `xml:"tie"`
		} `xml:"note"`
	} `xml:"part>measure"`
}

// Every note and every chord of a score is read back: the chords by our own reader, the
// notes by one that knows nothing of ours; each sign lasts what it says.
func TestMusicXMLIsReadBack(t *testing.T) {
	all, err := etudes()
	require.NoError(t, err)
	var several [][]*material.Exercise
	for _, e := range all {
		several = append(several, []*material.Exercise{e.Exercise})
	}
	several = append(several, made())
	silent := 0
	for _, of := range several {
		data := material.MusicXML(of, "shedlight")
		joined := material.Joined(of)
		chart, err := changes.ParseMusicXML(bytes.NewReader(data))
		require.NoError(t, err)
		line, err := chart.Unroll()
		require.NoError(t, err)
		require.Len(t, line.Bars, len(joined.Line.Bars))
		for _, s := range joined.Line.Slots {
			at := line.Slots[line.SlotAt(s.Start, 0)]
			require.Equal(t, s.Chord.Set(), at.Chord.Set(), "%s read as %s", s.Symbol, at.Symbol)
			require.Equal(t, s.Chord.Root, at.Chord.Root)
		}
		require.Equal(t, joined.Notes, notesOf(t, data))
		if strings.Contains(string(data), "N.C.") {
			silent++
			require.False(t, strings.Contains(string(data), `<root-step text=""`), "a root that a notation program prints")
		}
	}
	require.Positive(t, silent)
}

func notesOf(t *testing.T, data []byte) (out []material.Note) {
	var s score
	require.NoError(t, xml.Unmarshal(data, &s))
	tick := int64(0)
	for _, m := range s.Measures {
		for _, n := range m.Notes {
			lasts := map[string]int64{"whole": 3840, "half": 1920, "quarter": 960, "eighth": 480, "": n.Duration}[n.Type]
			if len(n.Dots) == 1 {
				lasts += lasts / 2
			}
			if n.Actual == 3 {
				lasts = lasts * 2 / 3
			}
			require.Equal(t, lasts, n.Duration)
			stops := false
			for _, tie := range n.Ties {
				stops = stops || tie.Type == "stop"
			}
			key := 12*(n.Pitch.Octave+1) + map[string]int{"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}[n.Pitch.Step] + n.Pitch.Alter
			switch {
			case n.Rest != nil:
			case stops:
				require.Equal(t, int(out[len(out)-1].Key), key)
				out[len(out)-1].Length += n.Duration
			default:
				out = append(out, material.Note{Tick: tick, Length: n.Duration, Key: uint8(key)})
			}
			tick += n.Duration
		}
	}
	return out
}

// Moving a line there and back changes nothing.
func TestMovedAndBack(t *testing.T) {
	for _, e := range made() {
		to := e.Key.Tonic.Transpose(2, 3)
		moved, err := e.Moved(to, 3)
		require.NoError(t, err)
		back, err := moved.Moved(e.Key.Tonic, -3)
		require.NoError(t, err)
		require.Equal(t, e.Notes, back.Notes)
		for i := range e.Notes {
			require.Equal(t, e.Degree(i), moved.Degree(i))
		}
		for _, i := range []tone.Instrument{tone.InC, tone.InBFlat, tone.InEFlat, tone.InF} {
			read, err := e.WrittenFor(i)
			require.NoError(t, err)
			concert, err := read.Concert()
			require.NoError(t, err)
			require.Equal(t, e.Notes, concert.Notes)
		}
	}
}

// What a line becomes over other chords, worked out by hand: C E G B over Am7 is
// 3 5 7 9.
func TestElsewhere(t *testing.T) {
	all, err := material.Read(strings.NewReader("centre: C\n1. Up.\n| C6: C4 E4 G4 B4 A4 - - - |"))
	require.NoError(t, err)
	var said []string
	for _, o := range all[0].Elsewhere() {
		said = append(said, o.String())
	}
	require.Equal(t, []string{"Em7  b13 1 3 5 4", "Fmaj7  5 7 9 #11 3", "Am7  3 5 7 9 1"}, said)
}
