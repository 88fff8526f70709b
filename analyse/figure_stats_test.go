package analyse_test

import (
	"maps"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/analysetest/linegen"
	"shedlight/analyse/changes"
	"shedlight/analyse/figure"
	"shedlight/analyse/harmony"
	"shedlight/analyse/song"
	"shedlight/analyse/tone"
)

// familySets are the chords of the two families of a scale, by what the program
// calls them: the home chord's and that of the major seventh.
func familySets(t require.TestingT, s harmony.Scale) map[string]tone.Set {
	out := map[string]tone.Set{}
	if s.None() {
		return out
	}
	roots := harmony.RootsIn(s)
	tones := s.Tones()
	for i, places := range [...][4]int{{0, 2, 4, 6}, {0, 2, 4, 7}} {
		if i > 0 && s.Kind != harmony.MajorSixth && s.Kind != harmony.MinorSixth {
			continue
		}
		var low, key uint8
		keys := make([]uint8, 4)
		for i, p := range places {
			for key = low; tone.ClassOf(int(key)) != tones[p].Class(); key++ {
			}
			keys[i], low = key, key
		}
		f, err := harmony.Expand(s, keys)
		require.NoError(t, err)
		for _, step := range f.Steps {
			name := harmony.NoteNames(step.Set, step.Bass, roots)
			if chord, ok := harmony.NameChordIn(step.Set, step.Bass, roots); ok {
				name = chord.Symbol()
			}
			if !slices.Contains(slices.Collect(maps.Values(out)), step.Set) {
				out[name] = step.Set
			}
		}
	}
	return out
}

// outlining counts how well arpeggios are heard.
type outlining struct {
	third, among  int // third tones and later without noise; the true chord among the candidates
	decided, only int // of these, tones that decide; the true chord the only one
	runs, named   int // notes in runs, three in a row; those called an arpeggio
}

func (o *outlining) add(p outlining) {
	o.third += p.third
	o.among += p.among
	o.decided += p.decided
	o.only += p.only
	o.runs += p.runs
	o.named += p.named
}

// outline plays a line and asks after each note what is being outlined.
func outline(t *testing.T, tl *changes.Timeline, view song.View, line []linegen.Note) (o outlining) {
	const sorted = 100 // ticks: over 50 ms at 500 ms a beat
	a := analyser(t, analyse.Setup{Timeline: tl, View: view})
	a.Add(analyse.Event{Kind: analyse.Origin, Key: 1})
	sets := map[harmony.Scale]map[string]tone.Set{}
	events := linegen.Events(line)
	at := 0
	for i, n := range line {
		seen := n.Tick + sorted
		if i+1 < len(line) {
			seen = min(seen, line[i+1].Tick)
		}
		for ; at < len(events) && events[at].Tick < seen; at++ {
			a.Add(events[at])
		}
		a.AdvanceTo(seen)
		if i < 2 || seen-n.Tick < sorted {
			continue
		}
		got := a.Snapshot().Outlined
		three := line[i-2 : i+1]
		if allRun(three) {
			o.runs++
			if got.Kind != figure.None && got.End == n.Tick {
				o.named++
			}
		}
		truth := n.Outlines
		if truth == 0 || len(sameArpeggio(three)) < len(three) {
			continue
		}
		slot := &tl.Slots[tl.SlotAt(n.Tick%tl.Length, 0)]
		scale := scaleOf(slot, view)
		if sets[scale] == nil {
			sets[scale] = familySets(t, scale)
		}
		played, from := tone.Set(0), i
		for from >= 0 && line[from].Figure == n.Figure && line[from].Outlines != 0 {
			played |= 1 << tone.ClassOf(int(line[from].Key))
			from--
		}
		if pieceOfAScale(line[from+1:i+1], played) {
			continue
		}
		o.third++
		// All under the written chord, with its ninth or without, is named by that alone.
		under := played.Within(slot.Chord.Set())
		for _, c := range withNinths(slot.Chord) {
			under = under || played.Within(refWritten(c))
		}
		if byWritten := got.End == n.Tick && slices.Equal(got.Chords, []string{slot.Symbol}); under && byWritten {
			o.among++
			o.decided++
			o.only++
			continue
		}
		holding := map[tone.Set]bool{}
		if written := slot.Chord.Set(); played.Within(written) {
			holding[written] = true
		}
		for _, set := range sets[scale] {
			if played.Within(set) {
				holding[set] = true
			}
		}
		heard := map[tone.Set]bool{}
		if got.End == n.Tick {
			for _, name := range got.Chords {
				set, family := sets[scale][name]
				if !family {
					require.Equal(t, slot.Symbol, name)
					set = slot.Chord.Set()
				}
				heard[set] = true
			}
		}
		if heard[truth] {
			o.among++
		}
		if len(holding) == 1 {
			o.decided++
			if heard[truth] && len(heard) == 1 {
				o.only++
			}
		}
	}
	return o
}

// pieceOfAScale reports whether notes of a chord are more steps than skips, or three tones
// with a second: a cell, that no name of a chord is asked for.
func pieceOfAScale(notes []linegen.Note, played tone.Set) bool {
	steps := 0
	for i := 1; i < len(notes); i++ {
		if distanceOf(notes[i-1], notes[i]) <= 2 {
			steps++
		}
	}
	return steps*2 >= len(notes)-1 || steps > 0 && played.Len() <= 3
}

func distanceOf(a, b linegen.Note) int { return tone.Apart(int(a.Key), int(b.Key)) }

func allRun(notes []linegen.Note) bool {
	return !slices.ContainsFunc(notes, func(n linegen.Note) bool { return n.Role != linegen.Run })
}

// sameArpeggio returns the notes that are of one arpeggio with the last one.
func sameArpeggio(notes []linegen.Note) []linegen.Note {
	last := notes[len(notes)-1]
	var out []linegen.Note
	for _, n := range notes {
		if n.Outlines == last.Outlines && n.Figure == last.Figure {
			out = append(out, n)
		}
	}
	return out
}

func percent(part, whole int) float64 { return 100 * float64(part) / float64(whole) }

// Arpeggios are heard through one wrong note in ten, and runs are not taken for
// arpeggios. What each note was meant to be is known from the generator; the
// bounds are this project's own.
func TestOutlining(t *testing.T) {
	const (
		choruses  = 12
		noise     = 0.10 // of the notes
		amongMin  = 99.0 // per cent
		onlyMin   = 95.0
		falseMost = 1.0
	)
	for _, view := range []song.View{song.KeyView, song.ChordView} {
		t.Run(view.String(), func(t *testing.T) {
			var sum outlining
			for _, name := range changes.GenericNames() {
				for key := range tone.Class(12) {
					tl := generic(t, name, key.Name().String())
					line := linegen.Spoil(linegen.Line(tl, view, uint64(key), choruses), noise, uint64(key)+1)
					sum.add(outline(t, tl, view, line))
				}
			}
			t.Logf("true chord among the candidates: %.2f %% of %d; the only one where a tone decides: %.2f %% of %d; runs called arpeggios: %.2f %% of %d",
				percent(sum.among, sum.third), sum.third, percent(sum.only, sum.decided), sum.decided, percent(sum.named, sum.runs), sum.runs)
			require.NotZero(t, sum.decided*sum.runs)
			require.GreaterOrEqual(t, percent(sum.among, sum.third), amongMin)
			require.GreaterOrEqual(t, percent(sum.only, sum.decided), onlyMin)
			require.LessOrEqual(t, percent(sum.named, sum.runs), falseMost)
		})
	}
}
