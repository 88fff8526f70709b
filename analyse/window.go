package analyse

import (
	"shedlight/analyse/harmony"
	"shedlight/analyse/tone"
)

// Which scale fits the last bars: of all sixth-diminished scales the one that
// holds most of the time of the last 32 notes of the line and struck chords or the
// last four bars, whichever holds fewer. A note's time, and that of each tone of a
// chord, lasts until the next of them, a beat at the most. Two of these scales
// often share seven of their eight tones, so that several fit equally well; then
// all are told.

// Fit says which scales fit the last bars best. Notes is 0 where nothing was
// played in them.
type Fit struct {
	Notes  int             // in the window; a struck chord is one
	Scales []harmony.Scale // the best; several where they tie
	Inside int             // thousandths of the time that they hold
}

// fitNote is a note of the window, or a chord.
type fitNote struct {
	tick    int64
	classes tone.Set
	beat    int64 // ticks
	time    int64 // ticks; 0 for the last one
}

// fitWindow holds the last notes of the line and how long each pitch class
// lasted in them.
type fitWindow struct {
	notes [recentShare]fitNote // note i is at i modulo recentShare
	first int64                // the oldest in the window
	next  int64                // counts notes
	times [12]int64
	began int64 // tick of the first note of all
}

// add takes the next note of the line, or the first note of a chord with the
// tones of that; span is the length of the window in ticks.
func (w *fitWindow) add(p *played, classes tone.Set, span int64) {
	if w.next == 0 {
		w.began = p.tick
	}
	w.until(p.tick)
	w.forget(p.tick - span)
	if w.next-w.first == recentShare {
		w.drop()
	}
	w.notes[w.next%recentShare] = fitNote{tick: p.tick, classes: classes, beat: p.position.beatTicks}
	w.next++
}

// until says that the last note has lasted until tick.
func (w *fitWindow) until(tick int64) {
	if w.first == w.next {
		return
	}
	last := &w.notes[(w.next-1)%recentShare]
	time := min(tick-last.tick, last.beat)
	w.count(last.classes, time-last.time)
	last.time = time
}

// forget drops the notes before a tick.
func (w *fitWindow) forget(before int64) {
	for w.first < w.next && w.notes[w.first%recentShare].tick < before {
		w.drop()
	}
}

func (w *fitWindow) drop() {
	old := &w.notes[w.first%recentShare]
	w.count(old.classes, -old.time)
	w.first++
}

func (w *fitWindow) count(classes tone.Set, time int64) {
	for class := range classes.Each() {
		w.times[class] += time
	}
}

// outside returns the time that a scale does not hold.
func (w *fitWindow) outside(s tone.Set) (time int64) {
	for class := range (tone.All &^ s).Each() {
		time += w.times[class]
	}
	return time
}

// report looks at the window as it is at tick now; w is a copy.
func (w fitWindow) report(now, span int64) Fit {
	w.until(now)
	w.forget(now - span)
	fit := Fit{Notes: int(w.next - w.first)}
	total := w.outside(0)
	if total == 0 {
		return Fit{}
	}
	best := total
	for i := range fitScales {
		out := w.outside(fitScales[i].set)
		if out < best {
			best, fit.Scales = out, fit.Scales[:0]
		}
		if out == best {
			fit.Scales = append(fit.Scales, fitScales[i].scale)
		}
	}
	const thousandths = 1000
	fit.Inside = int((total - best) * thousandths / total)
	return fit
}

// fitScale is a scale that the window is compared with.
type fitScale struct {
	scale harmony.Scale
	set   tone.Set
}

// fitScales are all sixth-diminished scales that sound different, the major and
// minor ones first. It is never written.
var fitScales = func() (out []fitScale) {
	seen := map[tone.Set]bool{}
	for kind := harmony.MajorSixth; kind <= harmony.DominantSeventhFlatFive; kind++ {
		for class := range tone.Class(12) {
			s := harmony.NewScale(kind, class.Name())
			if chord, ok := harmony.NameChord(s.Home(), class); ok && chord.Root.Class() == class {
				s.Root = chord.Root // C# in the minor, Db in the major
			}
			if !seen[s.Set()] {
				seen[s.Set()] = true
				out = append(out, fitScale{scale: s, set: s.Set()})
			}
		}
	}
	return out
}()

// centreScales is how many of the first fitScales are the scale of a major or
// minor centre.
const centreScales = 24
