package figure

import "shedlight/analyse/tone"

// watch is the chord of the families that somebody waits for.
type watch struct {
	on      tone.Class
	watched func(chorus, bar int) // nil: nobody waits
}

// Watch has told each time that a chord of the families on a tone of their scale is played,
// struck or as an arpeggio, in whatever inversion: of each family the one at the step that has
// the tone's place, so that the voicing itself stands on the root. A scale that lacks the tone has none.
// An arpeggio must have all tones of the chord, though FamilyUse counts three: B D F is
// three tones of a family's chord wherever a line goes up G7. chorus and bar are rows, as in song.Rows,
// of its first note. It is called before the first note.
func (f *Finder) Watch(on tone.Class, played func(chorus, bar int)) {
	f.watch = watch{on: on, watched: played}
	for _, t := range f.tables {
		f.mark(t)
	}
}

// mark marks the chords of a table that are watched. A family that closes early has the
// same chord on several tones. In another key than the chart's it is the same step.
func (w *watch) mark(t *familyTable) {
	if t.written != nil {
		for i := range t.chords {
			t.chords[i].watched = t.written.chords[i].watched
		}
		return
	}
	place, ok := t.scale.Index(w.on)
	if w.watched == nil || !ok {
		return
	}
	for from, size := 0, 0; from < len(t.chords); from += size {
		for size = 1; from+size < len(t.chords) && t.chords[from+size].step > 1; {
			size++
		}
		t.chords[from+place%size].watched = true
	}
}

// isWatched reports whether so many tones are all of a chord of a set that is watched.
func (t *familyTable) isWatched(played chordSet, tones int) bool {
	for i := range t.chords {
		if c := &t.chords[i]; c.watched && played>>i&1 == 1 && tones >= c.set.Len() {
			return true
		}
	}
	return false
}

// IsOpen reports whether the notes that may still be found to be a chord began in a row of
// the choruses or before.
func (f *Finder) IsOpen(chorus int) bool {
	return len(f.stretch) > 0 && int(f.stretch[0].chorus) <= chorus
}
