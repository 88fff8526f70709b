package harmony

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/analyse/tone"
)

// sounding reads "E G A C" as a set with E in the bass.
func sounding(t testing.TB, notes string) (set tone.Set, bass tone.Class) {
	t.Helper()
	for i, field := range strings.Fields(notes) {
		name, err := tone.ParseName(field)
		require.NoError(t, err)
		if i == 0 {
			bass = name.Class()
		}
		set |= tone.SetOf(name.Class())
	}
	return set, bass
}

func chord(t testing.TB, symbol string) Chord {
	t.Helper()
	s, err := ParseSymbol(symbol)
	require.NoError(t, err)
	return s.Chord
}

func scaleOn(t testing.TB, kind ScaleKind, root string) Scale {
	t.Helper()
	name, err := tone.ParseName(root)
	require.NoError(t, err)
	return NewScale(kind, name)
}

// voicings are named as a jazz pianist names them: common practice throughout.
// The notes are written from the bass up; an empty name means that no musician
// has one and the notes are said.
var voicings = []struct {
	kind  string
	names map[string]string
}{
	{"two notes", map[string]string{
		"C G": "C5", "G C": "C5/G", "C E": "C(no5)", "A C": "Am(no5)", "C Bb": "", "C F#": "", "C D": "",
	}},
	{"triads and their inversions", map[string]string{
		"C E G": "C", "E G C": "C/E", "G C E": "C/G", "A C E": "Am", "C E A": "Am/C", "E A C": "Am/E",
		"B D F": "Bdim", "D F B": "Bdim/D", "C E G#": "Caug", "C F G": "Csus4", "C D G": "Csus2", "F G C": "Fsus2",
	}},
	{"sixths and minor sevenths: the bass decides", map[string]string{
		"C E G A": "C6", "E G A C": "C6/E", "G A C E": "C6/G", "A C E G": "Am7",
		"F Ab C D": "Fm6", "Ab C D F": "Fm6/Ab", "C D F Ab": "Fm6/C", "D F Ab C": "Dm7b5",
		"C E G A D": "C6/9", "A C E G D": "Am7(11)", "F Ab C D G": "Fm6/9", "C E A D": "C6/9(no5)",
	}},
	{"sevenths and their inversions", map[string]string{
		"C E G B": "Cmaj7", "E G B C": "Cmaj7/E", "G B C E": "Cmaj7/G", "B C E G": "Cmaj7/B",
		"C E G Bb": "C7", "E G Bb C": "C7/E", "G Bb C E": "C7/G", "Bb C E G": "C7/Bb",
		"C Eb G B": "Cm(maj7)", "Eb G B C": "Cm(maj7)/Eb", "Ab B D E": "E7/G#", "B D F A": "Bm7b5",
		"C Eb Gb B": "Cdim(maj7)", "C E G# B": "Cmaj7#5", "C E F# B": "Cmaj7b5", "C E Gb Bb": "C7b5",
		"Gb Bb C E": "Gb7b5", "C E G# Bb": "C7#5", "G C D F": "G7sus4", "E Ab B D": "E7",
	}},
	{"diminished sevenths: the bass is the root", map[string]string{
		"B D F Ab": "Bdim7", "D F Ab B": "Ddim7", "F Ab B D": "Fdim7", "Ab B D F": "Abdim7",
		"C# E G Bb": "C#dim7", "F# A C Eb": "F#dim7",
	}},
	{"drop 2 of Cmaj7, Dm7, G7 and Bm7b5, each on all four basses", map[string]string{
		"G C E B": "Cmaj7/G", "B E G C": "Cmaj7/B", "C G B E": "Cmaj7", "E B C G": "Cmaj7/E",
		"A D F C": "F6/A", "C F A D": "F6/C", "D A C F": "Dm7", "F C D A": "F6",
		"D G B F": "G7/D", "F B D G": "G7/F", "G D F B": "G7", "B F G D": "G7/B",
		"F B D A": "Dm6/F", "A D F B": "Dm6/A", "B F A D": "Bm7b5", "D A B F": "Dm6",
	}},
	{"drop 3 and drop 2 and 4", map[string]string{
		"E C G B": "Cmaj7/E", "D C F A": "Dm7", "C B E G": "Cmaj7", "G F B D": "G7", "Eb Bb D G": "Ebmaj7",
	}},
	{"shells: root, third and seventh", map[string]string{
		"C E B": "Cmaj7(no5)", "C B E": "Cmaj7(no5)", "C E Bb": "C7(no5)", "C Bb E": "C7(no5)",
		"C Eb Bb": "Cm7(no5)", "D F C": "Dm7(no5)", "C Eb B": "Cm(maj7)(no5)", "Bb D A": "Bbmaj7(no5)",
		"G B F": "G7(no5)", "Eb G D": "Ebmaj7(no5)", "E Bb C": "C7(no5)/E",
	}},
	{"ninths and thirteenths", map[string]string{
		"C E G B D": "Cmaj9", "C E G Bb D": "C9", "C Eb G Bb D": "Cm9", "D F A C E G": "Dm11",
		"C E G Bb Db": "C7b9", "C E G Bb D#": "C7#9", "C E Bb D#": "C7#9(no5)", "C E Bb D A": "C13(no5)",
		"C E G Bb D A": "C13", "C E G Bb D F# A": "C13#11", "F A C E G B": "Fmaj9(#11)", "C E G Bb F#": "C7#11",
		"C E G Bb Ab": "C7b13", "C E G Bb Db Ab": "C7b9b13", "C E G Bb Db A": "C7b9(13)", "C Eb G B D": "Cm(maj9)",
		"E G Bb C D": "C9/E", "D F Ab C G": "Dm7b5(11)", "C E G D": "C(add9)", "E G C D": "C(add9)/E",
		"C Eb G D": "Cm(add9)", "C E Bb D": "C9(no5)", "C Eb Bb D": "Cm9(no5)", "C E B D": "Cmaj9(no5)",
	}},
	{"altered dominants", map[string]string{
		"C E G# Bb D#": "C7#9#5", "C E Gb Bb Db": "C7b9b5", "C E G# Bb Db": "C7b9#5", "G B F Ab D": "G7b9",
	}},
	{"suspended", map[string]string{
		"G A C D F": "G9sus4", "G C D F E": "G7sus4(13)", "G A C D E F": "G13sus4", "G Ab C D F": "G7sus4b9",
		"G C F": "G7sus4(no5)", "C F G D": "Csus4(add9)", "D G A C": "D7sus4",
	}},
	{"fourths stacked", map[string]string{
		"D G C F": "Dm7(11)(no5)", "E A D G": "Em7(11)(no5)", "D G C F A": "Dm7(11)", "E A D G B": "Em7(11)",
		"C F Bb": "C7sus4(no5)", "F B E A": "Fmaj7b5", "E A D G C": "C6/9/E", "E A D": "E7sus4(no5)", "D G C": "D7sus4(no5)",
	}},
	{"triads over a foreign bass, upper structures", map[string]string{
		"F# C E G": "C/F#", "F C E G": "C/F", "E F A C": "Fmaj7/E", "C D F# A": "D7/C", "Ab C E G": "Abmaj7#5",
		"E F Ab B": "E(addb9)", "G F A C": "F(add9)/G", "Eb E G B": "Em(maj7)/D#", "B F A C": "F/B", "G# A C E": "Am(maj7)/G#", "C Gb Bb Db": "Gb/C",
		"C E Bb F# A D": "C9b5(13)", "C E Bb Eb Ab": "C7#9#5", "C E Bb Db F# A": "C7b9b5(13)", "C Bb D F": "Bb(add9)/C",
	}},
	{"clusters and scales", map[string]string{
		"C Db D Eb": "", "C D E F": "", "E F G Ab": "", "F F# G": "", "C D E F G Ab A B": "", "C D E F# G# A#": "C9b5#5",
	}},
}

func TestVoicingsAsAPianistNamesThem(t *testing.T) {
	count := 0
	for _, group := range voicings {
		t.Run(group.kind, func(t *testing.T) {
			for notes, want := range group.names {
				count++
				set, bass := sounding(t, notes)
				got, ok := NameChord(set, bass)
				if want == "" {
					assert.False(t, ok, "%s: no name, got %s", notes, got.Symbol())
					continue
				}
				assert.True(t, ok, notes)
				assert.Equal(t, chord(t, want), got, "%s: want %s, got %s", notes, want, got.Symbol())
			}
		})
	}
	const least = 120
	assert.GreaterOrEqual(t, count, least)
}

// Readings of voicings without root or fifth, common practice: forms A and B of
// the left hand on two-five-one, and what dim chords stand for.
func TestRootlessAndShellReadings(t *testing.T) {
	for _, c := range []struct {
		notes   string
		reading Reading
		symbol  string
	}{
		{"F A C E", ReadRootless, "Dm9"},
		{"C E F A", ReadRootless, "Dm9"},
		{"F A B E", ReadRootless, "G13"},
		{"B E F A", ReadRootless, "G13"},
		{"E G B D", ReadRootless, "Cmaj9"},
		{"B D E G", ReadRootless, "Cmaj9"},
		{"E A B D", ReadRootless, "Cmaj13"},
		{"E G A D", ReadRootless, "C6/9"},
		{"F Ab C E", ReadRootless, "Dm9b5"},
		{"B D F Ab", ReadRootless, "G7b9"},
		{"F Ab B E", ReadRootless, "G13b9"},
		{"B D F A", ReadRootless, "G9"},
		{"F B", ReadRootless, "G7"},
		{"F B", ReadRootless, "Db7"},
		{"F Ab C", ReadRootless, "Dm7b5"},
		{"C E G", ReadRootless, "Am7"},
		{"F# Bb C F", ReadRootless, "D7#9#5"},
		{"C F Bb Eb", ReadRootless, "Ab6/9"},
		{"C E B", ReadShell, "Cmaj7"},
		{"C Bb", ReadShell, "C7"},
		{"C Bb", ReadShell, "Cm7"},
		{"C B", ReadShell, "Cmaj7"},
		{"D F C", ReadShell, "Dm7"},
		{"C E Bb D#", ReadShell, "C7#9"},
	} {
		set, bass := sounding(t, c.notes)
		want := chord(t, c.symbol)
		var found []string
		hit := false
		for _, r := range Readings(set, bass, UsualRoots()) {
			found = append(found, r.Reading.String()+" "+r.Chord.Symbol())
			hit = hit || r.Reading == c.reading && r.Chord == want
		}
		assert.True(t, hit, "%s: want %s %s among %v", c.notes, c.reading, c.symbol, found)
	}
}

// What moving a chord up a scale step by step is called; the lists are those of
// the sixth-diminished system, common practice. The first name is the first.
func TestFamiliesByName(t *testing.T) {
	for _, c := range []struct {
		kind   ScaleKind
		places []int // of the first chord in the scale on C, bass first
		names  string
	}{
		{MajorSixth, []int{0, 2, 4, 6}, "C6 Ddim7 C6/E Fdim7 C6/G Abdim7 Am7 Bdim7"},
		{MajorSixth, []int{0, 2, 4, 7}, "Cmaj7 Dm7b5 Em7(11)(no5) Fdim(maj7) F(add9)/G Abdim(maj7) Am(maj7) Bm7b5"},
		{MajorSixth, []int{3, 6, 0, 2}, "Fmaj7 G7 Abmaj7#5 Dm(add#11)/A Em(add11)/B Fm(add#11)/C D7sus4 E7"},
		{MajorSixth, []int{1, 3, 6, 0}, "Dm7 Em7 Fm(maj7) Dm(add11)/G E(add#9)/G# F(add#9)/A G(add9)/B Cmaj7#5"},
		{MinorSixth, []int{0, 2, 4, 7}, "Cm(maj7) Dm7b5 Ebmaj7b5 Fm7b5 F(add9)/G Abdim(maj7) Adim(maj7) Bm7b5"},
		{MinorSixth, []int{0, 2, 4, 6}, "Cm6 Ddim7 Cm6/Eb Fdim7 Cm6/G Abdim7 Am7b5 Bdim7"},
		{DominantSeventh, []int{0, 2, 4, 6}, "C7 Ddim7 C7/E Fdim7 C7/G Abdim7 C7/Bb Bdim7"},
		{MajorSixth, []int{0, 2, 7}, "Cmaj7(no5) Dm7(no5) Em7(no5) Fm(maj7)(no5) F(add9)(no5)/G Abm(maj7)(no5) Am(maj7)(no5) Bm7(no5)"},
	} {
		s := scaleOn(t, c.kind, "C")
		tones := s.Tones()
		for step, want := range strings.Fields(c.names) {
			var set tone.Set
			for _, place := range c.places {
				set |= tone.SetOf(tones[(place+step)%8].Class())
			}
			got, ok := NameChordIn(set, tones[(c.places[0]+step)%8].Class(), RootsIn(s))
			assert.True(t, ok)
			assert.Equal(t, chord(t, want), got, "%s step %d: want %s, got %s", s, step+1, want, got.Symbol())
		}
	}
}

// A root takes the accidental of the key, and a bass that of its chord: common
// practice.
func TestSpellingFollowsTheKey(t *testing.T) {
	for _, c := range []struct {
		notes, key string
		kind       ScaleKind
		want       string
	}{
		{"Gb Bb Db Fb", "F", MajorSixth, "Gb7"},
		{"F# A# C# E", "B", MajorSixth, "F#7"},
		{"F# A C E", "G", MajorSixth, "F#m7b5"},
		{"Gb Bb Db F", "Db", MajorSixth, "Gbmaj7"},
		{"C# E G Bb", "C", MajorSixth, "C#dim7"},
		{"G# B D E", "Ab", MajorSixth, "E7/G#"},
		{"Cb D F Ab", "Eb", MajorSixth, "Bdim7"},
		{"Ab C Eb G", "Db", MajorSixth, "Abmaj7"},
		{"G# B D# F#", "E", MajorSixth, "G#m7"},
		{"Cb Eb Ab", "Ab", MinorSixth, "Abm/Cb"},
		{"E# G# B C#", "F#", MajorSixth, "C#7/E#"},
		{"Bb E G# B", "E", MajorSixth, "E/A#"},

		// A dominant whose third or seventh would take a double accidental, or
		// on E# or B#, takes the neighbouring root; so does G#7#5, but not G#7.
		{"D# G A# C#", "B", MajorSixth, "Eb7"},
		{"A# D F G#", "F#", MajorSixth, "Bb7"},
		{"Bb D F# G#", "B", MinorSixth, "Bb7#5"},
		{"C E G# A#", "C#", MinorSixth, "C7#5"},
		{"F A C# D#", "F#", MinorSixth, "F7#5"},
		{"Eb G B C#", "E", MinorSixth, "Eb7#5"},
		{"G# C E F#", "A", MinorSixth, "Ab7#5"},
		{"G# C D# F#", "E", MajorSixth, "G#7"},
		{"B D# G A", "C", MinorSixth, "B7#5"},
		{"C# F A B", "D", MinorSixth, "C#7#5"},
		{"Cb Eb Gb A", "Gb", MajorSixth, "B7"},
		{"Cb Eb Gb Bb", "Gb", MajorSixth, "Cbmaj7"},
		{"E G# B D#", "Ab", MinorSixth, "Emaj7"},

		// A minor chord stands on the root of a minor key, or as the scale has it.
		{"Gb A Db E", "Db", MajorSixth, "F#m7"},
		{"Db E Ab B", "Gb", MajorSixth, "C#m7"},
		{"Db Fb Ab Bb", "Ab", MajorSixth, "Dbm6"},
		{"Cb D Gb Ab", "Gb", MajorSixth, "Bm6"},
		{"E# G# B D#", "F#", MajorSixth, "E#m7b5"},
		{"A# C# E G#", "E", MajorSixth, "A#m7b5"},
		{"Gb A C Eb", "Bb", MajorSixth, "Gbdim7"},
		{"G# B D F", "G", MajorSixth, "G#dim7"},
		{"Fb G Bb Db", "Ab", MajorSixth, "Edim7"},

		// A foreign bass is the note that the scale writes.
		{"Gb Bb D F G", "Bb", MajorSixth, "Bb6/Gb"},
		{"Cb Eb G Bb C", "Eb", MajorSixth, "Eb6/B"},
	} {
		set, bass := sounding(t, c.notes)
		got, ok := NameChordIn(set, bass, RootsIn(scaleOn(t, c.kind, c.key)))
		assert.True(t, ok)
		assert.Equal(t, c.want, got.Symbol(), "%s in %s", c.notes, c.key)
	}
}

// The other names of a chord write its bass as the first does, where it is no
// tone of theirs: C6/Ab and Am7/Ab in C (common practice).
func TestOneBassHasOneName(t *testing.T) {
	for _, c := range []struct{ notes, key, want string }{
		{"Ab C E G A", "C", "C6/Ab Am7/Ab"},
		{"Gb Bb D F G", "Bb", "Bb6/Gb Gm7/Gb"},
		{"Bb D F# A B", "D", "D6/Bb Bm7/Bb"},
		{"Cb D F Ab", "Eb", "Bdim7 Ddim/B"},
		{"Bb D F Ab Cb", "Eb", "Bb7(b9) Bdim7(maj7)/Bb Bdim7/Bb"},
		{"Eb Gb A Db", "Db", "Ebm7b5 F#m6/D# F#m/D#"},
	} {
		set, bass := sounding(t, c.notes)
		var got []string
		for _, n := range NamesIn(set, bass, RootsIn(scaleOn(t, MajorSixth, c.key))) {
			if n.Reading == ReadExact {
				got = append(got, n.Chord.Symbol())
			}
		}
		assert.Equal(t, c.want, strings.Join(got, " "), "%s in %s", c.notes, c.key)
	}
}

// In each key that has a signature, every set of two to seven of its tones over
// each of its basses: no root is Fb, and E# and B# are roots only where the
// scale writes them; a chord with a major third takes no double accidental in
// its third, fifth or seventh unless the fifth is altered; one with a minor
// third stands on the root of a minor key or is spelled as the scale is.
func TestNoRootIsHardToRead(t *testing.T) {
	for kind := MajorSixth; kind <= DominantSeventhFlatFive; kind++ {
		for _, key := range strings.Fields("C C# Db D Eb E F F# Gb G Ab A Bb B") {
			s := scaleOn(t, kind, key)
			sp, written := RootsIn(s), s.Tones()
			for chosen := tone.Set(0); chosen <= tone.All; chosen++ {
				if !chosen.Within(s.Set()) {
					continue
				}
				for _, bass := range chosen.Classes() {
					for _, n := range NamesIn(chosen, bass, sp) {
						c := n.Chord
						symbol := c.Symbol() + " in " + s.Short()
						require.NotEqual(t, "Fb", c.Root.String(), symbol)
						if slices.Contains([]string{"E#", "B#"}, c.Root.String()) {
							require.Contains(t, written, c.Root, symbol)
						}
						require.Equal(t, c.Bass.Plain(), c.Bass, symbol)
						for _, d := range []Degree{Three, Five, FlatSeven, Seven} {
							if c.Formula.Has(Three) && c.Formula.Has(d) {
								require.Equal(t, c.Name(d).Plain(), c.Name(d), symbol)
							}
						}
						if !c.Formula.Has(FlatThree) || c.Formula.diminished() {
							continue
						}
						if hasMinorKey := strings.Fields("C C# D D# Eb E F F# G G# Ab A A# Bb B"); !slices.Contains(hasMinorKey, c.Root.String()) {
							require.Contains(t, written, c.Root, symbol)
							require.Contains(t, written, c.Name(FlatThree), symbol)
						}
					}
				}
			}
		}
	}
}

func ExampleNameChord() {
	c, ok := NameChord(tone.SetOf(4, 8, 11, 2), 8) // E G# B D over G#
	fmt.Println(c.Symbol(), ok)
	_, ok = NameChord(tone.SetOf(0, 1, 2, 3), 0)
	fmt.Println(ok, NoteNames(tone.SetOf(0, 1, 2, 3), 0, UsualRoots()))
	// Output:
	// E7/G# true
	// false C Db D Eb
}

func ExampleNames() {
	for _, n := range Names(tone.SetOf(4, 7, 9, 0), 4) { // E G A C
		fmt.Printf("%s (%s: %s)\n", n.Chord.Symbol(), n.Reading, n.Reason)
	}
	// Output:
	// C6/E (exact: third in the bass)
	// Am7/E (exact: fifth in the bass)
	// Fmaj9 (rootless: root left out)
}

func TestReasonsNameBassAndOmissions(t *testing.T) {
	for notes, want := range map[string]string{
		"C E G":     "root in the bass",
		"C E Bb":    "root in the bass, no fifth",
		"Bb C E G":  "seventh in the bass",
		"G B C E":   "fifth in the bass",
		"G F A C":   "9 in the bass",
		"F# C E G":  "foreign bass",
		"C G Bb":    "root in the bass, no third",
		"C F Bb":    "root in the bass, no fifth",
		"C Db D Eb": "",
	} {
		set, bass := sounding(t, notes)
		names := Names(set, bass)
		if want == "" {
			assert.Empty(t, names, notes)
			continue
		}
		require.NotEmpty(t, names, notes)
		assert.Equal(t, want, names[0].Reason, notes)
	}
}

// All that a player might call these, the first choice first; common practice.
func TestAlternativesInOrder(t *testing.T) {
	for _, c := range []struct {
		notes string
		names []string
	}{
		{"C E G", []string{"C", "rootless Am7"}},
		{"F Ab C E", []string{"Fm(maj7)", "Abaug/F", "rootless Dm9b5", "rootless Dbmaj7(#9)"}},
		{"E G A C", []string{"C6/E", "Am7/E", "rootless Fmaj9"}},
		{"G Ab B E", []string{"E/G", "E(add#9)/G"}},
		{"C A C# E", []string{"A/C", "A(add#9)/C"}},
		{"G F A C", []string{"F(add9)/G", "G9sus4(no5)", "F/G", "Am7#5/G", "C6sus4/G", "rootless Dm7(11)"}},
		{"B D F Ab", []string{"Bdim7", "Ddim/B", "rootless Db7(b9)", "rootless G7(b9)", "rootless E7(b9)", "rootless Bb7(b9)"}},
		{"C E Bb", []string{"C7(no5)", "shell C7"}},
		{"F A B E", []string{"Fmaj7b5", "rootless G13", "rootless Db7#5(#9)", "rootless Dm6/9"}},
	} {
		set, bass := sounding(t, c.notes)
		var got, want []string
		for _, n := range Names(set, bass) {
			got = append(got, n.Reading.String()+" "+n.Chord.Symbol())
		}
		for _, name := range c.names {
			reading, symbol, ok := strings.Cut(name, " ")
			if !ok {
				reading, symbol = ReadExact.String(), name
			}
			want = append(want, reading+" "+chord(t, symbol).Symbol())
		}
		assert.Equal(t, want, got, c.notes)
	}
}
