// Package ear hears which scale fits what was played of late, and with it which
// centre holds where none is given.
package ear

import (
	"shedlight/analyse/harmony"
	"shedlight/analyse/song"
	"shedlight/analyse/tone"
)

// Which scale fits the last bars: of all sixth-diminished scales the one that
// holds most of the time of the last 32 notes of the line and struck chords or the
// last four bars, whichever holds fewer. A note's time, and that of each tone of a
// chord, lasts until the next of them, a beat at the most. Two of these scales
// often share seven of their eight tones, so that several fit equally well; then
// none does.

// windowBars and windowNotes bound the window: so many bars, or notes and struck
// chords, whichever are fewer.
const windowBars, windowNotes = 4, 32

// windowNote is a note of the window, or a chord.
type windowNote struct {
	tick    int64
	classes tone.Set
	beat    int64 // ticks
	time    int64 // ticks; 0 for the last one
}

// window holds the last notes of the line and how long each pitch class
// lasted in them.
type window struct {
	notes [windowNotes]windowNote // note i is at i modulo windowNotes
	first int64                   // the oldest in the window
	next  int64                   // counts notes
	times [12]int64
	began int64 // tick of the first note of all
}

// add takes the next note of the line, or the first note of a chord with the
// tones of that; span is the length of the window in ticks.
func (w *window) add(n *song.Note, classes tone.Set, span int64) {
	if w.next == 0 {
		w.began = n.Tick
	}
	w.until(n.Tick)
	w.forget(n.Tick - span)
	if w.next-w.first == windowNotes {
		w.drop()
	}
	w.notes[w.next%windowNotes] = windowNote{tick: n.Tick, classes: classes, beat: n.Position.BeatTicks}
	w.next++
}

// until says that the last note has lasted until tick.
func (w *window) until(tick int64) {
	if w.first == w.next {
		return
	}
	last := &w.notes[(w.next-1)%windowNotes]
	time := min(tick-last.tick, last.beat)
	w.count(last.classes, time-last.time)
	last.time = time
}

// forget drops the notes before a tick.
func (w *window) forget(before int64) {
	for w.first < w.next && w.notes[w.first%windowNotes].tick < before {
		w.drop()
	}
}

func (w *window) drop() {
	old := &w.notes[w.first%windowNotes]
	w.count(old.classes, -old.time)
	w.first++
}

func (w *window) count(classes tone.Set, time int64) {
	for class := range classes.Each() {
		w.times[class] += time
	}
}

// outside returns the time that a scale does not hold.
func (w *window) outside(s tone.Set) (time int64) {
	for class := range (tone.All &^ s).Each() {
		time += w.times[class]
	}
	return time
}

// scale is a scale that the window is compared with.
type scale struct {
	harmony.Scale
	set tone.Set
}

// scales are all sixth-diminished scales that sound different, the major and
// minor ones first. It is never written.
var scales = func() (out []scale) {
	seen := map[tone.Set]bool{}
	for kind := harmony.MajorSixth; kind <= harmony.DominantSeventhFlatFive; kind++ {
		for class := range tone.Class(12) {
			s := harmony.NewScale(kind, class.Name())
			if chord, ok := harmony.NameChord(s.Home(), class); ok && chord.Root.Class() == class {
				s.Root = chord.Root // C# in the minor, Db in the major
			}
			if !seen[s.Set()] {
				seen[s.Set()] = true
				out = append(out, scale{Scale: s, set: s.Set()})
			}
		}
	}
	return out
}()

// centreScales is how many of the first scales are the scale of a major or
// minor centre.
const centreScales = 24
