package analyse_test

import (
	"fmt"
	"slices"

	"shedlight/analyse/changes"
	"shedlight/analyse/harmony"
	"shedlight/analyse/tone"
)

// candidates are the figures that three notes or more can be.
func (f *figureFinder) candidates(from, to int) (all []foundFigure) {
	notes, n := f.line[from:to+1], to-from+1
	first, last := notes[0], notes[n-1]
	found := func(g foundFigure, is bool) {
		if is {
			g.from, g.to = from, to
			all = append(all, g)
		}
	}
	up := last.key > first.key
	plain := func(kind string, is bool) { found(foundFigure{refFigure: refFigure{kind: kind, up: up}}, is) }
	if f.oneWay(from, to) {
		names, halves, seconds := f.walks(from, to)
		found(foundFigure{refFigure: refFigure{kind: "arpeggio", up: up, chords: names, halfSteps: halves}, seconds: seconds}, len(names) > 0)
		for sort := range 3 {
			halves, ok := f.runs(from, to, sort)
			g := foundFigure{refFigure: refFigure{kind: "run", up: up, halfSteps: halves}, sort: sort}
			switch sort {
			case 1:
				g.without = "b6"
			case 2:
				g.chords = []string{first.slot.Symbol}
			}
			found(g, ok)
		}
		found(foundFigure{refFigure: refFigure{kind: "cell", up: up, chords: []string{first.slot.Symbol}}}, f.cell(notes))
	} else if names := f.broken(notes); len(names) > 0 {
		order := ""
		for _, x := range notes {
			place := 1
			for _, y := range notes {
				if y.key < x.key {
					place++
				}
			}
			order += fmt.Sprintf("-%d", place)
		}
		found(foundFigure{refFigure: refFigure{kind: "arpeggio", up: up, chords: names, order: order[1:]}}, true)
	}
	plain("repeated", !slices.ContainsFunc(notes, func(x *refNote) bool { return x.key != first.key }))
	trill := n >= 4 && 1 <= distance(notes[0], notes[1]) && distance(notes[0], notes[1]) <= 2
	thirds := n >= 6 && n%2 == 0
	for i := 2; i < n; i++ {
		trill = trill && notes[i].key == notes[i-2].key
	}
	for i := 0; thirds && i < n; i += 2 {
		a, b := notes[i], notes[i+1]
		thirds = f.third(a, b) && (b.key > a.key) == (notes[1].key > first.key)
		if i > 0 {
			d := distance(notes[i-2], a)
			thirds = thirds && 1 <= d && d <= 2 && (a.key > notes[i-2].key) == (notes[2].key > first.key)
		}
	}
	plain("trill", trill)
	found(foundFigure{refFigure: refFigure{kind: "thirds", up: n > 2 && notes[2].key > first.key}}, thirds)
	plain("enclosure", encloses(notes))
	return all
}

// third reports whether two tones of the scale, or of the chord's seven, are three or
// four semitones or two steps of the scale apart.
func (f *figureFinder) third(a, b *refNote) bool {
	if !inScale(a) || !inScale(b) {
		return false
	}
	d, low := distance(a, b), min(a.key, b.key)
	middle := a.scale.Set() == b.scale.Set() && !a.outside() && !b.outside() && d == 2 && a.scale.Set().Has(tone.ClassOf(low+1))
	return d == 3 || d == 4 || middle
}

// seven are the seven tones that are run through over the chord of a note.
func seven(n *refNote) tone.Set {
	key := map[changes.Mode]tone.Set{
		changes.Major: tone.SetOf(0, 2, 4, 5, 7, 9, 11), changes.Minor: tone.SetOf(0, 2, 3, 5, 7, 8, 10),
	}[n.slot.Centre.Mode]
	return n.slot.Chord.SevenTones(key.Transpose(int(n.slot.Centre.Tonic.Class())))
}

func inScale(n *refNote) bool { return n.scale.Set().Has(n.class()) || seven(n).Has(n.class()) }

// cell reports whether four notes that go one way under one chord are two steps and a
// skip of at most a fourth.
func (f *figureFinder) cell(notes []*refNote) bool {
	if len(notes) != 4 || notes[0].slot.Chord.None() {
		return false
	}
	steps, skips := 0, 0
	for i, n := range notes {
		if !inScale(n) || n.slot.Chord != notes[0].slot.Chord {
			return false
		}
		if i > 0 {
			switch d := distance(n, notes[i-1]); {
			case d <= 2:
				steps++
			case d <= 5:
				skips++
			}
		}
	}
	return steps == 2 && skips == 1
}

// broken returns the chords whose four tones some notes are.
func (f *figureFinder) broken(notes []*refNote) (names []string) {
	first := notes[0]
	if len(notes) != 4 {
		return nil
	}
	low, high, set := 127, 0, tone.Set(0)
	for _, n := range notes {
		if n.slot.Chord != first.slot.Chord || n.scale != first.scale || n.slot.Centre != first.slot.Centre {
			return nil
		}
		low, high, set = min(low, n.key), max(high, n.key), set|tone.SetOf(n.class())
	}
	if set.Len() != 4 || high-low > 11 {
		return nil
	}
	chord := first.slot.Chord
	root := tone.SetOf(chord.Root.Class())
	plain := chord
	plain.Formula &^= harmony.FormulaOf(harmony.Nine, harmony.FlatNine, harmony.SharpNine)
	written := set == refWritten(plain) || set == refWritten(chord)&^root
	for _, c := range withNinths(chord) {
		written = written || set == refWritten(c)&^root
	}
	if written && !chord.None() {
		return []string{first.slot.Symbol}
	}
	for name, its := range f.chords[first.scale] {
		if its == set {
			names = append(names, name)
		}
	}
	slices.Sort(names)
	return names
}

// withNinths are a seventh chord and the ninths on top of it: over a major seventh, a
// minor seventh with a natural fifth and a dominant the natural one, over a dominant the
// flat one too.
func withNinths(c harmony.Chord) (out []harmony.Chord) {
	has := c.Formula.Has
	third, flat := has(harmony.Three), has(harmony.FlatThree) && !has(harmony.FlatFive)
	if has(harmony.Nine) || has(harmony.FlatNine) || has(harmony.SharpNine) || !(third || flat) || !(has(harmony.Seven) || has(harmony.FlatSeven)) {
		return nil
	}
	nine, flatNine := c, c
	nine.Formula |= harmony.FormulaOf(harmony.Nine)
	flatNine.Formula |= harmony.FormulaOf(harmony.FlatNine)
	if third && has(harmony.FlatSeven) {
		return []harmony.Chord{nine, flatNine}
	}
	return []harmony.Chord{nine}
}

// encloses reports whether some notes lead into a tone of the chord from both sides.
func encloses(notes []*refNote) bool {
	goal := notes[len(notes)-1]
	tones := goal.slot.Chord.Set()
	if tones == 0 {
		tones = goal.scale.Home()
	}
	var ways []int
	for _, n := range notes[:len(notes)-1] {
		ways = append(ways, n.key-goal.key)
	}
	shapes := [][]int{
		{1, -1}, {1, -2}, {2, -1}, {2, -2}, {2, 1, -1}, {2, 1, -2}, {1, -2, -1}, {2, -2, -1},
	}
	return tones.Has(goal.class()) && slices.ContainsFunc(shapes, func(shape []int) bool {
		mirrored := slices.Clone(shape)
		for i := range mirrored {
			mirrored[i] = -mirrored[i]
		}
		return slices.Equal(ways, shape) || slices.Equal(ways, mirrored)
	})
}

// walks returns the chords in whose order the notes go, with the fewest half steps put
// in: the written one alone, or family chords, by name.
func (f *figureFinder) walks(from, to int) (names []string, halves, seconds int) {
	notes, first := f.line[from:to+1], f.line[from]
	oneScale := !slices.ContainsFunc(notes, func(n *refNote) bool {
		return n.scale != first.scale || n.slot.Centre != first.slot.Centre
	})
	chord := first.slot.Chord
	oneChord := !slices.ContainsFunc(notes, func(n *refNote) bool { return n.slot.Chord != chord })
	written := false
	consider := func(name string, isWritten bool, set tone.Set, tensions bool) {
		w, ok := walkAlong(set, notes, tensions, chord.Root.Class())
		if !ok || len(names) > 0 && w.halves > halves {
			return
		}
		if len(names) == 0 || w.halves < halves {
			names, halves, seconds, written = nil, w.halves, w.seconds, false
		}
		if isWritten && !written {
			names, written = nil, true
		}
		if isWritten == written && !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	if oneScale {
		for name, set := range f.chords[first.scale] {
			consider(name, false, set, false)
		}
	}
	if oneChord && !chord.None() {
		set := refWritten(chord)
		consider(first.slot.Symbol, true, set, len(set.Classes()) > 4)
		for _, c := range withNinths(chord) {
			consider(first.slot.Symbol, true, refWritten(c), len(refWritten(c).Classes()) > 4)
		}
	}
	slices.Sort(names)
	return names, halves, seconds
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

// walked is what a walk along a chord is made of.
type walked struct{ halves, seconds int }

// walkAlong goes from tone to tone of a chord, past half steps that are in no scale there and
// lead on. ok is false where it does not come to the last note, has fewer than three
// tones, three with a second or no more skips than seconds.
func walkAlong(chord tone.Set, notes []*refNote, tensions bool, root tone.Class) (w walked, ok bool) {
	played := map[tone.Class]bool{notes[0].class(): true}
	skips := 0
	for i := 0; i < len(notes)-1; {
		next := i + 1
		if !leads(chord, notes[i], notes[next], tensions, root) {
			next++
			w.halves++
			if next == len(notes) || inScale(notes[i+1]) || distance(notes[i+1], notes[next]) != 1 ||
				!leads(chord, notes[i], notes[next], tensions, root) {
				return w, false
			}
		}
		if distance(notes[i], notes[next]) <= 2 {
			w.seconds++
		} else {
			skips++
		}
		played[notes[next].class()] = true
		i = next
	}
	return w, len(played) >= 3 && skips > w.seconds && (len(played) > 3 || w.seconds == 0)
}

// leads reports whether one note leads to the next: with no tone of the chord
// between, or from the fifth of one of its triads to the root. A chord with tensions
// goes through all of each triad, and by a second to the root alone.
func leads(chord tone.Set, a, b *refNote, tensions bool, root tone.Class) bool {
	low, high := min(a.key, b.key), max(a.key, b.key)
	next := gapless(chord, low, high) && !(tensions && high-low <= 2 && tone.ClassOf(high) != root)
	for triadRoot := range 12 {
		for _, triad := range []tone.Set{tone.SetOf(0, 4, 7), tone.SetOf(0, 3, 7), tone.SetOf(0, 3, 6), tone.SetOf(0, 4, 8)} {
			triad = triad.Transpose(triadRoot)
			next = next || triad&chord == triad && gapless(triad, low, high) && (tensions || tone.ClassOf(high-triadRoot) == 0)
		}
	}
	return next
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

// runs reports whether the notes are a run of the whole scale, of the scale without its
// flat six or of the chord's seven tones, and how many half steps are put in.
func (f *figureFinder) runs(from, to, sort int) (halves int, ok bool) {
	in := func(n *refNote) tone.Set {
		sixth := n.scale.Kind == harmony.MajorSixth || n.scale.Kind == harmony.MinorSixth
		switch {
		case sort == 0:
			return n.scale.Set()
		case sort == 2:
			return seven(n)
		case sixth:
			return n.scale.Set() &^ tone.SetOf(tone.ClassOf(int(n.scale.Root.Class())+8))
		}
		return 0
	}
	var tones []*refNote
	for i := from; i <= to; i++ {
		n := f.line[i]
		switch {
		case in(n).Has(n.class()):
			tones = append(tones, n)
		case i == from || i == to || !n.outside() || distance(n, f.line[i-1]) != 1 || distance(n, f.line[i+1]) != 1:
			return 0, false
		default:
			halves++
		}
	}
	for i := 1; i < len(tones); i++ {
		a, b := tones[i-1], tones[i]
		direct := slices.Index(f.line, b)-slices.Index(f.line, a) == 1
		d := distance(a, b)
		switch {
		case d > 3, d == 3 && (!direct || in(a) != in(b)):
			return 0, false
		case direct && in(a) == in(b) && !gapless(in(a), min(a.key, b.key), max(a.key, b.key)):
			return 0, false
		}
	}
	return halves, len(tones) >= 4
}
