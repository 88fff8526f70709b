package display

import (
	"bytes"
	"errors"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/require"

	"shedlight/analyse/harmony"
	"shedlight/analyse/tone"
)

// sheetOf is the family of a chord in the scale that goes with it.
func sheetOf(t *testing.T, symbol string, v harmony.Voicing) FamilySheet {
	t.Helper()
	parsed, err := harmony.ParseSymbol(symbol)
	require.NoError(t, err)
	keys, err := parsed.Chord.Voice(v, 0)
	require.NoError(t, err)
	choices := harmony.ScalesFor(parsed.Chord, harmony.Chord{})
	family, err := harmony.Expand(choices[0].Scale, keys)
	require.NoError(t, err)
	sheet := FamilySheet{Chord: parsed.Chord, Voicing: v.String(), Reason: choices[0].Reason, Family: family}
	for _, c := range choices[1:] {
		if c.Missing == 0 {
			sheet.Others = append(sheet.Others, c.Scale)
		}
	}
	return sheet
}

// spread is a family of a voicing that is too wide to be drawn beside the text.
func spread(t *testing.T, voicing string) FamilySheet {
	t.Helper()
	sheet := sheetOf(t, "Bb6", harmony.Close)
	keys, err := harmony.ParseVoicing(voicing)
	require.NoError(t, err)
	sheet.Voicing = "as given"
	sheet.Family, err = harmony.Expand(sheet.Family.Scale, keys)
	require.NoError(t, err)
	return sheet
}

func TestFamilySheets(t *testing.T) {
	for _, c := range []struct {
		file  string
		sheet FamilySheet
		o     Options
	}{
		{"family-c6", sheetOf(t, "C6", harmony.Close), Options{}},
		{"family-cmaj7", sheetOf(t, "Cmaj7", harmony.Close), Options{}},
		{"family-ebmaj7", sheetOf(t, "Ebmaj7", harmony.Close), Options{}},
		{"family-ebmaj7-in-bb", sheetOf(t, "Ebmaj7", harmony.Close), Options{Written: tone.InBFlat}},
		{"family-fsharpm7-ascii", sheetOf(t, "F#m7", harmony.Close), Options{ASCII: true}},
		{"family-g7b9", sheetOf(t, "G7b9", harmony.Close), Options{}},
		{"family-bm7b5-drop2", sheetOf(t, "Bm7b5", harmony.Drop2), Options{}},
		{"family-db7alt-rootless", sheetOf(t, "Db7alt", harmony.Rootless), Options{}},
		{"family-bbm6-drop24", sheetOf(t, "Bbm6", harmony.Drop2And4), Options{}},
		{"family-spread", spread(t, "Eb2 Bb2 G4 D5 F5"), Options{}},
		{"family-too-wide-to-draw", spread(t, "Bb1 F2 G6 D7"), Options{}},
	} {
		t.Run(c.file, func(t *testing.T) {
			var b bytes.Buffer
			require.NoError(t, WriteFamily(&b, c.sheet, c.o))
			golden(t, c.file+".txt", b.String())
			narrow(t, b.String(), c.o)
		})
	}
}

// narrow checks what every page keeps to.
func narrow(t *testing.T, page string, o Options) {
	t.Helper()
	require.True(t, strings.HasSuffix(page, "\n"))
	for row := range strings.Lines(page) {
		row = strings.TrimSuffix(row, "\n")
		require.LessOrEqual(t, width(row), pageWidth, row)
		require.Equal(t, strings.TrimRight(row, " "), row, "no spaces at the end of a row")
	}
	if o.ASCII {
		for _, r := range page {
			require.Less(t, r, rune(utf8.RuneSelf))
		}
	}
}

// Every usual chord on every root, at every written pitch: the page stays
// within 80 columns and shows each key once.
func TestFamilySheetInAllKeys(t *testing.T) {
	for _, kind := range []string{"6", "maj7", "m7", "m6", "m(maj7)", "7", "7b9", "9", "m7b5", "dim7", "7alt", "13"} {
		for class := range tone.All.Each() {
			for written := tone.InC; written <= tone.InF; written++ {
				sheet := sheetOf(t, class.Name().String()+kind, harmony.Close)
				var b bytes.Buffer
				require.NoError(t, WriteFamily(&b, sheet, Options{Written: written}))
				narrow(t, b.String(), Options{})
				pressed := 0
				for _, st := range sheet.Family.Steps {
					pressed += len(st.Keys)
				}
				require.Equal(t, pressed, strings.Count(b.String(), "●"), b.String())
			}
		}
	}
}

// At written pitch the same sheet comes out as a player of that instrument gets
// it from the written chord, except for the octave of the keys.
func TestFamilyAtWrittenPitch(t *testing.T) {
	moved, err := speller{written: tone.InEFlat}.family(sheetOf(t, "Ebmaj7", harmony.Close).Family)
	require.NoError(t, err)
	require.Equal(t, "C major sixth-diminished", moved.Scale.String())
	require.Equal(t, []uint8{60, 64, 67, 71}, moved.Steps[0].Keys, "a major sixth up: Eb3 sounds, C4 is written")

	high, err := harmony.ParseVoicing("C8 E8 G8")
	require.NoError(t, err)
	top, err := harmony.Expand(harmony.NewScale(harmony.MajorSixth, tone.Name{}), high)
	require.NoError(t, err)
	moved, err = speller{written: tone.InF}.family(top)
	require.NoError(t, err)
	require.Equal(t, []uint8{103, 107, 110}, moved.Steps[0].Keys, "where a fifth up leaves the keyboard, a fourth down")
}

func TestChordAtWrittenPitch(t *testing.T) {
	for _, c := range []struct {
		symbol  string
		written tone.Instrument
		want    string
	}{
		{"Ebmaj7", tone.InBFlat, "Fmaj7"},
		{"G#m7", tone.InC, "G#m7"},
		{"E7/G#", tone.InEFlat, "C#7/E#"},
		{"F#7/A#", tone.InEFlat, "Eb7/G"}, // D#7 over F## is read as Eb7 over G
		{"C/F#", tone.InF, "G/C#"},
		{"N.C.", tone.InBFlat, "N.C."},
	} {
		parsed, err := harmony.ParseSymbol(c.symbol)
		require.NoError(t, err)
		got := speller{written: c.written}.chord(parsed.Chord)
		require.Equal(t, c.want, got.Symbol(), c.symbol)
	}
}

func TestSymbolsAsTheyStand(t *testing.T) {
	s := speller{}
	for text, want := range map[string]string{
		"G#m7b5": "G♯m7♭5", "Bb7(b9)/D": "B♭7(♭9)/D", "C6/9": "C6/9", "N.C.": "N.C.", "F# minor": "F♯ minor", "D7(G7)": "D7(G7)",
	} {
		require.Equal(t, want, s.symbol(text))
	}
}

// The dim half is spelled from the scale, whichever tone it is named by: no Ab
// between G sharps (common practice).
func TestDimHalfKeepsTheScaleSpelling(t *testing.T) {
	family := sheetOf(t, "A6", harmony.Close).Family
	names := NameFamily(family, harmony.Chord{})
	for i, st := range family.Steps {
		if st.Half == harmony.DimHalf {
			require.Contains(t, names[i].Tones, tone.Name{Letter: 4, Alter: 1})
		}
	}
}

func TestFamilyTellsWriteErrors(t *testing.T) {
	require.True(t, errors.Is(WriteFamily(&failing{}, sheetOf(t, "C6", harmony.Close), Options{}), errFull))
}

func TestBlackKeys(t *testing.T) {
	var row strings.Builder
	for key := uint8(60); key < 72; key++ {
		if black(key) {
			row.WriteByte('b')
		} else {
			row.WriteByte('w')
		}
	}
	require.Equal(t, "wbwbwwbwbwbw", row.String())
}

// The family of a usual chord is seen whole on a screen of 80 by 24, the row of
// the prompt below it, and no chord has more than two other names.
func TestAFamilyFitsOnOneScreen(t *testing.T) {
	for _, kind := range []string{"", "6", "m6", "maj7", "m7", "7", "m7b5", "dim7", "m(maj7)", "7b5", "7b9", "maj7#11", "9", "m9", "6/9"} {
		for class := range tone.All.Each() {
			for v := harmony.Close; v <= harmony.RootlessSeventh; v++ {
				parsed, err := harmony.ParseSymbol(class.Name().String() + kind)
				require.NoError(t, err)
				keys, err := parsed.Chord.Own().Voice(v, 0)
				if err != nil {
					continue // a triad has no third or fourth voice to drop
				}
				for _, c := range harmony.ScalesFor(parsed.Chord, harmony.Chord{}) {
					family, err := harmony.Expand(c.Scale, keys)
					if err != nil {
						continue
					}
					var b bytes.Buffer
					sheet := FamilySheet{Chord: parsed.Chord, Voicing: v.String(), Reason: c.Reason, Family: family}
					require.NoError(t, WriteFamily(&b, sheet, Options{}))
					require.LessOrEqual(t, strings.Count(b.String(), "\n"), pageRows-1, b.String())
					break
				}
			}
		}
	}
}
