package analyse_test

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"shedlight/analyse"
	"shedlight/analyse/habit"
	"shedlight/analyse/harmony"
	"shedlight/analyse/song"
	"shedlight/analyse/tone"
)

func habitsOf(t testing.TB, s analyse.Setup, line string) habit.Report {
	sum, _ := review(t, s, performed(t, 0, line))
	return sum.Habits
}

func bars(s habit.Sightings) []int {
	out := []int{}
	for _, b := range s.Bars {
		out = append(out, b.Bar)
	}
	return out
}

// Over C6 (C D E F G Ab A B) the tones outside are Db, Eb, Gb and Bb; over G7, in
// D minor sixth-diminished, Eb, F#, G# and C.
func TestSideSlips(t *testing.T) {
	s := inChords(t, "| C6 | % | Dm7 | G7 |")
	for _, c := range []struct {
		name, line string
		want       []int
	}{
		{"three in a row", "C4 E4 G4 Gb4 Eb4 Db4 C4", []int{1}},
		{"two are none", "C4 E4 G4 Gb4 Eb4 C4", []int{}},
		{"five are one", "Gb4 Eb4 Db4 Eb4 Gb4 G4", []int{1}},
		{"two of them", "Gb4 Eb4 Db4 C4 D4 Eb4 Gb4 Bb4 A4", []int{1, 1}},
		{"a tone of the scale comes between", "Gb4 Eb4 C4 Db4 Bb4 C4", []int{}},
		{"a rest comes between", "Gb4 Eb4 -.2 Db4 C4", []int{}},
		{"in the second bar", "-.8 Gb4 Eb4 Db4 C4", []int{2}},
		{"over G7", "-.24 F#4 G#4 Eb4 D4", []int{4}},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := habitsOf(t, s, c.line).SideSlips
			require.Equal(t, c.want, bars(got))
			require.Equal(t, int64(len(c.want)), got.Times)
		})
	}
	t.Run("tones of the written chord are not outside", func(t *testing.T) {
		// C sharp of A7 lies outside C major sixth-diminished.
		k := analyse.Setup{Timeline: unroll(t, "title: Slow Ferry\nkey: C\n\n{C major} | A7 |\n"), View: song.KeyView}
		require.Zero(t, habitsOf(t, k, "Gb4 Eb4 C#4 D4").SideSlips.Times)
	})
	t.Run("only the latest bars are told", func(t *testing.T) {
		got := habitsOf(t, inChords(t, "| C6 | % | % | % | % |"), strings.Repeat("Gb4 Eb4 Db4 C4.5 ", 5))
		require.Equal(t, int64(5), got.SideSlips.Times)
		require.Equal(t, []int{2, 3, 4, 5}, bars(got.SideSlips))
	})
}

// What lies outside a scale lies in the scales a semitone to either side of it:
// why a row of outside notes is a side-slip. All scales, all roots.
func TestWhatIsOutsideLiesASemitoneBeside(t *testing.T) {
	for kind := harmony.MajorSixth; kind <= harmony.DominantSeventhFlatFive; kind++ {
		for root := range tone.Class(12) {
			set := harmony.NewScale(kind, root.Name()).Set()
			outside := tone.All &^ set
			require.True(t, outside.Within(set.Transpose(1)) && outside.Within(set.Transpose(-1)), "%v on %v", kind, root.Name())
		}
	}
}

// Over C6 the tones of Db6 (Db Eb F Gb Ab A Bb C) that are outside are Db, Eb,
// Gb and Bb.
func TestGroupsAheadOfTheChange(t *testing.T) {
	s := inChords(t, "| C6 | Db6 | Db6 | C6 |")
	for _, c := range []struct {
		name, line string
		want       []int
	}{
		{"two up to the change", "-.6 Eb4 Gb4 F4", []int{1}},
		{"one is none", "-.7 Gb4 F4", []int{}},
		{"the group comes back before the change", "-.5 Eb4 Gb4 G4 F4", []int{}},
		{"the phrase ends before the change", "-.6 Eb4 Gb4", []int{1}},
		{"the last a beat before the change", "-.5 Eb4 Gb4", []int{1}},
		{"a tick more", "-.5 @-1 Eb4 Gb4", []int{}},
		{"the last is early and already of the new chord", "-.6 Eb4 Gb4 @-96 Bb4 C5", []int{1}},
		{"nothing changes ahead", "-.14 D4 E4 F4", []int{}},
		{"into the next chorus nothing changes", "-.30 Eb4 Gb4 G4", []int{}},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := habitsOf(t, s, c.line).Ahead
			require.Equal(t, c.want, bars(got))
		})
	}
	t.Run("round the loop", func(t *testing.T) {
		got := habitsOf(t, inChords(t, "| Db6 | C6 |"), "-.14 Eb4 Gb4 F4").Ahead
		require.Equal(t, []song.BarRef{{Chorus: 1, Bar: 2}}, got.Bars)
	})
	t.Run("in free time", func(t *testing.T) {
		require.Zero(t, habitsOf(t, analyse.Setup{Centre: centre(t, "C", 0)}, "Eb4 Gb4 F4").Ahead.Times)
	})
}

func TestDisplacedResolutions(t *testing.T) {
	s := inChords(t, "| C6 | % |")
	for line, want := range map[string]int64{
		"C#4 D5":        1, // up a semitone and an octave
		"C#4 C5":        1, // up an octave less a semitone
		"C#5 D4":        1,
		"C#4 D6":        1, // two octaves
		"C#3 D6":        0, // three
		"C#4 D4":        0, // where it belongs
		"C#4 E5":        0, // a third
		"Eb4 Bb5":       0,
		"C4 B4":         0, // nothing to resolve
		"C#4.2 D5":      1, // a beat
		"C#4.2 @+1 D5":  0,
		"Bb3 B4 Eb4 E5": 2,
	} {
		require.Equal(t, want, habitsOf(t, s, line).Displaced.Times, line)
	}
	// B flat resolves to no tone of C6 a semitone above D flat.
	require.Zero(t, habitsOf(t, s, "Bb3 Db5").Displaced.Times)
}

func TestRange(t *testing.T) {
	got := habitsOf(t, inChords(t, "| C6 |"), "E4 C4 [C2,E2,G2] -.6 A5 G4")
	require.Equal(t, []int{60, 81}, []int{got.Lowest, got.Highest}, "the line, not the chords under it")
	require.Equal(t, []song.BarRef{{Chorus: 1, Bar: 1}, {Chorus: 2, Bar: 1}}, []song.BarRef{got.LowestAt, got.HighestAt})
	require.Zero(t, habitsOf(t, inChords(t, "| C6 |"), "[C2,E2,G2]").Lowest)
}

func TestFavouriteCells(t *testing.T) {
	s := inChords(t, "| C6 | % |")
	t.Run("three times, on any tone", func(t *testing.T) {
		got := habitsOf(t, s, "C4 E4 G4 E4 -.2 D4 F#4 A4 F#4 -.2 G4 B4 D5 B4")
		require.Equal(t, []habit.Cell{{Intervals: []int{4, 3, -3}, Times: 3, Last: song.BarRef{Chorus: 1, Bar: 2}}}, got.Cells)
	})
	t.Run("twice is none", func(t *testing.T) {
		require.Empty(t, habitsOf(t, s, "C4 E4 G4 E4 -.2 D4 F#4 A4 F#4").Cells)
	})
	t.Run("not over a rest", func(t *testing.T) {
		require.Empty(t, habitsOf(t, s, strings.Repeat("C4 E4 -.2 G4 E4 -.2 ", 3)).Cells)
	})
	t.Run("a run is none", func(t *testing.T) {
		require.Empty(t, habitsOf(t, s, strings.Repeat("C4 D4 E4 F4 -.2 ", 3)+strings.Repeat("F4 E4 D4 C4 -.2 ", 3)).Cells)
	})
	t.Run("steps that turn are one", func(t *testing.T) {
		require.Len(t, habitsOf(t, s, strings.Repeat("C4 D4 E4 D4 -.2 ", 3)).Cells, 1)
	})
	t.Run("five at most, the most frequent first", func(t *testing.T) {
		var line strings.Builder
		for i, cell := range []string{"C4 E4 C4 E4", "C4 F4 C4 F4", "C4 G4 C4 G4", "C4 A4 C4 A4", "C4 B4 C4 B4", "C4 C5 C4 C5"} {
			line.WriteString(strings.Repeat(cell+" -.2 ", 3+i))
		}
		var got []string
		for _, c := range habitsOf(t, s, line.String()).Cells {
			got = append(got, fmt.Sprint(c.Intervals, c.Times))
		}
		require.Equal(t, []string{"[12 -12 12] 8", "[11 -11 11] 7", "[9 -9 9] 6", "[7 -7 7] 5", "[5 -5 5] 4"}, got)
	})
}

// Whatever is played, a cell is never told more often than it came: counted
// again with a table that has room for all.
func TestCellsAreNeverOvercounted(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		random := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		reach := rapid.IntRange(2, 24).Draw(t, "reach")
		a, err := analyse.New(analyse.Setup{})
		require.NoError(t, err)
		const notes = 4000
		keys := make([]int, notes)
		count := map[[3]int]int64{}
		for i := range keys {
			keys[i] = 50 + random.IntN(reach)
			tick := int64(i) * eighth
			a.Add(on(tick, uint8(keys[i])))
			a.Add(off(tick+eighth, uint8(keys[i])))
			if i >= 3 {
				count[[3]int{keys[i-2] - keys[i-3], keys[i-1] - keys[i-2], keys[i] - keys[i-1]}]++
			}
		}
		a.Finish(notes * eighth)
		for _, c := range a.Summary().Habits.Cells {
			came := count[[3]int(c.Intervals)]
			require.LessOrEqual(t, c.Times, came, c.Intervals)
			if len(count) < 60 { // few cells: nothing was thrown out
				require.Equal(t, came, c.Times, c.Intervals)
			}
		}
	})
}

// A lick that is a hundredth of what is played stands out of the noise.
func TestALickIsFoundAmongManyCells(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 4))
	a := analyser(t, analyse.Setup{})
	tick := int64(0)
	play := func(key int) {
		a.Add(on(tick, uint8(key)))
		a.Add(off(tick+eighth, uint8(key)))
		tick += eighth
	}
	const rounds = 400
	for range rounds {
		for _, key := range []int{60, 64, 67, 66} {
			play(key)
		}
		for range 96 {
			play(50 + random.IntN(30))
		}
	}
	a.Finish(tick)
	cells := a.Summary().Habits.Cells
	require.NotEmpty(t, cells)
	require.Equal(t, []int{4, 3, -1}, cells[0].Intervals)
	require.InDelta(t, rounds, float64(cells[0].Times), rounds/4.0)
}
