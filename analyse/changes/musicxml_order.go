package changes

import "slices"

// playOrder returns the measures of a part in the order they sound.
//
// Repeats are played as often as their times or their endings ask. A D.C. or
// D.S. is taken once, at the end of its measure, when its repeats are over.
// After it repeats are not played again, unless after-jump says so, and the
// last ending counts; Fine ends and To Coda leaves at the end of its measure
// (common practice; the attributes are those of MusicXML 4.0, element sound).
// The result is bounded by MaxBars.
func playOrder(bars []sheetBar) ([]int, error) {
	w := orderWalk{bars: bars, taken: map[int]bool{}}
	w.restart(0)
	for i := 0; i < len(bars); {
		if bars[i].forward && w.start != i {
			w.restart(i)
		}
		if bars[i].endings != nil {
			w.ending = i
			if !w.plays(i) {
				i = w.afterEnding(i)
				continue
			}
		}
		if len(w.out) == MaxBars {
			return nil, ErrTooLong
		}
		w.out = append(w.out, i)
		next, more := w.leave(i)
		if !more {
			break
		}
		i = next
	}
	return w.out, nil
}

// orderWalk is the state of playing a part.
type orderWalk struct {
	bars   []sheetBar
	out    []int
	start  int // where the repeat being played begins
	pass   int // of that repeat, from 1
	ending int // the measure the present ending began in, or -1
	jumped bool
	taken  map[int]bool // jumps that have been taken, by their measure
}

// restart begins a repeat at a measure.
func (w *orderWalk) restart(at int) { w.start, w.pass, w.ending = at, 1, -1 }

// plays reports whether the ending at a measure is played on this pass.
func (w *orderWalk) plays(i int) bool {
	pass := w.pass
	if w.jumped {
		pass = w.lastPass(i)
	}
	return slices.Contains(w.bars[i].endings, pass)
}

// afterEnding returns the measure after the ending that begins at one.
func (w *orderWalk) afterEnding(i int) int {
	for j := i; j < len(w.bars); j++ {
		if j > i && w.bars[j].endings != nil {
			return j
		}
		if w.bars[j].endingStops || w.bars[j].backward {
			return j + 1
		}
	}
	return len(w.bars)
}

// lastPass returns the highest number of the ending at a measure and those
// that follow it.
func (w *orderWalk) lastPass(i int) int {
	last := 0
	for i < len(w.bars) && w.bars[i].endings != nil && slices.Max(w.bars[i].endings) > last {
		last = slices.Max(w.bars[i].endings)
		i = w.afterEnding(i)
	}
	return last
}

// leave returns the measure played after measure i, and whether there is one.
func (w *orderWalk) leave(i int) (next int, more bool) {
	b := &w.bars[i]
	if b.backward && (!w.jumped || b.afterJump) {
		passes := max(b.times, 2)
		if w.ending >= 0 {
			passes = max(b.times, w.lastPass(w.ending))
		}
		if w.pass < passes {
			w.pass++
			w.ending = -1
			return w.start, true
		}
	}
	if b.backward || b.endingStops {
		w.restart(i + 1)
	}
	switch {
	case w.jumped && b.fine:
		return 0, false
	case w.jumped && b.toCoda != "":
		if to, ok := w.find(b.toCoda, func(b *sheetBar) string { return b.coda }); ok && !w.taken[-1-i] {
			w.taken[-1-i] = true
			w.restart(to)
			return to, true
		}
	case w.taken[i]:
	case b.daCapo:
		return w.jump(i, 0), true
	case b.dalSegno != "":
		if to, ok := w.find(b.dalSegno, func(b *sheetBar) string { return b.segno }); ok {
			return w.jump(i, to), true
		}
	}
	return i + 1, true
}

func (w *orderWalk) jump(from, to int) int {
	w.taken[from], w.jumped = true, true
	w.restart(to)
	return to
}

// find returns the measure with a label, or the first with any where none has
// this one.
func (w *orderWalk) find(label string, of func(*sheetBar) string) (int, bool) {
	same := func(b sheetBar) bool { return of(&b) == label }
	if i := slices.IndexFunc(w.bars, same); i >= 0 {
		return i, true
	}
	i := slices.IndexFunc(w.bars, func(b sheetBar) bool { return of(&b) != "" })
	return i, i >= 0
}
