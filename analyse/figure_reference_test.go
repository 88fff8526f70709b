package analyse_test

import (
	"cmp"
	"maps"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"shedlight/analyse"
	"shedlight/analyse/changes"
	"shedlight/analyse/figure"
	"shedlight/analyse/harmony"
	"shedlight/analyse/tone"
)

// The figures found a second time: slowly, with the whole take in hand, by
// trying every first and last note. It takes the line from the reference judge
// and shares no code with the analyser.

// refFigure is what the two must agree on.
type refFigure struct {
	kind        string
	up          bool
	first, last int64 // note numbers; of the last the tick
	notes       int
	chords      []string
	halfSteps   int
	link        string
}

// figureFinder is a take and the chords of its scales.
type figureFinder struct {
	*judge
	setup   analyse.Setup
	events  []analyse.Event
	chords  map[harmony.Scale]map[string]tone.Set
	figures []refFigure
	ends    []int // in the line: where each figure but the leaps starts and ends, two by two
	breaks  []int // in the line: notes before which a rest lies
}

func refFigures(t require.TestingT, setup analyse.Setup, events []analyse.Event) []refFigure {
	f := &figureFinder{
		judge: &judge{chart: true, notes: refNotes(setup, events)},
		setup: setup, events: inOrder(events), chords: map[harmony.Scale]map[string]tone.Set{},
	}
	f.takeGlitchesOut(setup)
	for _, n := range f.line {
		if f.chords[n.scale] == nil {
			f.chords[n.scale] = familySets(t, n.scale)
		}
	}
	phrase := 0
	for i := range f.line {
		if i > 0 && f.rests(f.line[phrase:i], f.line[i]) {
			phrase = i
			f.breaks = append(f.breaks, i)
		} else if i > 0 && !f.together(f.line[i-1], f.line[i]) {
			f.breaks = append(f.breaks, i)
		}
	}
	for from := 0; from < len(f.line); {
		to := f.turn(from)
		f.split(from, to)
		switch next := to + 1; {
		case next == len(f.line):
			from = next
		case f.broken(next) || f.line[to].key == f.line[next].key:
			from = next
		default:
			from = to
		}
	}
	return f.figures
}

// rests reports whether a phrase is over before a note: a beat after the last
// of its latest four notes has come up.
func (f *figureFinder) rests(phrase []*refNote, n *refNote) bool {
	var up int64
	for _, p := range phrase[max(0, len(phrase)-4):] {
		up = max(up, p.released)
	}
	return n.tick-up >= phrase[len(phrase)-1].beat
}

// together reports whether one note comes right after another.
func (f *figureFinder) together(a, b *refNote) bool {
	gap := b.tick - a.tick
	return 2*gap < 3*b.beat || gap <= f.gap(b)
}

func (f *figureFinder) broken(i int) bool { return slices.Contains(f.breaks, i) }

// turn returns the last note of the stretch that starts at a note.
func (f *figureFinder) turn(from int) int {
	to := from
	for to+1 < len(f.line) && !f.broken(to+1) {
		d := f.line[to+1].key - f.line[to].key
		if d == 0 || to > from && (d > 0) != (f.line[to].key > f.line[to-1].key) {
			break
		}
		to++
	}
	return to
}

// split finds the figure of a stretch that stands before all others, then those
// to its left and right.
func (f *figureFinder) split(from, to int) {
	type found struct {
		refFigure
		from, to int
	}
	var all []found
	for i := from; i <= to; i++ {
		for k := i + 1; k <= to; k++ {
			up := f.line[k].key > f.line[i].key
			if names := f.walks(i, k); len(names) > 0 && k-i >= 2 && f.skip(i, k) {
				all = append(all, found{refFigure{kind: "arpeggio", up: up, chords: names}, i, k})
			}
			if halves, ok := f.runs(i, k); ok {
				all = append(all, found{refFigure{kind: "run", up: up, halfSteps: halves}, i, k})
			}
		}
	}
	slices.SortFunc(all, func(a, b found) int {
		beat := func(x found) int {
			if f.onBeat(x.from) {
				return 0
			}
			return 1
		}
		wide := func(x found) int { return min(1, f.seconds(x.from, x.to)) }
		return cmp.Or(
			cmp.Compare(b.to-b.from, a.to-a.from), wide(a)-wide(b), beat(a)-beat(b),
			a.from-b.from, cmp.Compare(a.kind, b.kind)) // the arpeggio comes first in the alphabet too
	})
	if len(all) == 0 {
		for i := from; i < to; i++ {
			if d := f.line[i+1].key - f.line[i].key; d > 4 || d < -4 {
				f.figures = append(f.figures, refFigure{
					kind: "leap", up: d > 0, first: f.line[i].n, last: f.line[i+1].tick, notes: 2,
				})
			}
		}
		return
	}
	best := all[0]
	f.split(from, best.from)
	best.first, best.last, best.notes = f.line[best.from].n, f.line[best.to].tick, best.to-best.from+1
	if n := len(f.ends); n > 0 {
		best.link = f.link(f.ends[n-1], best.from)
	}
	f.ends = append(f.ends, best.from, best.to)
	f.figures = append(f.figures, best.refFigure)
	f.split(best.to, to)
}

// link tells how a figure that starts at a note is joined to one that ended.
func (f *figureFinder) link(end, start int) string {
	d := f.line[start].key - f.line[end].key
	switch {
	case start == end:
		return "shared"
	case start != end+1 || f.broken(start):
		return ""
	case -2 <= d && d <= 2:
		return "step"
	}
	return "jump"
}

// walks returns the chords in whose order the notes go, by name: family chords,
// and the written chord for one of the same tones.
func (f *figureFinder) walks(from, to int) []string {
	notes, first := f.line[from:to+1], f.line[from]
	oneScale := !slices.ContainsFunc(notes, func(n *refNote) bool {
		return n.scale != first.scale || n.slot.Centre != first.slot.Centre
	})
	written := refWritten(first.slot.Chord)
	oneChord := written != 0 && !slices.ContainsFunc(notes, func(n *refNote) bool { return n.slot.Chord != first.slot.Chord })
	var names []string
	for name, set := range f.chords[first.scale] {
		if oneScale && inTheOrderOf(set, notes, false, 0) && !(oneChord && set == written) {
			names = append(names, name)
		}
	}
	if oneChord && inTheOrderOf(written, notes, len(written.Classes()) > 4, first.slot.Chord.Root.Class()) {
		names = append(names, first.slot.Symbol)
	}
	slices.Sort(names)
	return names
}

// refWritten are the tones above the root of a chord, the bass of a slash chord
// not counted in.
func refWritten(c harmony.Chord) (set tone.Set) {
	for d := harmony.One; d <= harmony.Seven; d++ {
		if c.Formula.Has(d) {
			set |= 1 << tone.ClassOf(int(c.Root.Class())+d.Semitones())
		}
	}
	return set
}

// inTheOrderOf reports whether each note leads to the next: with no tone of the
// chord between, or from the fifth of one of its triads to the root. A chord with
// tensions goes through all of each triad, and by a second to the root alone.
func inTheOrderOf(chord tone.Set, notes []*refNote, tensions bool, root tone.Class) bool {
	played := map[tone.Class]bool{}
	for i, n := range notes {
		played[n.class()] = true
		if i == 0 {
			continue
		}
		low, high := min(n.key, notes[i-1].key), max(n.key, notes[i-1].key)
		next := gapless(chord, low, high) && !(tensions && high-low <= 2 && tone.ClassOf(high) != root)
		for triadRoot := range 12 {
			for _, triad := range []tone.Set{tone.SetOf(0, 4, 7), tone.SetOf(0, 3, 7), tone.SetOf(0, 3, 6), tone.SetOf(0, 4, 8)} {
				triad = triad.Transpose(triadRoot)
				next = next || triad&chord == triad && gapless(triad, low, high) && (tensions || tone.ClassOf(high-triadRoot) == 0)
			}
		}
		if !next {
			return false
		}
	}
	return len(played) >= 3
}

// gapless reports whether two keys are tones of a set with none of it between.
func gapless(set tone.Set, low, high int) bool {
	for key := low + 1; key < high; key++ {
		if set.Has(tone.ClassOf(key)) {
			return false
		}
	}
	return low < high && set.Has(tone.ClassOf(low)) && set.Has(tone.ClassOf(high))
}

func (f *figureFinder) skip(from, to int) bool { return f.seconds(from, to) < to-from }

// seconds counts the intervals that are steps of a scale.
func (f *figureFinder) seconds(from, to int) (n int) {
	for i := from; i < to; i++ {
		if distance(f.line[i], f.line[i+1]) <= 2 {
			n++
		}
	}
	return n
}

// runs reports whether the notes are a run, and how many half steps are put in.
func (f *figureFinder) runs(from, to int) (halves int, ok bool) {
	var tones []*refNote
	for i := from; i <= to; i++ {
		n := f.line[i]
		switch in := n.scale.Set().Has(n.class()); {
		case in:
			tones = append(tones, n)
		case i == from || i == to || distance(n, f.line[i-1]) != 1 || distance(n, f.line[i+1]) != 1:
			return 0, false
		default:
			halves++
		}
	}
	for i := 1; i < len(tones); i++ {
		a, b := tones[i-1], tones[i]
		if distance(a, b) > 2 {
			return 0, false
		}
		left := slices.Index(f.line, b) - slices.Index(f.line, a)
		middle := tone.ClassOf(min(a.key, b.key) + 1)
		if left == 1 && distance(a, b) == 2 && a.scale.Set() == b.scale.Set() && b.scale.Set().Has(middle) {
			return 0, false
		}
	}
	return halves, len(tones) >= 4
}

// onBeat reports whether a note of the line stands on the beat of a song that
// runs.
func (f *figureFinder) onBeat(i int) bool {
	n := f.line[i]
	var origin *analyse.Event
	for at := range f.events[:n.event] {
		if f.events[at].Kind == analyse.Origin {
			origin = &f.events[at]
		}
	}
	if origin == nil || origin.Key != 1 {
		return false
	}
	at := origin.Value + n.tick - origin.Tick
	beat := n.beat
	if at >= 0 {
		at %= f.setup.Timeline.Length
		at -= barAt(f.setup.Timeline, at).Start
	}
	past := (at%beat + beat) % beat
	return 10*past <= 2*beat || 10*past >= 9*beat
}

// saidFigures is what the analyser found.
func saidFigures(a *analyse.Analyser) []refFigure {
	var out []refFigure
	for _, g := range a.Figures() {
		chords := slices.Clone(g.Chords)
		slices.Sort(chords)
		out = append(out, refFigure{
			kind: g.Kind.String(), up: g.Up, first: g.N, last: g.End, notes: g.Notes,
			chords: chords, halfSteps: g.HalfSteps, link: g.Link.String(),
		})
	}
	return out
}

// requireFigures finds the figures of a take both ways.
func requireFigures(t require.TestingT, setup analyse.Setup, events []analyse.Event) []refFigure {
	a, err := analyse.New(setup)
	require.NoError(t, err)
	all(a, events[len(events)-1].Tick, events...)
	want := refFigures(t, setup, events)
	var counts figure.Counts
	for _, g := range want {
		switch g.kind {
		case "run":
			counts.Run++
		case "arpeggio":
			counts.Arpeggio++
		case "leap":
			counts.Leap++
		}
	}
	counts.Chord = a.Summary().Figures.Chord
	require.Equal(t, counts, a.Summary().Figures, written(events))
	got := saidFigures(a)
	require.Equal(t, want[len(want)-len(got):], got, written(events))
	return want
}

// figureTakes draws what is played over one of the charts, half of it with the
// figures of the generator.
func figureTakes(charts map[string]*changes.Timeline) *rapid.Generator[take] {
	names := slices.Sorted(maps.Keys(charts))
	return rapid.OneOf(takes(charts), rapid.Custom(func(t *rapid.T) take {
		s := setup(t)
		s.Timeline = charts[rapid.SampledFrom(names).Draw(t, "chart")]
		return take{s, improvised(t, s.Timeline, s.View)}
	}))
}

func TestFiguresAgreeWithTheReference(t *testing.T) {
	all := figureTakes(chartsToJudge(t))
	rapid.Check(t, func(t *rapid.T) {
		take := all.Draw(t, "take")
		requireFigures(t, take.setup, take.events)
	})
}

// The same takes each time, with every kind of figure and link in them.
func TestFiguresAgreeOnExamples(t *testing.T) {
	const examples = 500
	all := figureTakes(chartsToJudge(t))
	kinds := map[string]int{}
	for seed := range examples {
		take := all.Example(seed)
		for _, g := range requireFigures(t, take.setup, take.events) {
			kinds[g.kind]++
			kinds[g.link]++
			if g.halfSteps > 0 {
				kinds["half step"]++
			}
		}
	}
	t.Log(kinds)
	for _, kind := range []string{"run", "arpeggio", "leap", "half step", "shared", "step", "jump"} {
		require.NotZero(t, kinds[kind], kind)
	}
}
