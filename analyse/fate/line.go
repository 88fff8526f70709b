package fate

import (
	"slices"

	"shedlight/analyse/tone"
)

const (
	// connectedHalves is how far two notes of a line lie apart at most and still
	// belong together, as a multiple (halves) of the recent median gap: slow
	// practice connects over more than a beat.
	connectedHalves = 3
	// medianOf is how many gaps the recent median is taken of, and medianLeast
	// how many there must be.
	medianOf, medianLeast = 7, 3
)

// Line is the moments of a melody, in order: what the rules look at.
type Line struct {
	last [neighbours + 1]moment // nearest first
	n    int                    // how many of them there are
	gaps [medianOf]int64        // the latest gaps between them, in a ring
	seen int                    // how many gaps there were
}

// moment is a note of the line, or two that are struck together, as in octaves
// or thirds.
type moment struct {
	Note       // the higher one
	lower Note // the other, where there are two
	two   bool
	from  int64 // the onset of the first that came
}

// nearest returns the note of the moment that lies nearest to a key, the higher
// one where both do: each voice goes its own way.
func (m *moment) nearest(key int) Note {
	if m.two && tone.Apart(m.lower.Key, key) < tone.Apart(m.Key, key) {
		return m.lower
	}
	return m.Note
}

// Add appends a note to the line.
func (l *Line) Add(note Note) {
	if l.n > 0 {
		l.gaps[l.seen%medianOf] = note.Tick - l.last[0].from
		l.seen++
	}
	copy(l.last[1:], l.last[:])
	l.last[0] = moment{Note: note, from: note.Tick}
	l.n = min(l.n+1, len(l.last))
}

// Unite adds a note to the last moment, which has one so far.
func (l *Line) Unite(note Note) {
	m := &l.last[0]
	m.lower, m.two = note, true
	if note.Key > m.Key {
		m.lower, m.Note = m.Note, note
	}
}

// before lists the notes of the moments before the last one that lie nearest to
// a key, nearest in time first.
func (l *Line) before(key int) (notes [neighbours]Note, n int) {
	for n = range l.n - 1 {
		notes[n] = l.last[n+1].nearest(key)
	}
	return notes, l.n - 1
}

// Released tells that the key of note n went up.
func (l *Line) Released(n, tick int64) {
	for i := range l.last[:l.n] {
		l.last[i].Released(n, tick)
		l.last[i].lower.Released(n, tick)
	}
}

// Ended tells that note n stopped sounding.
func (l *Line) Ended(n, tick int64) {
	for i := range l.last[:l.n] {
		for _, m := range [...]*Note{&l.last[i].Note, &l.last[i].lower} {
			m.Ended(n, tick)
		}
	}
}

// Gap returns the longest gap that still connects two notes: a beat, or one
// and a half times the recent median gap where that is longer.
func (l *Line) Gap(beat int64) int64 {
	n := min(l.seen, medianOf)
	if n < medianLeast {
		return beat
	}
	sorted := l.gaps
	slices.Sort(sorted[:n])
	return max(beat, sorted[(n-1)/2]*connectedHalves/2)
}

// Last returns the note of the melody itself so many moments back: 0 is the
// latest, 1 the one before. A moment that is not there is a note without number.
func (l *Line) Last(back int) Note { return l.last[back].Note }

// Empty reports whether nothing has been added.
func (l *Line) Empty() bool { return l.n == 0 }
