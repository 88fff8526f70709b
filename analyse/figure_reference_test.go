package analyse_test

import (
	"cmp"
	"slices"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/harmony"
	"shedlight/analyse/tone"
)

// The figures found a second time: slowly, with the whole take in hand, by
// trying every first and last note. It takes the line from the reference judge
// and shares no code with the analyser.

// refFigure is what the two must agree on.
type refFigure struct {
	kind           string
	up             bool
	first, last    int64 // note numbers; of the last the tick
	notes          int
	chords         []string
	halfSteps      int
	without, order string
	link           string
}

// figureFinder is a take and the chords of its scales.
type figureFinder struct {
	*judge
	setup   analyse.Setup
	events  []analyse.Event
	chords  map[harmony.Scale]map[string]tone.Set
	figures []refFigure
	ends    []int // in the line: where each run or arpeggio starts and ends, two by two
	breaks  []int // in the line: notes before which a rest lies
}

func refFigures(t require.TestingT, setup analyse.Setup, events []analyse.Event) []refFigure {
	f := &figureFinder{
		judge: &judge{chart: true, notes: refNotes(setup, events), tempo: tempoMap(inOrder(events))},
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
	for _, end := range append(f.breaks, len(f.line)) {
		from := 0
		if i := slices.Index(f.breaks, end); i > 0 {
			from = f.breaks[i-1]
		} else if i < 0 && len(f.breaks) > 0 {
			from = f.breaks[len(f.breaks)-1]
		}
		f.stretch(from, end-1)
	}
	return f.figures
}

// stretch finds the figures of notes that come right after each other. Of 64 at a time
// it keeps those that end in the first half, or in front of the one that lies over the
// middle, or that one itself where it begins them.
func (f *figureFinder) stretch(from, to int) {
	const most = 64
	for to-from+1 >= most {
		all := f.split(from, from+most-1)
		cut := from + most/2
		if i := slices.IndexFunc(all, func(g foundFigure) bool { return g.from < cut && g.to > cut }); i >= 0 {
			if cut = all[i].from; cut == from {
				cut = all[i].to
			}
		}
		f.tell(slices.DeleteFunc(all, func(g foundFigure) bool { return g.to > cut }))
		from = cut
	}
	f.tell(f.split(from, to))
}

// tell adds figures, with their links.
func (f *figureFinder) tell(all []foundFigure) {
	for _, g := range all {
		g.first, g.last, g.notes = f.line[g.from].n, f.line[g.to].tick, g.to-g.from+1
		if g.kind == "run" || g.kind == "arpeggio" {
			if n := len(f.ends); n > 0 {
				g.link = f.link(f.ends[n-1], g.from)
			}
			f.ends = append(f.ends, g.from, g.to)
		}
		f.figures = append(f.figures, g.refFigure)
	}
}

// foundFigure is a figure with its first and last note in the line.
type foundFigure struct {
	refFigure
	from, to int
	seconds  int // of an arpeggio
	sort     int // of a run
}

// rests reports whether a phrase is over before a note.
func (f *figureFinder) rests(phrase []*refNote, n *refNote) bool {
	return (&refPhrase{notes: phrase}).isOverBefore(n)
}

// together reports whether one note comes right after another.
func (f *figureFinder) together(a, b *refNote) bool {
	gap := b.tick - a.tick
	return 2*gap < 3*b.beat || gap <= f.gap(b)
}

// oneWay reports whether some notes all go up or all go down.
func (f *figureFinder) oneWay(from, to int) bool {
	up := f.line[from+1].key > f.line[from].key
	for i := from; i < to; i++ {
		if d := f.line[i+1].key - f.line[i].key; d == 0 || (d > 0) != up {
			return false
		}
	}
	return true
}

// split finds the figure of some notes that stands before all others, then those to
// its left and right.
func (f *figureFinder) split(from, to int) []foundFigure {
	var all []foundFigure
	for i := from; i <= to; i++ {
		for k := i + 2; k <= to; k++ {
			all = append(all, f.candidates(i, k)...)
		}
	}
	ranks := map[string]int{"repeated": 1, "trill": 1, "thirds": 1, "cell": 3, "enclosure": 4}
	slices.SortStableFunc(all, func(a, b foundFigure) int {
		beat := func(x foundFigure) int {
			if f.onBeat(x.from) {
				return 0
			}
			return 1
		}
		rank := func(x foundFigure) int {
			if x.order != "" {
				return 2
			}
			return ranks[x.kind]
		}
		narrow := func(x foundFigure) int {
			if x.kind == "arpeggio" && x.seconds == 0 {
				return 0
			}
			return 1
		}
		return cmp.Or(
			cmp.Compare(b.to-b.from, a.to-a.from), rank(a)-rank(b), narrow(a)-narrow(b), beat(a)-beat(b),
			a.from-b.from, cmp.Compare(a.kind, b.kind), a.sort-b.sort) // the arpeggio comes first in the alphabet too
	})
	if len(all) > 0 {
		best := all[0]
		return slices.Concat(f.split(from, best.from), []foundFigure{best}, f.split(best.to, to))
	}
	var leaps []foundFigure
	for i := from; i < to; i++ {
		if d := f.line[i+1].key - f.line[i].key; d > 4 || d < -4 {
			leaps = append(leaps, foundFigure{refFigure: refFigure{kind: "leap", up: d > 0}, from: i, to: i + 1})
		}
	}
	return leaps
}

// link tells how a figure that starts at a note is joined to one that ended.
func (f *figureFinder) link(end, start int) string {
	d := f.line[start].key - f.line[end].key
	switch {
	case start == end:
		return "shared"
	case start != end+1 || slices.Contains(f.breaks, start):
		return ""
	case -2 <= d && d <= 2:
		return "step"
	}
	return "jump"
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
