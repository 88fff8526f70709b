package phrase

import (
	"shedlight/analyse/changes"
	"shedlight/analyse/song"
	"shedlight/analyse/timebase"
	"shedlight/analyse/tone"
)

// What of the line stands on a change of chord, as an ear hears it (common practice; where
// the trade has no number this project's own).
//
// What is struck on the change stands on it: from a tenth of a beat before it, which is simply
// early, up to a quarter of a beat behind it, which is late. Of a grace note there and
// the note that it leads to it is that note. Where nothing is struck it is the note
// before, held over the change; the last note of a phrase stands there too where the phrase
// ends in the chord to come (endingContext), that is pushed and left alone. Where a phrase goes
// on over the change with neither, nothing stands on it: the change is counted, and no
// third. Where the line rests over the change nobody went over it, nor into the first chord behind a
// count-in, nor to and from N.C. Nor is there a third to miss on a chord that has none.
//
// Known wrong answers, accepted: of two changes under one held note the second is looked
// at, of those under the last note of a phrase the first; a second sixteenth at a very fast
// tempo is taken for the note that a grace note leads to.

// OnChange is what is counted of a change of chord. Both are below 0 where what was counted of
// the same change before is taken back.
type OnChange struct {
	Chorus  int // a row, as in song.Rows: that of the note that stands on the change, else of the first note behind it
	Bar     int // of the timeline, from 0, in which the second chord begins
	Changes int64
	Thirds  int64 // with its third on it (harmony.Chord.Third)
}

// chordStart is where the chord of a context begins.
type chordStart struct {
	tick     int64 // of the song, from the top of the chorus: below 0 where it began in the one before
	bar      int   // row of the timeline
	isChange bool  // another chord stands before it, and neither is N.C.
}

// chordStarts lists where the chord of each context begins, as they follow each other and
// the first the last.
func chordStarts(t *changes.Timeline, contexts []song.Context) []chordStart {
	out := make([]chordStart, len(contexts))
	for range 2 { // the first goes on from the last
		before := len(out) - 1
		for i := range out {
			slot, chord, last := i%len(t.Slots), contexts[i].Chord, contexts[before].Chord
			switch out[i] = out[before]; {
			case chord != last:
				start := t.Slots[slot].Start
				out[i] = chordStart{tick: start, bar: t.BarAt(start, 0), isChange: !chord.None() && !last.None()}
			case slot == 0:
				out[i].tick -= t.Length
			}
			before = i
		}
	}
	return out
}

// starting returns where the chord of a context begins; those of the other view follow the
// first ones in the same order.
func (p *Finder) starting(c *song.Context) chordStart { return p.starts[c.Row%len(p.starts)] }

// onChange is the last change that was counted.
type onChange struct {
	OnChange
	tick int64
	by   int64 // the number of the note that was struck on it; -1 for none
}

// overChange looks at how the line came to a note over a change of chord. The note is not yet
// among those of its phrase.
func (p *Finder) overChange(n *song.Note) {
	if p.Changed == nil || n.Position.BarRow < 0 {
		return
	}
	chord := p.starting(n.Context)
	tick := n.Tick - n.Position.Within + chord.tick
	if n.Slot == 0 && isAhead(n) { // and of the next chorus
		tick += p.length
	}
	since := n.Tick - tick
	struck, at := song.IsOnChange(since, n.Position.BeatTicks), OnChange{Chorus: n.Rows.Chorus, Bar: chord.bar, Changes: 1}
	switch {
	case !chord.isChange:
	case struck && p.graced(n, tick), struck && n.First && (n.BarsIn > 0 || chord.tick > 0):
		p.stands(n.Context, n.Class(), tick, n.N, at)
	case n.First || p.prev.Tick >= tick || p.prev.Context.Chord == n.Context.Chord:
	case struck:
		p.stands(n.Context, n.Class(), tick, n.N, at)
	case p.sounds[0].off >= song.PushHeld(tick, n.Position.BeatTicks):
		at.Chorus = p.prev.Rows.Chorus
		p.stands(n.Context, p.prev.Class(), tick, -1, at)
	default:
		p.countChange(n.Context, tick, -1, at)
	}
}

// isAhead reports whether a note is simply early, and of the slot that follows.
func isAhead(n *song.Note) bool { return n.Position.Left <= song.Early(n.Position.BeatTicks) }

// graced reports whether a note is the one that a grace note leads to which was struck on
// a change.
func (p *Finder) graced(n *song.Note, change int64) bool {
	const least = 5 // a grace note lasts less than this part of a beat
	gap := n.Tick - p.prev.Tick
	return p.counted.tick == change && p.counted.by == p.prev.N && tone.IsStep(p.prev.Key, n.Key) &&
		gap*least < n.Position.BeatTicks && gap*n.QuarterUS <= song.GraceMicros*timebase.Quarter
}

// endOverChange looks at whether the phrase that ends now stands on the change behind its
// last note.
func (p *Finder) endOverChange() {
	n, off := &p.prev, p.sounds[0].off
	if p.Changed == nil || n.Next == nil || isAhead(n) {
		return
	}
	chord, change := p.starting(n.Next), n.Tick+n.Position.Left
	if chord.isChange && (off >= song.PushHeld(change, n.Position.BeatTicks) || endingContext(n, off) == n.Next) {
		p.stands(n.Next, n.Class(), change, -1, OnChange{Chorus: n.Rows.Chorus, Bar: chord.bar, Changes: 1})
	}
}

// stands counts a change on which a tone stands.
func (p *Finder) stands(over *song.Context, class tone.Class, tick, by int64, at OnChange) {
	if third, ok := over.Chord.Third(); ok && class == third {
		at.Thirds = 1
	}
	p.countChange(over, tick, by, at)
}

// countChange counts a change, once: what comes later of it tells more.
func (p *Finder) countChange(over *song.Context, tick, by int64, at OnChange) {
	if _, ok := over.Chord.Third(); !ok {
		return
	}
	if last := p.counted.OnChange; p.counted.tick == tick {
		last.Changes, last.Thirds = -last.Changes, -last.Thirds
		p.Changed(last)
	}
	p.counted = onChange{OnChange: at, tick: tick, by: by}
	p.Changed(at)
}
