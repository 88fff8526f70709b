package harmony_test

import (
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/analyse/harmony"
	"shedlight/analyse/tone"
)

// The rule of the system, proved by walking: started on a home tone on the
// beat, straight eighths up or down the scale keep home tones on the beats. The
// figures are those of testdata/theory/beat_alignment.json (enumeration).

// beatTable is the part of the reference table that these tests read.
type beatTable struct {
	Main struct {
		Scales, Roots, Directions, Notes, Aligned, Misaligned int
		StartTones                                            int `json:"start_tones"`
		NotesPerRun                                           int `json:"notes_per_run"`
	}
	Exceptions map[string]struct {
		Home   int `json:"on_beat_chord_half"`
		Scored int `json:"on_beat_notes"`
	} `json:"exceptions_on_beat_chord_half_share"`
	MajorScale struct {
		Home   int `json:"on_beat_in_C6"`
		Scored int `json:"on_beat"`
	} `json:"major_scale_comparison"`
	ChordTones map[string]map[string][2]int `json:"written_chord_tones_on_beats"`
	BarLines   map[string][][]any           `json:"bar_line_change_of_scale"`
}

func beats(t testing.TB) beatTable {
	var table beatTable
	readJSON(t, "beat_alignment.json", &table)
	return table
}

// ladder returns the keys of a set of tones over the whole keyboard and beyond,
// in order, so that walking a scale is counting.
func ladder(s tone.Set) []int {
	var keys []int
	for key := range 20 * 12 {
		if s.Has(tone.ClassOf(key)) {
			keys = append(keys, key)
		}
	}
	return keys
}

// startIn returns the index of a class in the middle of a ladder.
func startIn(keys []int, c tone.Class) int {
	return slices.IndexFunc(keys, func(key int) bool { return key >= 10*12 && tone.ClassOf(key) == c })
}

func TestEighthsUpAndDownTheScaleKeepHomeTonesOnTheBeat(t *testing.T) {
	want := beats(t).Main
	notes, aligned, starts := 0, 0, 0
	for _, kind := range kinds {
		for root := range tone.Class(12) {
			s := harmony.NewScale(kind, root.Name())
			keys := ladder(s.Set())
			for start := range s.Home().Each() {
				starts++
				for _, direction := range []int{1, -1} {
					for n := range want.NotesPerRun {
						class := tone.ClassOf(keys[startIn(keys, start)+n*direction])
						onBeat := n%2 == 0
						notes++
						if s.Home().Has(class) == onBeat && s.Dim().Has(class) != onBeat {
							aligned++
						}
					}
				}
			}
		}
	}
	assert.Equal(t, want.Scales*want.Roots*want.StartTones, starts)
	assert.Equal(t, 24_960, notes)
	assert.Equal(t, want.Notes, notes)
	assert.Equal(t, want.Aligned, aligned)
	assert.Zero(t, want.Misaligned)
}

// unscored marks a rest or a note outside the scale in a walk.
const unscored = -1

// walk returns 64 places in the scale, the one at step i given by f, which
// may also put something unscored before it.
func walk(f func(i int) []int) []int {
	var out []int
	for i := range 64 {
		out = append(out, f(i)...)
	}
	return out
}

// step is the plain walk up.
func step(i int) []int { return []int{i} }

// before puts extra events in front of step n.
func before(n int, extra ...int) func(int) []int {
	return func(i int) []int {
		if i == n {
			return append(slices.Clone(extra), i)
		}
		return []int{i}
	}
}

// shifted moves the places from step n on.
func shifted(n int, f func(i int) int) func(int) []int {
	return func(i int) []int {
		if i < n {
			return []int{i}
		}
		return []int{f(i)}
	}
}

func TestWhatFlipsTheBeatAndWhatKeepsIt(t *testing.T) {
	table := beats(t)
	cases := []struct {
		name    string
		places  []int
		perBeat int
		first   int // eighths that the walk starts after the beat
	}{
		{"start on a dim-half tone on the beat (64 notes)", walk(func(i int) []int { return []int{i + 1} }), 2, 0},
		{"start on a chord-half tone off the beat", walk(step), 2, 1},
		{"one repeated note at index 8 then continue", walk(shifted(9, func(i int) int { return i - 1 })), 2, 0},
		{"one extra chromatic passing note inserted after 8 notes (not counted), then continue", walk(before(8, unscored)), 2, 0},
		{"two extra notes inserted (enclosure/double chromatic)", walk(before(8, unscored, unscored)), 2, 0},
		{"one eighth rest after 8 notes", walk(before(8, unscored)), 2, 0},
		{"turn of direction without repeating the top note", walk(shifted(9, func(i int) int { return 16 - i + 64 })), 2, 0},
		{"turn of direction with the top note repeated", walk(shifted(9, func(i int) int { return 17 - i + 64 })), 2, 0},
		{"broken thirds = 2 scale steps up, 1 down (1 3 2 4 3 5 ...)", walk(func(i int) []int { return []int{i/2 + i%2*2} }), 2, 0},
		{"arpeggio up in 2-step leaps in eighths (all notes one half)", walk(func(i int) []int { return []int{2 * i} }), 2, 0},
		{"leap of 3 scale steps once, then step", walk(shifted(9, func(i int) int { return i + 2 })), 2, 0},
		{"leap of 2 scale steps once, then step", walk(shifted(9, func(i int) int { return i + 1 })), 2, 0},
		{"triplet eighths (3 per beat), step", walk(step), 3, 0},
		{"sixteenths (4 per beat), step", walk(step), 4, 0},
		{"quarter notes, step", walk(step), 1, 0},
		{"quintuplets (5 per beat), step", walk(step), 5, 0},
	}
	s := scale(t, harmony.MajorSixth, "C")
	tones := s.Tones()
	for _, c := range cases {
		home, scored := 0, 0
		for i, place := range c.places {
			if (i+c.first)%c.perBeat != 0 || place == unscored {
				continue
			}
			scored++
			if s.Home().Has(tones[(place+64)%8].Class()) {
				home++
			}
		}
		want, ok := table.Exceptions[c.name]
		require.True(t, ok, c.name)
		assert.Equal(t, want.Scored, scored, c.name)
		assert.Equal(t, want.Home, home, c.name)
	}
	assert.Len(t, cases, len(table.Exceptions))
}

func TestASevenNoteScaleDoesNotKeepTheBeat(t *testing.T) {
	want := beats(t).MajorScale
	keys := ladder(set(t, "C D E F G A B"))
	c6 := scale(t, harmony.MajorSixth, "C").Home()
	home, first := 0, startIn(keys, 0)
	for beat := range want.Scored {
		if c6.Has(tone.ClassOf(keys[first+2*beat])) {
			home++
		}
	}
	assert.Equal(t, want.Home, home)
	assert.Equal(t, []int{16, 28}, []int{home, want.Scored})
}

// The home half is not the written chord: how many of its tones come on eight
// beats, by the tone the walk starts on.
func TestWrittenChordTonesOnTheBeats(t *testing.T) {
	table := beats(t).ChordTones
	cases := map[string]struct {
		chord string
		scale harmony.Scale
	}{
		"Cmaj7 over C maj6dim":                {"C E G B", scale(t, harmony.MajorSixth, "C")},
		"Am7 over C maj6dim":                  {"A C E G", scale(t, harmony.MajorSixth, "C")},
		"Dm7 over C maj6dim (key centre)":     {"D F A C", scale(t, harmony.MajorSixth, "C")},
		"G7 over C maj6dim (key centre)":      {"G B D F", scale(t, harmony.MajorSixth, "C")},
		"G7 over D min6dim":                   {"G B D F", scale(t, harmony.MinorSixth, "D")},
		"G7 over G dom7dim":                   {"G B D F", scale(t, harmony.DominantSeventh, "G")},
		"G7alt (G B F Db Eb) over Ab min6dim": {"G B F Db Eb", scale(t, harmony.MinorSixth, "Ab")},
		"Bm7b5 over D min6dim":                {"B D F A", scale(t, harmony.MinorSixth, "D")},
		"G7sus4 over F maj6dim":               {"G C D F", scale(t, harmony.MajorSixth, "F")},
		"Cm(maj7) over C min6dim":             {"C Eb G B", scale(t, harmony.MinorSixth, "C")},
	}
	for title, c := range cases {
		require.Contains(t, table, title)
		keys, chordTones := ladder(c.scale.Set()), set(t, c.chord)
		for start, want := range table[title] {
			hits, first := 0, startIn(keys, name(t, start).Class())
			for beat := range want[1] {
				if chordTones.Has(tone.ClassOf(keys[first+2*beat])) {
					hits++
				}
			}
			assert.Equal(t, want[0], hits, "%s from %s", title, start)
		}
	}
	assert.Len(t, cases, len(table))
}

// A line that steps on over a bar line into another scale: where it lands, from
// each dim tone, up and down.
func TestSteppingOnIntoAnotherScale(t *testing.T) {
	table := beats(t).BarLines
	cases := map[string]struct{ from, to harmony.Scale }{
		"F maj6dim (Dm7) -> D min6dim (G7)":       {scale(t, harmony.MajorSixth, "F"), scale(t, harmony.MinorSixth, "D")},
		"D min6dim (G7) -> C maj6dim":             {scale(t, harmony.MinorSixth, "D"), scale(t, harmony.MajorSixth, "C")},
		"Ab min6dim (G7alt) -> C maj6dim":         {scale(t, harmony.MinorSixth, "Ab"), scale(t, harmony.MajorSixth, "C")},
		"F maj6dim -> Ab min6dim":                 {scale(t, harmony.MajorSixth, "F"), scale(t, harmony.MinorSixth, "Ab")},
		"F min6dim (Dm7b5) -> Ab min6dim (G7alt)": {scale(t, harmony.MinorSixth, "F"), scale(t, harmony.MinorSixth, "Ab")},
		"Ab min6dim (G7alt) -> C min6dim":         {scale(t, harmony.MinorSixth, "Ab"), scale(t, harmony.MinorSixth, "C")},
	}
	for title, rows := range table {
		c, ok := cases[title]
		require.True(t, ok, title)
		assert.Len(t, rows, 2*c.from.Dim().Len())
		for _, row := range rows {
			last := 60 + int(name(t, row[0].(string)).Class())
			assert.True(t, c.from.Dim().Has(tone.ClassOf(last)), title)
			direction := map[any]int{"up": 1, "down": -1}[row[1]]
			next := last + direction
			for !c.to.Set().Has(tone.ClassOf(next)) {
				next += direction
			}
			half := "dim half"
			if c.to.Home().Has(tone.ClassOf(next)) {
				half = "chord half"
			}
			got := fmt.Sprint(tone.ClassOf(next), (next-last)*direction, half)
			assert.Equal(t, fmt.Sprint(name(t, row[2].(string)).Class(), row[3], row[4]), got, "%s: %v", title, row)
		}
	}
	assert.Len(t, cases, len(table))
}
