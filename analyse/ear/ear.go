package ear

import (
	"shedlight/analyse/changes"
	"shedlight/analyse/harmony"
	"shedlight/analyse/song"
	"shedlight/analyse/timebase"
	"shedlight/analyse/tone"
)

// Which centre is heard, where there is neither a chart nor a given one.
//
// Of the 24 scales of the major and minor centres the one that fits the window
// better than every other is the centre, once the window is full: four bars have
// passed since the first note of the line, or it holds 32 notes; and it must
// hold as many notes as a scale has tones. It stays until another has been the
// best, alone and without a break, for a whole window. Notes are judged by it
// from the next one on; what was said before stands.
//
// The rule is this project's own.

const (
	noCentre   = -1
	scaleTones = 8 // of every sixth-diminished scale
)

// Ear listens to the line and to struck chords. Centres are numbered as in scales.
type Ear struct {
	Heard func(changes.Centre) // called when another centre is heard; nil where one is given

	window
	centre, rival int
	rivalFrom     int64 // tick since which the rival has been the best
	rivalNotes    int   // and for how many notes
}

// New returns an ear; heard is called when another centre is heard, nil where one
// is given.
func New(heard func(changes.Centre)) Ear { return Ear{Heard: heard, centre: noCentre, rival: noCentre} }

// Note takes the next note of the line.
func (e *Ear) Note(n *song.Note) { e.Chord(n, 1<<n.Class()) }

// Rest does nothing: the window goes on over a rest.
func (e *Ear) Rest() {}

// Turn does nothing: what is heard of late is in no count.
func (e *Ear) Turn(int) {}

// Forget does nothing either.
func (e *Ear) Forget(int) {}

// Chord takes a struck chord, by its first note and its tones.
func (e *Ear) Chord(first *song.Note, tones tone.Set) {
	span := windowBars * first.Position.BarTicks
	e.add(first, tones, span)
	if e.Heard != nil {
		e.listen(first.Tick, span)
	}
}

// listen looks for the centre in what is in the window.
func (e *Ear) listen(tick, span int64) {
	best, ok := e.bestCentre()
	switch {
	case !ok || best == e.centre || !e.full(tick, span):
		e.rival = noCentre
		return
	case e.centre == noCentre:
		e.hear(best)
		return
	case best != e.rival:
		e.rival, e.rivalFrom, e.rivalNotes = best, tick, 0
	}
	if e.rivalNotes++; e.rivalNotes >= windowNotes || tick-e.rivalFrom >= span {
		e.hear(best)
	}
}

// hear tells a centre, by which what comes from now on is judged.
func (e *Ear) hear(best int) {
	e.centre, e.rival = best, noCentre
	scale := scales[best].Scale
	centre := changes.Centre{Tonic: scale.Root, Mode: changes.Major}
	if scale.Kind == harmony.MinorSixth {
		centre.Mode = changes.Minor
	}
	e.Heard(centre)
}

// bestCentre returns the centre whose scale leaves less time outside than every
// other.
func (w *window) bestCentre() (best int, ok bool) {
	least := int64(timebase.Never)
	for i := range centreScales {
		switch out := w.outside(scales[i].set); {
		case out < least:
			best, least, ok = i, out, true
		case out == least:
			ok = false
		}
	}
	return best, ok
}

// full reports whether the window has all it can hold, and notes enough to tell
// a scale by.
func (w *window) full(tick, span int64) bool {
	n := w.next - w.first
	return n == windowNotes || n >= scaleTones && tick-w.began >= span
}
