// Package backing makes what a bassist and a pianist play under a tune: a pure
// function of the chart, a seed, the chorus and the tempo. It keeps to rules of the
// trade (common practice, no source):
//
//   - The bass lies between E1 and C3. It strikes each chord's bass where the chord
//     begins; a chord that is written again is no change, and its root comes in every
//     second bar. Where a chord has three notes or more, those between are its own tones,
//     but over a bar line a step may lead on; the last one leads into the next bass by a
//     half or a whole step. Where it has two, the second is its third, its fifth or such
//     a step, in turn: never the fifth before the root, for the bass is what tells the
//     player that the chord has changed, and the piano has no root. A tone that is held
//     for two beats says no other chord. No leap is wider than an octave, and no tone
//     comes twice running where another can; a pedal point lies still.
//   - The piano lies between C3 and C5: third (or fourth) and seventh (or sixth), and
//     one colour. A dominant has none that its symbol does not name: another would
//     fight what the player chooses. No voice moves more than a fourth where a smaller
//     move exists. A chord that stays has another inversion after two bars.
//   - Up to 80 quarter notes a minute the bass goes in two and the piano holds its
//     chords; from there to 200 the first chorus goes in two and the others walk, with
//     two or three short chords in two bars, mostly after the second and the fourth
//     beat; faster all walks and the piano strikes once a bar or not at all. It rests
//     in every eighth bar. Off-beats are late by the swing of the tempo. A waltz goes in
//     one, then in three; in dotted beats a short note leads on.
//   - In a straight style eighths are even, and the bass has root and fifth.
//   - Where the chart says N.C. both are silent.
//   - The tune ends on its tonic chord, held.
package backing

import (
	"math/rand/v2"
	"slices"
	"sort"

	"shedlight/analyse/changes"
	"shedlight/analyse/harmony"
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
	tune  *changes.Timeline
	keys  []*Band // see New
	seed  uint64
	bars  []bar
	stays []stay
}

// New returns a band that plays over a tune. Another seed makes it play otherwise. keys
// are the tune as it is in one chorus after the other, and then from the first again,
// where its key changes.
func New(tune *changes.Timeline, seed uint64, keys ...*changes.Timeline) *Band {
	b := &Band{tune: tune, seed: seed, stays: staysOf(tune)}
	for i := range tune.Bars {
		b.bars = append(b.bars, newBar(&tune.Bars[i]))
	}
	for _, key := range keys {
		b.keys = append(b.keys, &Band{tune: key, seed: seed, stays: staysOf(key), bars: b.bars})
	}
	for _, in := range b.keys {
		in.keys = b.keys
	}
	return b
}

// in returns the band in the key of chorus n.
func (b *Band) in(n int) *Band {
	if len(b.keys) == 0 {
		return b
	}
	return b.keys[max(0, n)%len(b.keys)]
}

// Chorus returns what is played in a chorus that another follows, by tick. n is its
// number, from 0, since the band was counted off; quarter is the tempo, in microseconds
// a quarter note. The same values give the same notes.
func (b *Band) Chorus(n int, quarter int64, piano bool) []Note {
	b = b.in(n)
	f := b.feelOf(quarter, n == 0)
	line := b.onsets(f)
	var next *walk
	if c := b.top(n + 1); !c.None() && !b.stays[len(b.stays)-1].chord.None() { // else silence comes between
		top := b.opening(c, n+1)
		next = &top
	}
	strikes := []strike{}
	if piano {
		strikes = b.strikes(f, n)
	}
	return b.notes(f, n, line, next, strikes)
}

// top returns what chorus n begins with.
func (b *Band) top(n int) harmony.Chord { return b.in(n).stays[0].chord }

// Last returns what is played in a chorus after which the tune is over, as Chorus does.
func (b *Band) Last(n int, quarter int64, piano bool) []Note {
	notes := b.toTheEnd(n, quarter, piano)
	return notes[:b.within(notes)]
}

// After returns what is played after a last chorus n, by ticks from its end: the tonic
// chord, held for a bar, where the chart does not end on it.
func (b *Band) After(n int, quarter int64, piano bool) []Note {
	notes := b.toTheEnd(n, quarter, piano)
	notes = notes[b.within(notes):]
	for i := range notes {
		notes[i].Tick -= b.tune.Length
	}
	return notes
}

// within returns how many of the notes, by tick, begin in the chorus.
func (b *Band) within(notes []Note) int {
	return sort.Search(len(notes), func(i int) bool { return notes[i].Tick >= b.tune.Length })
}

// toTheEnd returns the last chorus with its end.
func (b *Band) toTheEnd(n int, quarter int64, piano bool) []Note {
	b = b.in(n)
	f := b.feelOf(quarter, n == 0)
	line, strikes := b.onsets(f), []strike{}
	if piano {
		strikes = b.strikes(f, n)
	}
	if e, ok := b.ending(); ok {
		line = b.bassEnds(line, e)
		if piano {
			strikes = b.pianoEnds(strikes, e)
		}
	}
	return b.notes(f, n, line, nil, strikes)
}

// notes returns what both play, by tick.
func (b *Band) notes(f feel, n int, line []onset, next *walk, strikes []strike) (out []Note) {
	if len(line) > 0 {
		out = b.bass(f, line, n, next)
	}
	out = append(out, b.comp(strikes, n)...)
	slices.SortStableFunc(out, func(x, y Note) int { return int(x.Tick - y.Tick) })
	return out
}

// dice returns the chances of a chorus for one player.
func (b *Band) dice(n int, by Player) *rand.Rand {
	return rand.New(rand.NewPCG(b.seed, uint64(n)<<8|uint64(by)))
}

// feel is how the band plays at a tempo.
type feel struct {
	walks    bool // a bass note on each pulse; else in two
	pads     bool // the piano holds its chords
	fast     bool // the piano strikes rarely
	straight bool // root and fifth, even eighths
	swing    float64
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
	evenly      = 1.0
)

func (b *Band) feelOf(quarter int64, first bool) feel {
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
	if b.tune.Straight {
		f.straight, f.walks, f.swing = true, false, evenly
	}
	return f
}

// between returns the value at x on the line through two points.
func between(x, x0, y0, x1, y1 float64) float64 { return y0 + (x-x0)*(y1-y0)/(x1-x0) }

// offbeat returns how far after its beat of a quarter note an off-beat lies.
func (f feel) offbeat() int64 {
	return int64(f.swing / (1 + f.swing) * timebase.Quarter)
}
