package changes

import (
	"fmt"
	"slices"
)

// flow is what a measure says of the order of playing.
type flow struct {
	repeats
	jumps
}

// repeats are the repeat signs and endings of a measure.
type repeats struct {
	forward, backward, afterJump bool
	times                        int   // passes that a backward repeat asks for; 0: not said
	endings                      []int // it begins the ending with these numbers
	endingStops                  bool
}

// jumps are the D.C., the D.S. and their places in a measure; the text is the
// label that ties them.
type jumps struct {
	segno, coda, toCoda, dalSegno string
	daCapo, fine                  bool
	alCoda, alFine                bool // what the words of the jump promise
}

// flowError says which measure keeps a form from being played out.
type flowError struct {
	bar             int // an index
	found, expected string
}

// playOrder returns the measures in the order they sound, or what keeps the
// form from being played out: nothing is guessed.
//
// Repeats are played as often as their times or their endings ask. An ending
// lasts to the backward repeat before the next one, whatever its bracket says.
// A D.C. or D.S. is taken once, at the end of its measure, when its repeats are
// over. After it repeats are not played again, unless after-jump says so, and of
// the endings the one with the Fine or the To Coda counts, else the last; Fine
// ends and To Coda leaves at the end of its measure; the coda is new and its
// repeats are played (common practice; the attributes are those of MusicXML
// 4.0, element sound). The result is bounded by MaxBars, and every measure is
// in it: one that is never reached is an error.
func playOrder(bars []flow) ([]int, *flowError) {
	w := orderWalk{bars: bars, taken: map[int]bool{}}
	w.restart(0)
	for i := 0; i < len(bars); {
		if bars[i].forward && w.start != i {
			w.restart(i)
		}
		if bars[i].endings != nil {
			if !slices.Contains(w.group, i) || i == w.group[0] {
				w.group = w.groupFrom(i)
			}
			w.ending, w.endingEnd = i, w.afterEnding(i)
			if !w.plays(i) {
				i = w.endingEnd
				continue
			}
		}
		if len(w.out) == MaxBars {
			return nil, &flowError{i, fmt.Sprintf("a form of more than %d measures", MaxBars), "at most that many"}
		}
		w.out = append(w.out, i)
		next, more := w.leave(i)
		if w.wrong != nil {
			return nil, w.wrong
		}
		if !more {
			break
		}
		i = next
	}
	return w.out, w.unreached()
}

// orderWalk is the state of playing.
type orderWalk struct {
	bars      []flow
	out       []int
	start     int          // where the repeat being played begins
	pass      int          // of that repeat, from 1
	ending    int          // the measure the present ending began in, or -1
	endingEnd int          // the one after it
	group     []int        // the measures that begin the endings of its repeat
	again     bool         // measures are played again, after a jump
	jump      int          // the measure of the last jump
	taken     map[int]bool // jumps that have been taken, by their measure
	wrong     *flowError
}

// restart begins a repeat at a measure.
func (w *orderWalk) restart(at int) { w.start, w.pass, w.ending = at, 1, -1 }

// unreached returns the first measure that was not played.
func (w *orderWalk) unreached() *flowError {
	played := make([]bool, len(w.bars))
	for _, i := range w.out {
		played[i] = true
	}
	if i := slices.Index(played, false); i >= 0 {
		return &flowError{i, "a measure that the repeats, endings and jumps never reach", "a form that can be played out"}
	}
	return nil
}

// plays reports whether the ending at a measure, one of the group, is played on
// this pass.
func (w *orderWalk) plays(i int) bool {
	if !w.again {
		return slices.Contains(w.bars[i].endings, w.pass)
	}
	jump := &w.bars[w.jump]
	for _, start := range w.group {
		for j := start; j < w.afterEnding(start); j++ {
			if w.bars[j].fine && !jump.alCoda || w.bars[j].toCoda != "" && !jump.alFine {
				return i == start
			}
		}
	}
	return i == w.group[len(w.group)-1]
}

// groupFrom returns the measures that begin the endings of one repeat, given the
// first.
func (w *orderWalk) groupFrom(i int) []int {
	group := []int{i}
	for {
		next := w.afterEnding(i)
		if next == len(w.bars) || w.bars[next].endings == nil || slices.Max(w.bars[next].endings) <= slices.Max(w.bars[i].endings) {
			return group
		}
		group, i = append(group, next), next
	}
}

// afterEnding returns the measure after the ending that begins at one.
func (w *orderWalk) afterEnding(i int) int {
	for j := i; j < len(w.bars); j++ {
		switch b := &w.bars[j]; {
		case j > i && (b.endings != nil || b.forward):
			return j
		case b.backward:
			return j + 1
		case b.endingStops && !w.lasts(i, j):
			return j + 1
		}
	}
	return len(w.bars)
}

// lasts reports whether the ending from measure i goes on after the bracket that
// closes in measure j: to a backward repeat behind which the next ending begins.
func (w *orderWalk) lasts(i, j int) bool {
	for k := j + 1; k+1 < len(w.bars); k++ {
		if b := &w.bars[k]; b.endings != nil || b.forward {
			return false
		}
		if w.bars[k].backward {
			next := w.bars[k+1].endings
			return next != nil && slices.Min(next) > slices.Max(w.bars[i].endings)
		}
	}
	return false
}

// leave returns the measure played after measure i, and whether there is one.
func (w *orderWalk) leave(i int) (next int, more bool) {
	b := &w.bars[i]
	if b.backward && (!w.again || b.afterJump) {
		passes := max(b.times, 2)
		if w.ending >= 0 {
			passes = max(b.times, slices.Max(w.bars[w.group[len(w.group)-1]].endings))
		}
		if w.pass < passes {
			w.pass++
			w.ending = -1
			return w.start, true
		}
	}
	if b.backward || w.ending >= 0 && i+1 == w.endingEnd {
		w.restart(i + 1)
	}
	switch {
	case w.again && b.fine && !w.bars[w.jump].alCoda:
		return 0, false
	case w.again && b.toCoda != "" && !w.bars[w.jump].alFine:
		to, ok := w.find(b.toCoda, func(b *flow) string { return b.coda })
		if !ok {
			w.wrong = &flowError{i, "a To Coda", "a coda to go to"}
			return 0, false
		}
		if !w.taken[-1-i] {
			w.taken[-1-i] = true
			w.again = false
			w.restart(to)
			return to, true
		}
	case w.taken[i]:
		w.again = w.again && i != w.jump // what follows is new
	case b.daCapo:
		return w.jumpTo(i, 0), true
	case b.dalSegno != "":
		to, ok := w.find(b.dalSegno, func(b *flow) string { return b.segno })
		if !ok {
			w.wrong = &flowError{i, "a D.S. without a segno", "a segno to go back to"}
			return 0, false
		}
		return w.jumpTo(i, to), true
	}
	return i + 1, true
}

// jumpTo takes a D.C. or D.S., if what its words promise is there.
func (w *orderWalk) jumpTo(from, to int) int {
	b := &w.bars[from]
	there := func(has func(*flow) bool) bool {
		return slices.ContainsFunc(w.bars[to:], func(b flow) bool { return has(&b) })
	}
	switch {
	case b.alFine && !there(func(b *flow) bool { return b.fine }):
		w.wrong = &flowError{from, "an al Fine", "the word Fine where it ends"}
	case b.alCoda && !there(func(b *flow) bool { return b.toCoda != "" }):
		w.wrong = &flowError{from, "an al Coda", "a To Coda where it leaves"}
	}
	w.taken[from], w.again, w.jump = true, true, from
	w.restart(to)
	return to
}

// find returns the measure with a label, or the first with any where none has
// this one.
func (w *orderWalk) find(label string, of func(*flow) string) (int, bool) {
	same := func(b flow) bool { return of(&b) == label }
	if i := slices.IndexFunc(w.bars, same); i >= 0 {
		return i, true
	}
	i := slices.IndexFunc(w.bars, func(b flow) bool { return of(&b) != "" })
	return i, i >= 0
}
