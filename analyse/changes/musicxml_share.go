package changes

import (
	"cmp"
	"slices"
)

// shareNotes spreads the harmonies that stand on one note over its time, and
// says so, once.
func (p *sheetPart) shareNotes() (r Remark, shared bool) {
	several := 0
	for i := range p.bars {
		b := &p.bars[i]
		if b.shareNotes() {
			if several++; several == 1 {
				r = b.remark(p, "")
			}
		}
	}
	r.Text = "several chords on one note here" + moreMeasures(several) + ": they share its time in whole beats, the first longest"
	return r, several > 0
}

// shareNotes spreads the chords of a measure that stand at one tick over the
// time up to the next chord, note or bar line; where that is less than a quarter
// of a beat each, up to the next chord or bar line.
func (b *sheetBar) shareNotes() (shared bool) {
	chords := slices.Clone(b.chords)
	slices.SortStableFunc(chords, func(x, y sheetChord) int { return cmp.Compare(x.tick, y.tick) })
	b.chords = slices.CompactFunc(chords, func(x, y sheetChord) bool { return x == y })
	for i := 0; i < len(b.chords); {
		n := i + 1
		for n < len(b.chords) && b.chords[n].tick == b.chords[i].tick {
			n++
		}
		if n-i > 1 {
			shared = true
			end := b.meter.Bar()
			if n < len(b.chords) {
				end = b.chords[n].tick
			}
			if !b.spread(b.chords[i:n], b.nextOnset(b.chords[i].tick, end)) {
				b.spread(b.chords[i:n], end)
			}
		}
		i = n
	}
	return shared
}

// nextOnset returns the first note after a tick, at most end.
func (b *sheetBar) nextOnset(tick, end int64) int64 {
	for _, o := range b.onsets {
		if o > tick && o < end {
			end = o
		}
	}
	return end
}

// spread puts chords that stand at one tick at equal distances up to end, in
// whole beats, or in halves or quarters where beats do not suffice. What is left
// over goes to the first ones.
func (b *sheetBar) spread(chords []sheetChord, end int64) bool {
	start, n := chords[0].tick, int64(len(chords))
	for _, parts := range [...]int64{1, 2, 4} {
		unit := b.meter.Beat() / parts
		all := (end - start) / unit
		if all < n {
			continue
		}
		at := start + (end-start)%unit // the first is held as much longer
		for i := range chords {
			if i > 0 {
				chords[i].tick = at
			}
			at += unit * (all / n)
			if int64(i) < all%n {
				at += unit
			}
		}
		return true
	}
	return false
}
