package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"errors"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/changes"
	"shedlight/analyse/harmony"
	"shedlight/analyse/timebase"
	"shedlight/analyse/tone"
	"shedlight/cmd/shedlight/internal/settings"
	"shedlight/cmd/shedlight/internal/usage"
	"shedlight/display"
	"shedlight/listen/smf"
)

// called runs a subcommand and returns what it printed and its exit code.
func called(t *testing.T, command interface{ Run(*program) error }) (out, messages string, code int) {
	t.Helper()
	file, err := os.Create(filepath.Join(t.TempDir(), "out"))
	require.NoError(t, err)
	defer file.Close()
	var said bytes.Buffer
	p := &program{out: file, messages: &said}
	code = p.exitCode(command.Run(p))
	text, err := os.ReadFile(file.Name())
	require.NoError(t, err)
	return string(text), said.String(), code
}

func expanded(t *testing.T, c expandCommand) familyJSON {
	t.Helper()
	c.JSON = true
	out, messages, code := called(t, &c)
	require.Equal(t, exitDone, code, messages)
	var f familyJSON
	require.NoError(t, json.Unmarshal([]byte(out), &f))
	return f
}

func names(f familyJSON) []string {
	var out []string
	for _, st := range f.Steps {
		out = append(out, st.Name)
	}
	return out
}

// The fields that scripts rely on, by name and kind of value.
func TestExpandJSONIsTheContract(t *testing.T) {
	out, _, code := called(t, &expandCommand{Chord: "Ebmaj7", JSON: true})
	require.Equal(t, exitDone, code)
	var f struct {
		Scale struct {
			Name  *string   `json:"name"`
			Tones *[]string `json:"tones"`
			Pcs   *[]int    `json:"pcs"`
		} `json:"scale"`
		Steps []struct {
			Step   *int      `json:"step"`
			Tones  *[]string `json:"tones"`
			Keys   *[]int    `json:"keys"`
			Name   *string   `json:"name"`
			Others *[]string `json:"others"`
			Half   *string   `json:"half"`
		} `json:"steps"`
	}
	require.NoError(t, json.Unmarshal([]byte(out), &f))
	require.Equal(t, 1, strings.Count(out, "\n"), "one object on one line")
	require.Equal(t, "Eb major sixth-diminished", *f.Scale.Name)
	require.Equal(t, strings.Fields("Eb F G Ab Bb Cb C D"), *f.Scale.Tones)
	require.Equal(t, []int{3, 5, 7, 8, 10, 11, 0, 2}, *f.Scale.Pcs)
	require.Len(t, f.Steps, 8)
	for i, st := range f.Steps {
		require.Equal(t, i+1, *st.Step)
		require.NotNil(t, *st.Others)
		require.Contains(t, []string{"home", "dim", "mixed"}, *st.Half)
		require.Len(t, *st.Keys, 4)
		for j, name := range *st.Tones {
			n, err := tone.ParseName(name)
			require.NoError(t, err)
			require.Equal(t, int(n.Class()), (*st.Keys)[j]%12)
		}
	}
}

// What a root-position major seventh becomes on its way up the major
// sixth-diminished scale of its root (common practice), in all keys.
func TestMajorSeventhUpItsScale(t *testing.T) {
	for class := range tone.All.Each() {
		f := expanded(t, expandCommand{Chord: class.Name().String() + "maj7"})
		for step, want := range map[int]harmony.Formula{
			1: harmony.FormulaOf(harmony.One, harmony.Three, harmony.Five, harmony.Seven),
			2: harmony.FormulaOf(harmony.One, harmony.FlatThree, harmony.FlatFive, harmony.FlatSeven),
			3: harmony.FormulaOf(harmony.One, harmony.FlatThree, harmony.Four, harmony.FlatSeven),
			4: harmony.FormulaOf(harmony.One, harmony.FlatThree, harmony.FlatFive, harmony.Seven),
			7: harmony.FormulaOf(harmony.One, harmony.FlatThree, harmony.Five, harmony.Seven),
			8: harmony.FormulaOf(harmony.One, harmony.FlatThree, harmony.FlatFive, harmony.FlatSeven),
		} {
			read, err := harmony.ParseSymbol(f.Steps[step-1].Name)
			require.NoError(t, err)
			require.Equal(t, want, read.Chord.Formula, "%s, step %d: %s", f.Chord, step, f.Steps[step-1].Name)
			require.Equal(t, f.Scale.Pcs[step-1], int(read.Chord.Root.Class()), "on the step's own tone")
		}
	}
}

func TestExpandFamilies(t *testing.T) {
	for _, c := range []struct {
		call  expandCommand
		scale string
		want  string // first names, a bar between
	}{
		{expandCommand{Chord: "C6"}, "C major sixth-diminished",
			"C6|Ddim7|C6/E|Fdim7|C6/G|Abdim7|Am7|Bdim7"},
		{expandCommand{Chord: "Bm7b5"}, "D minor sixth-diminished",
			"Bm7b5|C#dim7|Dm6|Edim7|Dm6/F|Gdim7|Dm6/A|Bbdim7"},
		{expandCommand{Chord: "G7", Scale: "major", Root: "C"}, "C major sixth-diminished",
			"G7|Abmaj7#5|Dm(add#11)/A|Em(add11)/B|Fm(add#11)/C|D7sus4|E7|Fmaj7"},
		{expandCommand{Chord: "C6", Voicing: "A3 C4 E4 G4"}, "C major sixth-diminished",
			"Am7|Bdim7|C6|Ddim7|C6/E|Fdim7|C6/G|Abdim7"},
		{expandCommand{Chord: "C6", Inversion: 1}, "C major sixth-diminished",
			"C6/E|Fdim7|C6/G|Abdim7|Am7|Bdim7|C6|Ddim7"},
	} {
		f := expanded(t, c.call)
		require.Equal(t, c.scale, f.Scale.Name)
		require.Equal(t, c.want, strings.Join(names(f), "|"))
	}
}

// Dropped voices lie where pianists put them: of C E G A the second from the
// top an octave down, and so on (common practice).
func TestExpandDrops(t *testing.T) {
	for drop, want := range map[string]string{"2": "C G A E", "3": "C A E G", "24": "C G E A"} {
		f := expanded(t, expandCommand{Chord: "C6", Drop: drop})
		require.Equal(t, strings.Fields(want), f.Steps[0].Tones, "drop %s", drop)
		require.IsIncreasing(t, f.Steps[0].Keys)
	}
}

// The orders of --form, in every spelling of the flag (common practice).
func TestExpandForms(t *testing.T) {
	for _, c := range [][3]string{
		{"Cmaj7", "shell", "C E B"}, {"Cmaj7", "1-3-7", "C E B"}, {"Cmaj7", "1-7-3", "C B E"},
		{"Cmaj7", "rootless", "E G B D"}, {"Cmaj9", "3-5-7-9", "E G B D"}, {"Cmaj7", "7-9-3-5", "B D E G"},
		{"G7", "rootless", "B E F A"}, {"G9", "7-9-3-5", "F A B E"}, {"G7", "1-7-3", "G F B"},
		{"C6", "rootless", "E G A D"}, {"Cm6", "7-9-3-5", "A D Eb G"}, {"Bm7b5", "shell", "B D A"},
	} {
		f := expanded(t, expandCommand{Chord: c[0], Form: c[1]})
		require.Equal(t, strings.Fields(c[2]), f.Steps[0].Tones, "%s %s", c[0], c[1])
		require.IsIncreasing(t, f.Steps[0].Keys)
	}
}

// A symbol of five tones and more is moved with its own four, and says so, unless
// all are asked for (common practice).
func TestExpandMovesTheChordsOwnFour(t *testing.T) {
	for _, c := range []struct {
		call         expandCommand
		moved, tones string
	}{
		{expandCommand{Chord: "G9"}, "G7", "G B D F"},
		{expandCommand{Chord: "G9", Full: true}, "", "G B D F A"},
		{expandCommand{Chord: "G13", Full: true}, "", "G B D F A E"},
		{expandCommand{Chord: "C7(b9,#9)"}, "C7(no5,b9)", "C E Bb Db"}, // no scale holds it with its fifth
		{expandCommand{Chord: "C6/9", Drop: "2"}, "C6", "C G A E"},
		{expandCommand{Chord: "Bbmaj7#11"}, "Bbmaj7", "Bb D F A"},
		{expandCommand{Chord: "Dm7/G"}, "", "G D F A C"},
		{expandCommand{Chord: "Dm9", Form: "rootless"}, "", "F A C E"},
	} {
		f := expanded(t, c.call)
		require.Equal(t, c.moved, f.Moved, c.call.Chord)
		require.Equal(t, strings.Fields(c.tones), f.Steps[0].Tones, "%+v", c.call)
	}
	out, _, _ := called(t, &expandCommand{Chord: "G9", Look: settings.Look{ASCII: true}})
	require.Contains(t, out, "G9 as G7, close, up D minor sixth-diminished\n")
}

// What a player calls a voicing comes before a name that no lead sheet shows
// (common practice).
func TestExpandSaysFirstNamesFirst(t *testing.T) {
	for _, c := range []struct{ chord, voicing, name, others, lack string }{
		{"G7", "B3 F4 A4", "G9(no1,no5)/B", "G9 F(b5)/B", "G D"},
		{"G7", "F3 A3 B3 E4", "G13(no1,no5)/F", "G13 Fmaj7b5 Dm6/9 Db7#5(#9)", "G D"},
		{"G7", "F3 G3 C4 D4", "G7sus4/F", "", ""},
		{"C6", "E3 G3 B3 D4", "Em7", "", ""},
	} {
		st := expanded(t, expandCommand{Chord: c.chord, Voicing: c.voicing, Scale: "major", Root: "C"}).Steps[0]
		require.Equal(t, c.name, st.Name)
		if c.others != "" {
			require.ElementsMatch(t, strings.Fields(c.others), st.Others, c.name)
			require.Equal(t, strings.Fields(c.lack), st.Lacking[0], c.name)
		}
	}
	out, _, _ := called(t, &expandCommand{Chord: "G7", Voicing: "B3 F4 A4", Look: settings.Look{ASCII: true}})
	require.Contains(t, out, " 1 G9 rootless")
}

// Which scale is taken, and what is said of it.
func TestExpandChoosesTheScale(t *testing.T) {
	for _, c := range []struct {
		call  expandCommand
		scale string
		said  string
	}{
		{expandCommand{Chord: "G7"}, "D minor sixth-diminished", ""},
		{expandCommand{Chord: "G7b9"}, "C major sixth-diminished", ""},
		{expandCommand{Chord: "Cmaj7#11"}, "G major sixth-diminished", ""},
		{expandCommand{Chord: "G7", Root: "C"}, "C major sixth-diminished", ""},
		{expandCommand{Chord: "G7", Scale: "seventh"}, "G dominant seventh-diminished", ""},
		{expandCommand{Chord: "G7b9", Scale: "major"}, "C major sixth-diminished", "G6 dim has no F and no Ab: C6 dim has"},
		{expandCommand{Chord: "C7(b9,#9)"}, "Db minor sixth-diminished", "G is left out"},
		{expandCommand{Chord: "G7", Voicing: "F3 B3 Eb4 G4"}, "C minor sixth-diminished", "Dm6 dim has no Eb: Cm6 dim has"},
		{expandCommand{Chord: "Cdim"}, "Db major sixth-diminished", "Cdim is read as C Eb Gb A; if you mean C Eb Gb say Cm(b5)"},
		{expandCommand{Chord: "D7(G7)"}, "A minor sixth-diminished", "also offers G7"},
	} {
		c.call.JSON = true
		out, said, code := called(t, &c.call)
		require.Equal(t, exitDone, code, said)
		var f familyJSON
		require.NoError(t, json.Unmarshal([]byte(out), &f))
		require.Equal(t, c.scale, f.Scale.Name, c.call.Chord)
		if c.said == "" {
			require.Empty(t, said)
		}
		require.Contains(t, said, c.said)
	}
}

func TestExpandRefuses(t *testing.T) {
	for _, c := range []struct {
		call expandCommand
		want string
	}{
		{expandCommand{Chord: "Hx7z"}, "column"},
		{expandCommand{Chord: "N.C."}, "no chord to expand"},
		{expandCommand{Chord: "C6", Scale: "blue"}, "expected major, minor, seventh or seven-flat-five"},
		{expandCommand{Chord: "C6", Root: "Q"}, "--root"},
		{expandCommand{Chord: "C6", Root: "F#"}, "no scale on F#"},
		{expandCommand{Chord: "Cmaj7", Scale: "minor"}, "E4 is not in C minor sixth-diminished"},
		{expandCommand{Chord: "Cmaj7", Scale: "minor"}, "try --scale major --root C"},
		{expandCommand{Chord: "Bb6", Voicing: "Bb3 D4 E4"}, "E4 is not in Bb major sixth-diminished"},
		{expandCommand{Chord: "Bb6", Voicing: "C4 C#4 D4 D#4"}, "no sixth-diminished scale holds all these notes"},
		{expandCommand{Chord: "Bb6", Voicing: "Bb3 D"}, "column 5"},
		{expandCommand{Chord: "Bb6", Voicing: "Bb3"}, "a voicing of 1 notes"},
		{expandCommand{Chord: "Bb6", Voicing: "Bb3 D4", Drop: "2"}, "cannot go with"},
		{expandCommand{Chord: "Bb6", Drop: "2", Form: "shell"}, "choose one"},
		{expandCommand{Chord: "Bb6", Drop: "5"}, "expected 2, 3 or 24"},
		{expandCommand{Chord: "Bb6", Form: "spread"}, "expected shell, 1-3-7, 1-7-3, rootless, 3-5-7-9 or 7-9-3-5"},
		{expandCommand{Chord: "Bb6", Form: "shell", Full: true}, "choose one"},
		{expandCommand{Chord: "Bb6", Form: "1-7-3", Inversion: 1}, "says the order of the voices"},
		{expandCommand{Chord: "Bb6", Voicing: "Bb3 D4", Full: true}, "cannot go with"},
		{expandCommand{Chord: "C5", Form: "rootless"}, "expected a fuller chord"},
		{expandCommand{Chord: "Bb6", Inversion: 9}, "inversion 9"},
		{expandCommand{Chord: "C5", Drop: "24"}, "expected a fuller chord"},
	} {
		out, said, code := called(t, &c.call)
		require.Equal(t, exitUsage, code, said)
		require.Empty(t, out)
		require.Contains(t, said, c.want)
		require.Equal(t, 1, strings.Count(said, "\n"), "one line: %s", said)
	}
}

// A family where no musician has a name: the notes stand for it.
func TestExpandNamesClustersByTheirNotes(t *testing.T) {
	f := expanded(t, expandCommand{Chord: "C6", Voicing: "G4 Ab4 A4 B4"})
	require.Equal(t, "G Ab A B", f.Steps[0].Name)
}

func TestExpandWrittenPitchIsForReadingOnly(t *testing.T) {
	concert := expanded(t, expandCommand{Chord: "Ebmaj7"})
	require.Equal(t, concert, expanded(t, expandCommand{Chord: "Ebmaj7", Look: settings.Look{Written: "Bb"}}))
	out, _, code := called(t, &expandCommand{Chord: "Ebmaj7", Look: settings.Look{Written: "Bb", ASCII: true}})
	require.Equal(t, exitDone, code)
	require.Contains(t, out, "Fmaj7, close, up F major sixth-diminished\nat written pitch for an instrument in Bb\n")
}

// The MIDI file says what the JSON says: same keys, same names, a half note
// each, at 100.
func TestExpandWritesAMIDIFile(t *testing.T) {
	path := filepath.Join(t.TempDir(), "family.mid")
	f := expanded(t, expandCommand{Chord: "Ebmaj7", Drop: "2", MIDI: path})

	file, err := smf.ReadFile(path)
	require.NoError(t, err)
	require.Empty(t, file.Damage)
	require.Equal(t, "Ebmaj7 up Eb major sixth-diminished", file.Tracks[0].Name)
	const half = 2 * timebase.Quarter
	require.Equal(t, int64(8*half), file.End())

	var want, got []analyse.Event
	for i, st := range f.Steps {
		for _, k := range st.Keys {
			want = append(want, analyse.Event{Tick: int64(i) * half, Kind: analyse.NoteOn, Key: uint8(k)})
		}
		for _, k := range st.Keys {
			want = append(want, analyse.Event{Tick: int64(i+1) * half, Kind: analyse.NoteOff, Key: uint8(k)})
		}
	}
	for _, e := range slices.Collect(file.Stream(smf.Selection{})) {
		switch e.Kind {
		case analyse.NoteOn, analyse.NoteOff:
			e.Velocity = 0
			got = append(got, e)
		case analyse.Tempo:
			require.Equal(t, int64(600_000), e.Value)
		}
	}
	require.Equal(t, want, got)
	var markers []string
	for e := range file.Events(&file.Tracks[0]) {
		if e.Status == smf.StatusMeta && e.Type == smf.MetaMarker {
			markers = append(markers, string(e.Data))
		}
	}
	require.Equal(t, names(f), markers)
}

func TestExpandNeverOverwrites(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "family.mid")
	require.NoError(t, os.WriteFile(path, []byte("mine"), 0o600))
	out, said, code := called(t, &expandCommand{Chord: "C6", MIDI: path})
	require.Equal(t, exitFailed, code)
	require.Contains(t, said, "is left alone")
	require.Empty(t, out)
	kept, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, "mine", string(kept))

	_, said, code = called(t, &expandCommand{Chord: "C6", MIDI: filepath.Join(path, "under-a-file.mid")})
	require.Equal(t, exitFailed, code)
	require.NotEmpty(t, said)
	left, err := os.ReadDir(folder)
	require.NoError(t, err)
	require.Len(t, left, 1, "nothing half-written stays")
}

// A chart and expand read one text alike, whatever blanks and choices are in it.
func TestExpandReadsAsAChartDoes(t *testing.T) {
	for _, text := range []string{"Dm7 b5", "G7 b9", "C7 (b9, #11)", "C maj7", "G7 alt", "C / E", "E b", "B b7", "Cdim", "Co", "Csus", "C2", "C11", "H7", "C7/9+", "Cm7(5-)", "g7", "D7 (G7)"} {
		plan, err := (&expandCommand{Chord: text}).plan()
		require.NoError(t, err, text)
		chart, err := changes.Parse(strings.NewReader("| " + text + " |"))
		require.NoError(t, err, text)
		require.Equal(t, chart.Sections[0].Bars[0].Stays[0].Chord, plan.sheet.Chord, text)
	}
	for _, text := range []string{"C7sus44", "C13b9b9", "C b7", "C -"} {
		_, err := (&expandCommand{Chord: text}).plan()
		require.Error(t, err, text)
		_, err = changes.Parse(strings.NewReader("| " + text + " |"))
		require.Error(t, err, text)
	}
}

// The whole command line: flags reach the command, mistakes end with 2.
func TestExpandOnTheCommandLine(t *testing.T) {
	p := &program{messages: io.Discard}
	require.Equal(t, exitUsage, p.run([]string{"expand"}))
	require.Equal(t, exitUsage, p.run([]string{"expand", "C6", "--written", "G"}))
}

func TestExpandTellsWriteErrors(t *testing.T) {
	file, err := os.Open(os.DevNull) // open for reading only
	require.NoError(t, err)
	defer file.Close()
	for _, asJSON := range []bool{false, true} {
		var said bytes.Buffer
		err := (&expandCommand{Chord: "C6", JSON: asJSON}).Run(&program{out: file, messages: &said})
		require.Error(t, err)
		require.False(t, errors.As(err, new(usage.Error)))
	}
}

// The chord that a player typed comes back as it was typed, whatever the scale calls
// its root (common practice): every chord of testdata/theory/chord_symbols.csv on the
// seventeen roots that players write and on Cb.
func TestExpandNeverRespellsTheChord(t *testing.T) {
	t.Parallel()
	file, err := os.Open("../../testdata/theory/chord_symbols.csv")
	require.NoError(t, err)
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	require.NoError(t, err)
	typed := 0
	for _, row := range rows[1:] {
		quality, onC := strings.CutPrefix(row[0], "C")
		if !onC || row[2] != "" || row[3] == "" {
			continue // on another root, over a bass, or refused
		}
		for _, root := range strings.Fields("C C# Db D D# Eb E F F# Gb G G# Ab A A# Bb B Cb") {
			c := expandCommand{Chord: root + quality}
			plan, err := c.plan()
			require.NoError(t, err, c.Chord)
			parsed, err := harmony.ParseSymbol(c.Chord)
			require.NoError(t, err)
			want, _ := parsed.InChart() // C dim is the seventh
			f := familyObject(plan.sheet)
			symbol := want.Chord.Symbol()
			require.Equal(t, root, want.Chord.Root.String(), c.Chord)
			require.Equal(t, symbol, f.Chord, c.Chord)
			if f.Moved != "" {
				symbol = f.Moved
			}
			require.Equal(t, symbol, f.Steps[0].Name, c.Chord)
			require.NotContains(t, f.Steps[0].Others, symbol, c.Chord)
			bass, err := tone.ParseName(f.Steps[0].Tones[0])
			require.NoError(t, err)
			require.Equal(t, want.Chord.Bass, bass, "%s: the bass is written as the root", c.Chord)
			var page bytes.Buffer
			require.NoError(t, display.WriteFamily(&page, plan.sheet, display.Options{ASCII: true}))
			require.Contains(t, page.String(), "\n 1 "+symbol+" ", c.Chord)
			typed++
		}
	}
	require.Greater(t, typed, 2000)
}

// What is part of the typed chord keeps its letters too, and another chord its own
// (common practice).
func TestExpandKeepsTheLettersOfTheChord(t *testing.T) {
	for _, c := range []struct {
		call  expandCommand
		step  int
		name  string
		tones string
	}{
		{expandCommand{Chord: "Ebm7b5"}, 1, "Ebm7b5", "Eb Gb A Db"}, // Bbb is read as A
		{expandCommand{Chord: "Ebm7b5"}, 3, "F#m6", "F# A C# D#"},
		{expandCommand{Chord: "Ebm7b5", Form: "shell"}, 1, "Ebm7(no5)", "Eb Gb Db"},
		{expandCommand{Chord: "Ebm7b5", Form: "shell"}, 3, "Ebdim/Gb", "Gb A Eb"},
		{expandCommand{Chord: "Cbmaj7"}, 1, "Cbmaj7", "Cb Eb Gb Bb"},
		{expandCommand{Chord: "F7b5"}, 1, "F7b5", "F A Cb Eb"},
		{expandCommand{Chord: "G7alt"}, 1, "G7#5", "G B Eb F"},
		{expandCommand{Chord: "G7alt", Full: true}, 1, "G7alt", "G B Db Eb F Ab A#"},
		{expandCommand{Chord: "G7b9#9", Full: true}, 1, "G7(no5,b9,#9)", "G B F Ab A#"}, // D is left out, and said to be
		{expandCommand{Chord: "Ddim7"}, 1, "Ddim7", "D F Ab Cb"},                        // the dim half of Eb6 dim
		{expandCommand{Chord: "C#m7/G#"}, 1, "C#m7/G#", "G# B C# E"},
	} {
		step := expanded(t, c.call).Steps[c.step-1]
		require.Equal(t, c.name, step.Name, c.call.Chord)
		require.Equal(t, c.tones, strings.Join(step.Tones, " "), "%s, step %d", c.call.Chord, c.step)
	}
}
