package linegen_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/analysetest/linegen"
	"shedlight/analyse/changes"
	"shedlight/analyse/song"
	"shedlight/analyse/timebase"
	"shedlight/analyse/tone"
)

const charts = `title: Low Tide Waltz
key: F
meter: 3/4

| F6 | Gm7 C7 . | N.C. | C7b9 | {meter 6/8} F6 | Gm7 C7 |`

func timelines(t testing.TB) map[string]*changes.Timeline {
	out := map[string]*changes.Timeline{}
	for _, name := range changes.GenericNames() {
		chart, ok := changes.Generic(name)
		require.True(t, ok)
		line, err := chart.Unroll()
		require.NoError(t, err)
		out[name] = &line
	}
	chart, err := changes.Parse(strings.NewReader(charts))
	require.NoError(t, err)
	line, err := chart.Unroll()
	require.NoError(t, err)
	out["waltz"] = &line
	return out
}

// each calls f for lines over every timeline, in both views, by several seeds.
func each(t *testing.T, f func(t *testing.T, tl *changes.Timeline, view song.View, notes []linegen.Note)) {
	for name, tl := range timelines(t) {
		for _, view := range []song.View{song.KeyView, song.ChordView} {
			for seed := range uint64(8) {
				t.Run(fmt.Sprint(name, " ", view, " ", seed), func(t *testing.T) {
					f(t, tl, view, linegen.Line(tl, view, seed, 6))
				})
			}
		}
	}
}

func TestSameSeedSameLine(t *testing.T) {
	tl := timelines(t)["blues"]
	a, b := linegen.Line(tl, song.KeyView, 7, 3), linegen.Line(tl, song.KeyView, 7, 3)
	require.Equal(t, a, b)
	require.NotEqual(t, a, linegen.Line(tl, song.KeyView, 8, 3))
	require.Equal(t, linegen.Spoil(a, 0.1, 1), linegen.Spoil(a, 0.1, 1))
}

// One note at a time, in order, in range, and some of everything.
func TestLinesArePlayable(t *testing.T) {
	each(t, func(t *testing.T, tl *changes.Timeline, _ song.View, notes []linegen.Note) {
		require.Greater(t, len(notes), 6*len(tl.Bars), "a bar has a note and more, on average")
		figure := 0
		for i, n := range notes {
			require.GreaterOrEqual(t, n.Tick, int64(0))
			require.Less(t, n.Tick, 6*tl.Length)
			require.Positive(t, n.Length)
			require.True(t, n.Key >= 48 && n.Key <= 91, "key %d", n.Key)
			require.True(t, n.Velocity >= 1 && n.Velocity <= 127)
			require.NotEmpty(t, n.Role)
			require.GreaterOrEqual(t, n.Figure, figure)
			figure = n.Figure
			if i > 0 {
				require.LessOrEqual(t, notes[i-1].Tick+notes[i-1].Length, n.Tick)
				require.Greater(t, n.Tick, notes[i-1].Tick)
			}
		}
	})
}

func scaleAt(tl *changes.Timeline, view song.View, tick int64) (scale, chord tone.Set) {
	slot := tl.Slots[tl.SlotAt(tick%tl.Length, 0)]
	if view == song.ChordView {
		return slot.Own.Set(), slot.Chord.Set()
	}
	return slot.Key.Set(), slot.Chord.Set()
}

// Runs and arpeggios stay on the scale; an arpeggio walks through the tones of
// one chord, one after another, in one direction.
func TestFiguresAreWhatTheySay(t *testing.T) {
	each(t, func(t *testing.T, tl *changes.Timeline, view song.View, notes []linegen.Note) {
		const early = 64 // ticks: how far a line wavers, and more
		for i, n := range notes {
			at := n.Tick + early
			scale, _ := scaleAt(tl, view, at)
			if n.Role == linegen.Run || n.Role == linegen.Arpeggio {
				require.True(t, scale.Has(tone.ClassOf(int(n.Key))), "note %d, key %d in %v", i, n.Key, scale)
			}
			require.Equal(t, n.Role == linegen.Arpeggio, n.Outlines != 0)
			if n.Role != linegen.Arpeggio {
				continue
			}
			require.Equal(t, 4, n.Outlines.Len())
			require.True(t, n.Outlines.Has(tone.ClassOf(int(n.Key))))
			if i == 0 || notes[i-1].Figure != n.Figure {
				continue
			}
			require.Equal(t, notes[i-1].Outlines, n.Outlines)
			lo, hi := min(n.Key, notes[i-1].Key), max(n.Key, notes[i-1].Key)
			require.NotEqual(t, lo, hi)
			for k := lo + 1; k < hi; k++ {
				require.False(t, n.Outlines.Has(tone.ClassOf(int(k))), "no tone of the chord is left out")
			}
		}
	})
}

// Every chromatic tone goes where it was meant to go: by a semitone to the next
// note, or by the way its figure names.
func TestChromaticTonesResolve(t *testing.T) {
	each(t, func(t *testing.T, _ *changes.Timeline, _ song.View, notes []linegen.Note) {
		for i, n := range notes[:len(notes)-1] {
			d := int(notes[i+1].Key) - int(n.Key)
			switch n.Role {
			case linegen.Chromatic, linegen.Passing, linegen.Neighbour, linegen.Grace:
				require.Contains(t, []int{-1, 1}, d, "note %d, %s", i, n.Role)
			}
		}
	})
}

func TestAllRolesArePlayed(t *testing.T) {
	seen := map[linegen.Role]int{}
	for _, tl := range timelines(t) {
		for seed := range uint64(4) {
			for _, n := range linegen.Line(tl, song.ChordView, seed, 8) {
				seen[n.Role]++
			}
		}
	}
	for _, role := range []linegen.Role{linegen.Run, linegen.Arpeggio, linegen.ChordTone, linegen.Chromatic,
		linegen.DoubleChromatic, linegen.Enclosure, linegen.Passing, linegen.Neighbour, linegen.Push, linegen.Grace} {
		require.Positive(t, seen[role], role)
	}
	t.Log(seen)
}

// A phrase ends on a tone of the chord or of the home half: what comes before
// a rest is meant to be settled.
func TestPhrasesLand(t *testing.T) {
	landed, phrases := 0, 0
	for _, tl := range timelines(t) {
		notes := linegen.Line(tl, song.ChordView, 1, 12)
		for i, n := range notes[:len(notes)-1] {
			if notes[i+1].Tick-n.Tick-n.Length < timebase.Quarter/2 {
				continue
			}
			phrases++
			if n.Role == linegen.ChordTone || n.Role == linegen.Push {
				landed++
			}
		}
	}
	t.Logf("%d of %d phrases land", landed, phrases)
	require.Greater(t, landed*100, phrases*90)
}

func TestNothingIsPlayedWhereThereIsNoChord(t *testing.T) {
	tl := timelines(t)["waltz"]
	const early = 64
	for _, n := range linegen.Line(tl, song.KeyView, 3, 20) {
		scale, _ := scaleAt(tl, song.KeyView, n.Tick+early)
		require.NotZero(t, scale, "tick %d", n.Tick)
	}
}

func TestShiftAndSpoil(t *testing.T) {
	tl := timelines(t)["two-five-one"]
	line := linegen.Line(tl, song.KeyView, 1, 100)
	up := linegen.Shift(line, 1)
	spoiled, wrong := linegen.Spoil(line, 0.1, 1), 0
	for i := range line {
		require.Equal(t, line[i].Key+1, up[i].Key)
		require.Equal(t, line[i].Tick, spoiled[i].Tick)
		if spoiled[i].Role == linegen.Noise {
			wrong++
			require.NotEqual(t, line[i].Key, spoiled[i].Key)
			continue
		}
		require.Equal(t, line[i], spoiled[i])
	}
	require.InDelta(t, 0.1, float64(wrong)/float64(len(line)), 0.02)
}

func TestEventsReleaseBeforeTheyStrike(t *testing.T) {
	events := linegen.Events(linegen.Line(timelines(t)["turnaround"], song.KeyView, 1, 20))
	held := map[uint8]bool{}
	var now int64
	for _, e := range events {
		require.GreaterOrEqual(t, e.Tick, now)
		now = e.Tick
		require.Equal(t, e.Kind == analyse.NoteOff, held[e.Key], "tick %d", e.Tick)
		held[e.Key] = e.Kind == analyse.NoteOn
	}
}

// The first bar of a line over Dm7, in F major sixth-diminished, and where it
// leads: a B enclosed by its neighbours, the third of G7.
func ExampleLine() {
	chart, _ := changes.Generic("two-five-one")
	tl, _ := chart.Unroll()
	for _, n := range linegen.Line(&tl, song.ChordView, 5, 1)[:8] {
		bar, beat := tl.Position(n.Tick)
		fmt.Printf("bar %d, beat %.2f: %-2s %s\n", bar, beat, tone.ClassOf(int(n.Key)).Name(), n.Role)
	}
	// Output:
	// bar 1, beat 1.53: Db run
	// bar 1, beat 2.01: C  run
	// bar 1, beat 2.52: Bb run
	// bar 1, beat 3.02: A  run
	// bar 1, beat 3.52: G  run
	// bar 1, beat 4.02: Db enclosure
	// bar 1, beat 4.51: Bb enclosure
	// bar 2, beat 1.01: B  chord tone
}

// A player with a fault has it all the time; without one he plays the proper line.
func TestFaults(t *testing.T) {
	tl := timelines(t)["turnaround"]
	require.Equal(t, linegen.Line(tl, song.ChordView, 3, 8), linegen.Faulty(tl, song.ChordView, 3, 8, linegen.NoFault))
	const beat = timebase.Quarter
	// seen counts over so many choruses: changes of chord that a phrase goes over and
	// those it leaps over, notes on the beat and tones of the dim half alone among them, rests.
	seen := func(fault linegen.Fault) (leaps, dims float64, rests int) {
		var changes, leapt, on, dim float64
		notes := linegen.Faulty(tl, song.ChordView, 3, 20, fault)
		for i, n := range notes {
			slot := &tl.Slots[tl.SlotAt(n.Tick%tl.Length, 0)]
			if slot.Chord.None() {
				continue
			}
			if (n.Tick+beat/10)%beat < beat/5 {
				on++
				if !(slot.Own.Home() | slot.Chord.Set()).Has(tone.ClassOf(int(n.Key))) {
					dim++
				}
			}
			if i == 0 {
				continue
			}
			before := notes[i-1]
			if n.Tick-before.Tick-before.Length >= beat/2 {
				rests++
			} else if tl.SlotAt(before.Tick%tl.Length, 0) != tl.SlotAt(n.Tick%tl.Length, 0) {
				changes++
				if tone.Apart(int(n.Key), int(before.Key)) > tone.WholeStep {
					leapt++
				}
			}
		}
		return leapt / changes, dim / on, rests
	}
	leaps, dims, rests := seen(linegen.NoFault)
	require.Less(t, leaps, 0.5)
	require.Less(t, dims, 0.3)
	require.Greater(t, rests, 20)
	leaps, _, _ = seen(linegen.Leaps)
	require.Greater(t, leaps, 0.7)
	_, dims, _ = seen(linegen.DimOnBeat)
	require.Greater(t, dims, 0.5)
	_, _, rests = seen(linegen.NoRests)
	require.Zero(t, rests)
}
