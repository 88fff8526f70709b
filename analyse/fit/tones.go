package fit

import (
	"math"

	"shedlight/analyse/harmony"
	"shedlight/analyse/tone"
)

// Tones are the notes that were played over one chord, by pitch class: what is left of
// them when a chord of the chart is looked at over all choruses.
type Tones struct{ on, off [classes]int64 } // the beat

// Add takes a note at a beat of its bar, as a finding tells it.
func (t *Tones) Add(class tone.Class, beat float64) {
	const whole, early, late = 1000, 900, 200 // as in locate
	if part := int64(math.Round(beat*whole)) % whole; late < part && part < early {
		t.off[class]++
	} else {
		t.on[class]++
	}
}

// Include adds other notes.
func (t *Tones) Include(other *Tones) {
	for class := range t.on {
		t.on[class] += other.on[class]
		t.off[class] += other.off[class]
	}
}

// Of is how many of them are tones of a set.
func (t *Tones) Of(s tone.Set) (notes int64) {
	for class := range s.Each() {
		notes += t.on[class] + t.off[class]
	}
	return notes
}

// Nearest returns by how many semitones, -5 to 6, notes over a chord are to be moved to
// go with it best, and the evidence for that, as that of a Verdict, but that what moves on
// by a semitone counts as much as other notes; 0 where they go best as they are, or with
// the dim half of own, the scale of the chord. resolves is as in harmony.Resolves.
func (t *Tones) Nearest(c harmony.Chord, own harmony.Scale, resolves bool) (semitones int, evidence float64) {
	over := newTable(c, resolves)
	moved, turned := over.moved, over.turned(own)
	var most, dim int64
	for class := range turned {
		dim += (fullWeight*t.on[class] + offBeat*t.off[class]) * turned[class]
	}
	for _, move := range pitchOrder {
		var sum int64
		for class := range moved {
			sum += (fullWeight*t.on[class] + offBeat*t.off[class]) * moved[class][move-lowestMove]
		}
		if sum > most {
			semitones, most = move, sum
		}
	}
	if dim >= most {
		return 0, 0
	}
	return semitones, slope * float64(most) / point
}
