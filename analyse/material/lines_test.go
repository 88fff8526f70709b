package material_test

import (
	"fmt"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shedlight/analyse/changes"
	"shedlight/analyse/harmony"
	"shedlight/analyse/material"
	"shedlight/analyse/tone"
)

func lines(t testing.TB, symbol string, r material.Request) []*material.Exercise {
	t.Helper()
	out, err := material.Lines(chord(t, symbol), harmony.Scale{}, r)
	require.NoError(t, err)
	require.NotEmpty(t, out, "%s, level %d", symbol, r.Level)
	return out
}

// Chords of every kind that lines are asked for.
var symbols = strings.Fields("Ebmaj7 F#m6 Dm7 G7 Ab7b9 Bm7b5 G7alt C#dim7 D7sus4 B7b5")

// made is lines over those chords at every level, made once.
var made = sync.OnceValue(func() (all []*material.Exercise) {
	for i, symbol := range symbols {
		read, err := harmony.ParseSymbol(symbol)
		if err != nil {
			panic(err)
		}
		for level := material.MinLevel; level <= material.MaxLevel; level++ {
			few, err := material.Lines(read.Chord, harmony.Scale{}, material.Request{Level: level, Seed: uint64(i + 1), Count: 3})
			if err != nil {
				panic(err)
			}
			all = append(all, few...)
		}
	}
	return all
})

// each calls f for lines over many chords at every level.
func each(t *testing.T, f func(t *testing.T, e *material.Exercise)) {
	require.GreaterOrEqual(t, len(made()), 3*len(symbols)*material.MaxLevel)
	for _, e := range made() {
		f(t, e)
		if t.Failed() {
			t.Fatalf("level %d: %s\n%s", e.Level, e.Idea, strings.Join(e.Rows(100), "\n"))
		}
	}
}

// The program's judge finds nothing in what the program makes, in either view.
func TestLinesAreJudgedClean(t *testing.T) {
	each(t, func(t *testing.T, e *material.Exercise) {
		for _, view := range views {
			assert.Empty(t, faults(t, e, view, tempo120))
		}
	})
}

// A line is one note at a time, in its range, with no leap beyond a major sixth (an
// octave at level 5), a step back after a leap of more than a fifth, and one tone
// repeated at most between two rests, not before one; two tones take turns once. It ends
// for a beat or longer on the third, the fifth, the sixth or the ninth, over a
// half-diminished chord on the seventh too, and comes to it by a major third at most
// (common practice).
func TestLinesAreWellMade(t *testing.T) {
	each(t, func(t *testing.T, e *material.Exercise) {
		most := 9
		if e.Level == material.MaxLevel {
			most = tone.Octave
		}
		repeats := 0
		for i, n := range e.Notes {
			assert.True(t, n.Key >= 60 && n.Key <= 84, "key %d", n.Key)
			assert.Positive(t, n.Length)
			if i == 0 {
				continue
			}
			before := e.Notes[i-1]
			end := before.Tick + before.Length
			assert.LessOrEqual(t, end, n.Tick)
			if end < n.Tick {
				repeats = 0
				continue
			}
			leap := int(n.Key) - int(before.Key)
			assert.LessOrEqual(t, max(leap, -leap), most)
			if leap == 0 {
				repeats++
				assert.True(t, i+1 < len(e.Notes) && n.Tick+n.Length == e.Notes[i+1].Tick, "note %d is repeated before a rest", i)
			}
			if i > 2 && e.Notes[i-3].Tick+e.Notes[i-3].Length == e.Notes[i-2].Tick && e.Notes[i-2].Tick+e.Notes[i-2].Length == before.Tick {
				assert.False(t, n.Key == e.Notes[i-2].Key && before.Key == e.Notes[i-3].Key, "two tones go to and fro at note %d", i)
			}
			if i+1 < len(e.Notes) && max(leap, -leap) > 7 && n.Tick+n.Length == e.Notes[i+1].Tick {
				back := int(e.Notes[i+1].Key) - int(n.Key)
				assert.True(t, leap > 0 && (back == -1 || back == -2) || leap < 0 && (back == 1 || back == 2), "note %d", i)
			}
			assert.LessOrEqual(t, repeats, 1)
		}
		last := len(e.Notes) - 1
		assert.GreaterOrEqual(t, e.Notes[last].Length, int64(960))
		ends := []string{"3", "5", "6", "13", "9", "b5", "#5"}
		if slot := e.Line.Slots[e.Line.SlotAt(e.Notes[last].Tick, 0)]; slot.Chord.Kind() == harmony.KindHalfDiminished {
			ends = append(ends, "7")
		}
		assert.Contains(t, ends, e.Degree(last))
		assert.LessOrEqual(t, tone.Apart(int(e.Notes[last].Key), int(e.Notes[last-1].Key)), 4)
	})
}

// What a level allows, as MATERIAL would have it written on a stand: each has all of it
// and nothing else (common practice).
func TestLevels(t *testing.T) {
	each(t, func(t *testing.T, e *material.Exercise) {
		count := map[material.FigureKind]int{}
		for _, f := range e.Figure {
			count[f.Kind]++
		}
		chromatic := 0
		for i, n := range e.Notes {
			slot := e.Line.Slots[e.Line.SlotAt(n.Tick, 0)]
			if !(slot.Own.Set() | slot.Key.Set() | slot.Chord.Set()).Has(tone.ClassOf(int(n.Key))) && i+1 < len(e.Notes) {
				chromatic++
			}
			if e.Level < 4 && i < len(e.Notes)-1 && e.Notes[i+1].Tick == n.Tick+n.Length {
				assert.Equal(t, int64(480), n.Length, "all eighths")
			}
		}
		switch e.Level {
		case 1:
			assert.Equal(t, map[material.FigureKind]int{material.Run: 1, material.Landing: 1}, count)
			assert.Equal(t, 1, turnsOf(e))
			assert.LessOrEqual(t, spanOf(e), tone.Octave)
			for i := 1; i < len(e.Notes); i++ {
				assert.Contains(t, []int{1, 2, 3}, tone.Apart(int(e.Notes[i-1].Key), int(e.Notes[i].Key)), "a step of the scale")
			}
		case 2:
			assert.Equal(t, 1, count[material.Arpeggio])
			assert.Equal(t, len(e.Figure), count[material.Arpeggio]+count[material.Run]+1)
		case 3:
			assert.GreaterOrEqual(t, count[material.Arpeggio], 2)
			assert.Equal(t, len(e.Figure), count[material.Arpeggio]+count[material.Run]+1)
		case 4:
			assert.Positive(t, e.Notes[0].Tick, "a rest")
			assert.Equal(t, 1, count[material.Approach])
			assert.Equal(t, 1, count[material.Enclosure])
			assert.GreaterOrEqual(t, count[material.Arpeggio], 1)
			assert.Zero(t, count[material.Triplet])
		}
		if e.Level < 4 {
			assert.Zero(t, chromatic)
		}
	})
}

// At level 3 a chord is heard as one: C6, the dim half as its V, what stands in thirds;
// stacks with a fourth in them, like E G A D, are none. At level 5 half of
// the lines that take a substitute break its chord, and none that is broken has the minor
// third of a dominant without its own (common practice).
func TestArpeggiosAreHeardAsChords(t *testing.T) {
	all, fourths, dim := 0, 0, 0
	for _, e := range lines(t, "C6", material.Request{Level: 3, Seed: 11, Count: 20}) {
		for _, f := range e.Figure {
			if f.Kind != material.Arpeggio {
				continue
			}
			all++
			switch {
			case f.Set == f.Scale.Dim():
				dim++
			case f.Set != f.Scale.Home() && !inThirds(f):
				fourths++
			}
		}
	}
	require.Positive(t, all)
	assert.Zero(t, fourths)
	assert.Greater(t, 10*dim, all)
	substitutes, broken := 0, 0
	each(t, func(t *testing.T, e *material.Exercise) {
		runs, breaks := false, false
		for _, f := range e.Figure {
			slot := e.Line.Slots[e.Line.SlotAt(e.Notes[f.From].Tick, 0)]
			if f.Kind == material.Arpeggio && slot.Chord.Kind() == harmony.KindDominant && f.Set.Has(tone.ClassOf(int(slot.Chord.Root.Class())+3)) {
				assert.True(t, (f.Set&slot.Chord.Set()).Has(tone.ClassOf(int(slot.Chord.Root.Class())+4)) || slot.Chord.Set().Has(tone.ClassOf(int(slot.Chord.Root.Class())+3)))
			}
			if f.Kind == material.Arpeggio {
				assert.Empty(t, belied(f.Set, slot), "%s", slot.Symbol)
			}
			if e.Level == material.MaxLevel && !f.Scale.None() && f.Scale != slot.Own && f.Scale != slot.Key {
				runs = true
				breaks = breaks || f.Kind == material.Arpeggio
			}
		}
		if runs {
			substitutes++
		}
		if breaks {
			broken++
		}
	})
	require.Greater(t, substitutes, 10)
	assert.GreaterOrEqual(t, 2*broken, substitutes)
}

// belied is the tones of a broken chord that say another chord than the one that is written:
// what fights it; over a dominant its fourth, but for a diminished seventh, and where it goes
// to a minor chord that one's major third (common practice).
func belied(set tone.Set, slot changes.Slot) tone.Set {
	over := func(semitones int) tone.Set { return tone.SetOf(slot.Chord.Root.Class()).Transpose(semitones) }
	wrong := slot.Chord.Against()
	if slot.Chord.Kind() == harmony.KindDominant {
		if set.Transpose(3) != set {
			wrong |= over(5)
		}
		if slot.Own == harmony.NewScale(harmony.MinorSixth, slot.Own.Root) && over(5).Has(slot.Own.Root.Class()) {
			wrong |= over(9)
		}
	}
	return set & wrong &^ slot.Chord.Set()
}

// inThirds reports whether an arpeggio's tones stand in thirds over the one that names it.
func inThirds(f material.Figure) bool {
	below := 0
	for above := 1; above < tone.Octave; above++ {
		if f.Set.Has(tone.ClassOf(int(f.Bass) + above)) {
			if apart := above - below; apart != 3 && apart != 4 {
				return false
			}
			below = above
		}
	}
	return true
}

func turnsOf(e *material.Exercise) (n int) {
	for i := 2; i < len(e.Notes); i++ {
		if (e.Notes[i].Key > e.Notes[i-1].Key) != (e.Notes[i-1].Key > e.Notes[i-2].Key) {
			n++
		}
	}
	return n
}

func spanOf(e *material.Exercise) int {
	low, high := e.Notes[0].Key, e.Notes[0].Key
	for _, n := range e.Notes {
		low, high = min(low, n.Key), max(high, n.Key)
	}
	return int(high) - int(low)
}

// A figure is what it says: a run moves by steps of its scale, an arpeggio walks
// through the tones of its chord and leaves none out, an approach and an enclosure
// lead by half steps and steps into the note behind them.
func TestFiguresAreWhatTheySay(t *testing.T) {
	seen := map[material.FigureKind]int{}
	each(t, func(t *testing.T, e *material.Exercise) {
		at := 0
		for _, f := range e.Figure {
			seen[f.Kind]++
			assert.Equal(t, at, f.From, "figures follow each other")
			at = f.To
			notes := e.Notes[f.From:f.To]
			switch f.Kind {
			case material.Run:
				for i := 1; i < len(notes); i++ {
					assert.Contains(t, []int{-3, -2, -1, 1, 2, 3}, int(notes[i].Key)-int(notes[i-1].Key))
				}
				for i, n := range notes {
					place, in := f.Scale.Index(tone.ClassOf(int(n.Key)))
					assert.True(t, in)
					if i > 0 {
						before, _ := f.Scale.Index(tone.ClassOf(int(notes[i-1].Key)))
						assert.Contains(t, []int{1, 7}, (place-before+8)%8, "the next tone of the scale")
					}
				}
			case material.Arpeggio, material.Triplet:
				assert.Equal(t, 4, f.Set.Len())
				assert.True(t, f.Set.Within(f.Scale.Set()))
				for i, n := range notes {
					assert.True(t, f.Set.Has(tone.ClassOf(int(n.Key))))
					if i == 0 {
						continue
					}
					low, high := min(n.Key, notes[i-1].Key), max(n.Key, notes[i-1].Key)
					assert.Equal(t, f.Up, n.Key > notes[i-1].Key)
					for k := low + 1; k < high; k++ {
						assert.False(t, f.Set.Has(tone.ClassOf(int(k))), "a tone is left out")
					}
				}
			case material.Approach:
				assert.Equal(t, 1, tone.Apart(int(notes[len(notes)-1].Key), int(e.Notes[f.To].Key)))
			case material.Enclosure:
				goal := int(e.Notes[f.To].Key)
				a, b := int(notes[0].Key)-goal, int(notes[1].Key)-goal
				assert.Negative(t, a*b)
				assert.LessOrEqual(t, max(a, -a, b, -b), 2)
			}
		}
		assert.Equal(t, len(e.Notes), at)
	})
	for _, kind := range []material.FigureKind{material.Run, material.Arpeggio, material.Held, material.Pair, material.Approach, material.Enclosure, material.PickUp, material.Landing, material.Triplet} {
		assert.Positive(t, seen[kind], "figure %d", kind)
	}
}

// The proof of beat alignment: a run that begins on the half that rules has it on every
// beat, at every level up to 4.
func TestRunsHaveTheRightHalfOnTheBeats(t *testing.T) {
	each(t, func(t *testing.T, e *material.Exercise) {
		for _, f := range e.Figure {
			if f.Kind != material.Run {
				continue
			}
			slot := e.Line.Slots[e.Line.SlotAt(e.Notes[f.From].Tick, 0)]
			home, dim := (slot.Chord.Set() & f.Scale.Home()).Len(), (slot.Chord.Set() & f.Scale.Dim()).Len()
			for _, n := range e.Notes[f.From:f.To] {
				place, _ := f.Scale.Index(tone.ClassOf(int(n.Key)))
				if n.Tick%960 == 0 {
					assert.True(t, place%2 == 0 && home >= dim || place%2 == 1 && dim >= home, "%s over %s", f.Scale.Short(), slot.Symbol)
				}
			}
		}
	})
}

// A hundred lines of one call differ by more than their pitch.
func TestHundredLinesDiffer(t *testing.T) {
	for level := material.MinLevel; level <= material.MaxLevel; level++ {
		all := lines(t, "C6", material.Request{Level: level, Seed: 9, Count: 100})
		require.Len(t, all, 100)
		seen := map[string]bool{}
		for _, e := range all {
			sign := ""
			for _, n := range e.Notes {
				sign += fmt.Sprint(n.Tick, n.Length, int(n.Key)-int(e.Notes[0].Key), " ")
			}
			require.False(t, seen[sign], "level %d: %s", level, e.Idea)
			seen[sign] = true
		}
	}
}

// The same request makes the same lines, in another key and range the same lines moved.
func TestTranspositionCommutes(t *testing.T) {
	for level := material.MinLevel; level <= material.MaxLevel; level++ {
		r := material.Request{Level: level, Seed: 5, Count: 3, Range: material.Range{Low: 58, High: 84}}
		want := lines(t, "C6", r)
		require.Equal(t, want, lines(t, "C6", r))
		for i, symbol := range []string{"Db6", "D6", "Eb6"} {
			moved := r
			moved.Range.Low += uint8(i + 1)
			moved.Range.High += uint8(i + 1)
			for j, e := range lines(t, symbol, moved) {
				for k := range e.Notes {
					e.Notes[k].Key -= uint8(i + 1)
				}
				require.Equal(t, want[j].Notes, e.Notes, "%s, level %d, line %d", symbol, level, j+1)
			}
		}
	}
}

// Length, leap and density are kept; ranges are those of instruments, too.
func TestWhatIsAskedForIsKept(t *testing.T) {
	for _, name := range material.Instruments() {
		within, err := material.ParseRange(name)
		require.NoError(t, err, name)
		if name < "p" {
			continue // enough of them
		}
		for _, e := range lines(t, "F6", material.Request{Level: 2, Seed: 2, Count: 2, Range: within}) {
			for _, n := range e.Notes {
				require.True(t, n.Key >= within.Low && n.Key <= within.High, name)
			}
		}
	}
	for bars := 2; bars <= material.MaxLineBars; bars++ {
		for _, level := range []int{1 + bars%3, 4 + bars%2} {
			for _, e := range lines(t, "C6", material.Request{Level: level, Seed: 2, Count: 1, Bars: bars, Leap: 7, Density: 7}) {
				require.Len(t, e.Line.Bars, bars)
				require.LessOrEqual(t, len(e.Notes), 7*bars)
				for i := 1; i < len(e.Notes); i++ {
					if e.Notes[i-1].Tick+e.Notes[i-1].Length == e.Notes[i].Tick {
						require.LessOrEqual(t, tone.Apart(int(e.Notes[i-1].Key), int(e.Notes[i].Key)), 7)
					}
				}
			}
		}
	}
}

func TestRequestsThatCannotBe(t *testing.T) {
	for want, r := range map[string]material.Request{
		"level 6: expected 1 to 5":                                              {Level: 6},
		"101 lines: expected 1 to 100":                                          {Count: 101},
		"a line of 9 bars: expected 1 to 8 at level 2":                          {Bars: 9},
		"a line of 1 bars: expected 2 to 8 at level 4":                          {Bars: 1, Level: 4},
		"the range C4-C5 is too narrow: expected an octave and a fifth or more": {Range: material.Range{Low: 60, High: 72}},
		"a largest leap of 13 semitones: expected 5 to 12":                      {Leap: 13},
		"2 notes a bar: expected 3 to 12":                                       {Density: 2},
	} {
		_, err := material.Lines(chord(t, "C6"), harmony.Scale{}, r)
		require.EqualError(t, err, want)
	}
}

func BenchmarkHundredLines(b *testing.B) {
	for level := material.MinLevel; level <= material.MaxLevel; level++ {
		b.Run(fmt.Sprint("level ", level), func(b *testing.B) {
			for i := range b.N {
				lines(b, "C6", material.Request{Level: level, Seed: uint64(i + 1), Count: 100})
			}
		})
	}
}
