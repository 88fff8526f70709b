package backing

import (
	"shedlight/analyse/changes"
	"shedlight/analyse/harmony"
	"shedlight/analyse/timebase"
)

// ending is how a tune ends (common practice): on the chord that it is at home on, held.
// Where its last chord is another, which leads round to the top, the chord at home comes
// on the first beat after the last bar, and is held for a bar.
type ending struct {
	chord       harmony.Chord
	from, until int64 // in ticks of the chorus
}

// ending returns how the tune ends. ok is false where it has no chord at all.
func (b *Band) ending() (e ending, ok bool) {
	slots := b.tune.Slots
	last, at, top := -1, -1, -1 // the last chord, the last at home, the first
	for i := range slots {
		if slots[i].Chord.None() {
			continue
		}
		if top < 0 {
			top = i
		}
		if last = i; home(&slots[i]) {
			at = i
		}
	}
	switch {
	case last < 0:
		return e, false
	case at == last:
		final := &slots[last]
		bar := b.bars[b.tune.BarAt(final.End-1, 0)].start
		return ending{chord: final.Chord, from: max(final.Start, bar), until: final.End}, true
	case at < 0: // then the changes lead to the top
		at = top
	}
	return ending{chord: slots[at].Chord, from: b.tune.Length, until: b.tune.Length + b.bars[0].length}, true
}

// home reports whether a chord is the tonic's own, which in a blues may have its seventh.
func home(s *changes.Slot) bool {
	c, tonic := s.Chord, s.Centre.Tonic.Class()
	return !c.None() && c.Root.Class() == tonic && c.Bass.Class() == tonic &&
		(c.Kind() != harmony.KindDominant || s.Centre.Mode == changes.Blues)
}

// bassEnds leaves out of a line what would move while the last chord is held, and
// strikes that.
func (b *Band) bassEnds(line []onset, e ending) []onset {
	for i := range line {
		if line[i].tick >= e.from {
			line = line[:i]
			break
		}
	}
	return append(line, onset{tick: e.from, end: e.until, stay: b.stayAt(e.from), chord: e.chord, bar: len(b.bars) - 1, change: true, opens: true})
}

// pianoEnds does the same for the piano, whose last chord is held even where it rests.
func (b *Band) pianoEnds(strikes []strike, e ending) []strike {
	for i := range strikes {
		if strikes[i].tick > e.from-ahead {
			strikes = strikes[:i]
			break
		}
	}
	return append(strikes, strike{tick: e.from, end: e.until - gap, chord: e.chord, bar: len(b.bars) - 1})
}

// ahead is how long before a change a short chord is that of the change already.
const ahead = timebase.Quarter / 2
