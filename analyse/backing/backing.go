// Package backing makes what a bassist and a pianist play under a tune: a pure
// function of the chart, a seed, the chorus and the tempo. It keeps to rules of the
// trade (common practice, no source):
//
//   - The bass lies between E1 and C3. It strikes each chord's bass where the chord
//     begins. Where a chord has three notes or more, those between are its own tones
//     and the last one leads into the next bass by a half or a whole step; where it
//     has two, the second is its third, its fifth or such a step, in turn. No leap is
//     wider than an octave, and no tone comes twice running where another can.
//   - The piano lies between C3 and C5: third (or fourth) and seventh (or sixth), and
//     one colour. A dominant has none that its symbol does not name: another would
//     fight what the player chooses. No voice moves more than a fourth where a smaller
//     move exists.
//   - Up to 80 quarter notes a minute the bass goes in two and the piano holds its
//     chords; from there to 200 the first chorus goes in two and the others walk, with
//     two or three short chords in two bars, mostly after the second and the fourth
//     beat; faster all walks and the piano strikes once a bar or not at all. It rests
//     in every eighth bar. Off-beats are late by the swing of the tempo.
package backing

import (
	"math/rand/v2"
	"slices"

	"shedlight/analyse/changes"
	"shedlight/analyse/timebase"
)

// Player says whose a note is.
type Player uint8

const (
	Bass Player = iota + 1
	Piano
)

// Note is one note of the band.
type Note struct {
	Tick, Length  int64 // song ticks, from the chorus's own first
	Key, Velocity uint8 // as in MIDI
	By            Player
}

// Band plays over one tune. It is never changed and may be shared.
type Band struct {
	tune *changes.Timeline
	keys []*changes.Timeline // see New
	seed uint64
	bars []bar
}

// New returns a band that plays over a tune. Another seed makes it play otherwise. keys
// are the tune as it is in one chorus after the other, and then from the first again,
// where its key changes.
func New(tune *changes.Timeline, seed uint64, keys ...*changes.Timeline) *Band {
	b := &Band{tune: tune, keys: keys, seed: seed}
	for i := range tune.Bars {
		b.bars = append(b.bars, newBar(&tune.Bars[i]))
	}
	return b
}

// Chorus returns what is played in a chorus, by tick. n is its number, from 0, since
// the band was counted off; quarter is the tempo, in microseconds a quarter note. The
// same values give the same notes.
func (b *Band) Chorus(n int, quarter int64, piano bool) []Note {
	f := feelOf(quarter, n == 0)
	b = b.in(n)
	notes := b.bass(b.onsets(f), n)
	if piano {
		notes = append(notes, b.comp(f, n)...)
	}
	slices.SortStableFunc(notes, func(x, y Note) int { return int(x.Tick - y.Tick) })
	return notes
}

// in returns the band in the key of chorus n.
func (b *Band) in(n int) *Band {
	if len(b.keys) == 0 {
		return b
	}
	moved := *b
	moved.tune = b.keys[max(0, n)%len(b.keys)]
	return &moved
}

// dice returns the chances of a chorus for one player.
func (b *Band) dice(n int, by Player) *rand.Rand {
	return rand.New(rand.NewPCG(b.seed, uint64(n)<<8|uint64(by)))
}

// feel is how the band plays at a tempo.
type feel struct {
	walks bool // a bass note on each pulse; else in two
	pads  bool // the piano holds its chords
	fast  bool // the piano strikes rarely
	swing float64
}

// Tempi at which the feel changes, in quarter notes a minute.
const (
	padsUpTo  = 80
	mediumBy  = 120
	brightBy  = 190
	fastFrom  = 200
	minuteMus = 60_000_000
)

// The part of a beat before its off-beat against the part after it, at those tempi.
const (
	slowSwing   = 2.0
	mediumSwing = 1.8
	brightSwing = 1.3
	fastSwing   = 1.15
)

func feelOf(quarter int64, first bool) feel {
	tempo := minuteMus / float64(quarter)
	f := feel{walks: !first, swing: fastSwing}
	switch {
	case tempo <= padsUpTo:
		f.pads, f.swing = true, slowSwing
	case tempo >= fastFrom:
		f.walks, f.fast = true, true
	case tempo <= mediumBy:
		f.swing = between(tempo, padsUpTo, slowSwing, mediumBy, mediumSwing)
	case tempo <= brightBy:
		f.swing = between(tempo, mediumBy, mediumSwing, brightBy, brightSwing)
	default:
		f.swing = between(tempo, brightBy, brightSwing, fastFrom, fastSwing)
	}
	return f
}

// between returns the value at x on the line through two points.
func between(x, x0, y0, x1, y1 float64) float64 { return y0 + (x-x0)*(y1-y0)/(x1-x0) }

// offbeat returns how far after its beat of a quarter note an off-beat lies.
func (f feel) offbeat() int64 {
	return int64(f.swing / (1 + f.swing) * timebase.Quarter)
}
