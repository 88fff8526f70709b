// Package material makes what a player practises from chords: lines over a chord or
// over its two-five-one, and etudes over whole choruses of a tune. It is pure: the
// same request always makes the same material. It knows chords, scales and charts,
// and nothing of how a line is judged.
//
// # How material is made
//
// Time is a grid of eighths. A line is put together from figures: arpeggios of the
// family that the home chord makes as it moves up its eight-note scale, pieces of
// that scale, and, from level 4 on, what leads into a tone: a half step, or the two
// tones around it. A figure begins on a beat with a tone of the half of the scale
// that rules there, the one with more tones of the chord; then it has that half on
// every beat, since each step changes the half and each beat holds two (fill.go).
// Figures are joined by a step where they can. Where a chord changes the line meets
// its third or its seventh. Many lines are made, all that break a rule of the craft
// (craft.go) are thrown away, and the rest are ranked by reasons that can be read
// (rank.go).
//
// An etude is planned first: which bars a phrase fills and which are silent, where
// its one peak stands, where its motif comes back (plan.go); then each phrase is
// filled as a line is.
//
// All rules are common practice, written down from memory, where nothing else is
// said.
package material

import (
	"fmt"

	"shedlight/analyse/changes"
	"shedlight/analyse/harmony"
	"shedlight/analyse/timebase"
	"shedlight/analyse/tone"
)

// What can be asked for.
const (
	MinLevel, MaxLevel = 1, 5
	// MaxLineBars and MaxEtudeBars bound a line and an etude.
	MaxLineBars, MaxEtudeBars = 8, 256
	// MaxCount bounds the lines of one call.
	MaxCount = 100
	// minRange is the narrowest range in semitones: an octave and a fifth, so that
	// an arpeggio fits on every tone.
	minRange = 19
	// MinDensity and MaxDensity bound the notes a bar may have.
	MinDensity, MaxDensity = 3, 12
)

// eighth is the grid of all material, in ticks.
const eighth = timebase.Quarter / 2

// Request says what is wanted. A field that is zero says nothing, and
// is what is told beside it.
type Request struct {
	Level   int    // MinLevel to MaxLevel; 2 where it says nothing
	Bars    int    // how many; two or four for a line, at least sixteen in whole choruses for an etude
	Count   int    // lines, 1 to MaxCount; 5
	Range   Range  // the lowest and the highest key; C4 to C6
	Leap    int    // the largest leap, in semitones; an octave at level 5, else a major sixth
	Density int    // the most notes that a bar has on average; no bound
	Seed    uint64 // what chance is drawn from
}

// filled returns the request with everything said, or what is wrong with it.
func (r Request) filled() (Request, error) {
	set := func(to *int, value int) {
		if *to == 0 {
			*to = value
		}
	}
	set(&r.Level, 2)
	set(&r.Count, 5)
	if r.Range == (Range{}) {
		r.Range = Range{Low: 60, High: 84}
	}
	set(&r.Leap, 9)
	if r.Leap == 9 && r.Level == MaxLevel {
		r.Leap = tone.Octave
	}
	const leastLeap = 5 // a fourth: the sixth chord has nothing wider than a major third, its family has fourths
	switch {
	case r.Level < MinLevel || r.Level > MaxLevel:
		return r, fmt.Errorf("level %d: expected %d to %d", r.Level, MinLevel, MaxLevel)
	case r.Count < 1 || r.Count > MaxCount:
		return r, fmt.Errorf("%d lines: expected 1 to %d", r.Count, MaxCount)
	case int(r.Range.High)-int(r.Range.Low) < minRange:
		return r, fmt.Errorf("the range %s is too narrow: expected an octave and a fifth or more", r.Range)
	case r.Leap < leastLeap || r.Leap > tone.Octave:
		return r, fmt.Errorf("a largest leap of %d semitones: expected %d to %d", r.Leap, leastLeap, tone.Octave)
	case r.Density != 0 && (r.Density < MinDensity || r.Density > MaxDensity):
		return r, fmt.Errorf("%d notes a bar: expected %d to %d", r.Density, MinDensity, MaxDensity)
	}
	return r, nil
}

// Note is one note of a line. Ticks are 960 to the quarter, bar 1 begins at 0.
type Note struct {
	Tick, Length int64
	Key          uint8
}

// end is the tick behind it.
func (n Note) end() int64 { return n.Tick + n.Length }

// class is its pitch class.
func (n Note) class() tone.Class { return tone.ClassOf(int(n.Key)) }

// Exercise is a line or an etude: notes over changes.
type Exercise struct {
	Title  string            // of an etude; empty for a line
	Idea   string            // one sentence
	Why    []string          // what speaks for it, a sentence each
	Level  int               // 0 where it was read
	Seed   uint64            // that it was made from
	Line   *changes.Timeline // what it stands over
	Key    changes.Centre    // how it is written
	Tempo  int               // beats a minute; 0 where nobody said
	For    tone.Instrument   // that it is written for: key, chords and notes are what it reads
	Notes  []Note            // in order, one at a time
	Figure []Figure          // in order; none where it was read
}

// FigureKind is what a figure is.
type FigureKind uint8

// The kinds of figure.
const (
	Run       FigureKind = iota + 1 // a piece of the scale
	Arpeggio                        // tones of one chord, one after another
	Held                            // one tone, longer than an eighth
	Pair                            // two tones of the chord
	Approach                        // a tone and the half step below or above what follows
	Enclosure                       // the tones around what follows
	PickUp                          // the eighth before a beat
	Landing                         // the last tone
	Motif                           // of an etude
	Triplet                         // three tones of a chord in a beat
)

// Figure is a few notes that belong together.
type Figure struct {
	Kind     FigureKind
	From, To int           // its notes are those from From to before To
	Up       bool          // its last note lies above its first
	Set      tone.Set      // of an arpeggio: the chord's tones
	Bass     tone.Class    // and the one that names it
	Scale    harmony.Scale // that it stands in
}

// Pitch returns how a note is written: as the scale of the key writes it over its
// chord. What is in neither is written a letter away from the tone that it goes to by a
// half step, G flat into F and F sharp into G (common practice), else, and where it is
// longer than an eighth, as the chord's own scale writes it.
func (e *Exercise) Pitch(i int) tone.Pitch {
	n := e.Notes[i]
	slot := e.slot(n)
	rising := i > 0 && e.Notes[i-1].Key < n.Key
	name := slot.Key.Spell(n.class(), slot.Chord, rising)
	if !(slot.Chord.Set() | slot.Key.Set()).Has(n.class()) {
		down := 0
		if i+1 < len(e.Notes) && n.Length <= eighth {
			down = int(n.Key) - int(e.Notes[i+1].Key)
		}
		switch {
		case down == 1 || down == -1:
			name = e.Pitch(i+1).Name.Transpose(down, down).Easy()
		case slot.Own.Set().Has(n.class()):
			name = slot.Own.Spell(n.class(), slot.Chord, rising)
		}
	}
	for octave := int8(-1); octave < 10; octave++ {
		if p := (tone.Pitch{Name: name, Octave: octave}); p.Key() == int(n.Key) {
			return p
		}
	}
	panic("material: a key without a name")
}

// slot returns the chord that a note is heard over: one that is tied over a change is
// ahead of the new one.
func (e *Exercise) slot(n Note) *changes.Slot {
	at := e.Line.SlotAt(n.Tick, 0)
	if at+1 < len(e.Line.Slots) && isPush(n, e.Line.Slots[at].End) {
		at++
	}
	return &e.Line.Slots[at]
}

// isPush reports whether a note comes an eighth before a change and is held over it.
func isPush(n Note, change int64) bool {
	return n.Tick < change && n.Tick+eighth >= change && n.end() > change
}

// Symbol returns the chord that a note is heard over, as it is written.
func (e *Exercise) Symbol(i int) string { return e.slot(e.Notes[i]).Symbol }

// Degree returns what a note is over its chord: "3", "b9".
func (e *Exercise) Degree(i int) string {
	return harmony.DegreeOver(e.slot(e.Notes[i]).Chord, e.Notes[i].class())
}
