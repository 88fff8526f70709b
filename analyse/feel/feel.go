// Package feel measures time: how the onsets of a line lie against the beat, how its
// eighths swing, and how the scale falls on the beat.
package feel

import (
	"math"
	"slices"

	"shedlight/analyse/changes"
	"shedlight/analyse/song"
	"shedlight/analyse/timebase"
)

// How time feel is measured.
//
// Each note of the line lies in a beat as the player has it: where that is, is followed
// onset by onset (an eighth of the way each time), so that neither a constant lag nor a
// drift leads out of the windows, and begins with the beat that is given, anew where that
// is counted off again. An onset is on the beat where it is nearer to it than a fifth of a
// beat, and than two fifths of the gaps between the notes around, lest a sixteenth before
// the beat be taken for it. The first in the beat, where it is on it, gives how
// far the player lies from the beat that is given, in microseconds at the tempo it was
// played at: with nothing else in the beat, one more off it, or two more and over. A beat
// whose first two lie a tenth of it apart or less gives nothing: one is a grace note.
//
// Two onsets of which the second comes four to eight tenths behind the first are a
// pair of eighths and give how long the first is; where a half note is the beat, they
// are looked for in each quarter, up to three quarters of it. A dotted beat has no pairs.
// What is told of the pairs stands in swing.go, what of the offsets in trend.go.
//
// Nothing is measured where the beat is not known: in free time, and while the song
// stands still. And nothing of it means anything where the line does not keep to a
// beat, as when nobody heard it: whether it does is asked in rayleigh.go, of the beat
// that is given and of the one that the player has.
//
// The windows are this project's own; swing ratios and lags to hold stand in package
// song (pulse.go). Constant for each note; memory grows by a row for each chorus.
//
// Known wrong answers, accepted: a lag of more than half a sixteenth, a triplet or an
// eighth, in a line of those, is taken for being early on the next, and near the half it is
// not told; a line of nothing but dotted eighths and sixteenths counts as swung; where scatter is more
// than a tenth of a beat, straight eighths read up to 1.2 to 1, and up to 1.4 to 1 where one
// pair in four is dotted or of a triplet, for these are no longer seen apart.

const (
	// An onset is on the beat up to nearBeat tenths of it ahead or behind, and nearGap
	// tenths of the second shortest of the recent gaps between notes: swung eighths have two
	// short ones in four, and one that is short by accident is passed over.
	nearBeat, nearGap = 2, 4
	recent            = 4
	// widest is the largest scatter, as a part of how near to the beat an onset has to be: of
	// onsets that lie anywhere near it it is 0.58, of normal deviates cut at twice their
	// size 0.44 (arithmetic). Between the two, by measuring 3,000 random lines: of 62 that
	// 0.44 leaves untold besides, 45 are told as played; of 28 that 0.50 would tell besides,
	// only 16.
	widest = 0.47
	// follow is the part of the way that the player's beat moves to each onset.
	follow = 8
	// pairLeast and pairMost are how far behind the first eighth of a pair the second lies,
	// in tenths of a beat: swung at 3.5:1 that is 0.78 of a beat. What comes later is the
	// next beat, early. halfMost is the same where a half note is the beat.
	pairLeast, pairMost = 4, 8
	// grace is how near to each other a grace note and its note lie at the most, in tenths
	// of a beat.
	grace = 1
	// finest is the finest grade that is told, in microseconds: nobody hears
	// less, and few instruments send it reliably.
	finest = 5_000
	// kept is how many onsets of a beat are kept: more than four are not pairs in any meter.
	kept = 4
)

// Feel measures the time feel of the line. New makes one.
type Feel struct {
	song.Sheets[tally, *tally]
	timeline *changes.Timeline // nil without a chart
	beat     feltBeat
	player   int64         // microseconds that the player's beat lies behind the one that is given
	tick     int64         // of the latest note
	grid     int64         // tick of the beat before or at it
	length   int64         // of that beat; 0: none yet
	elapsed  float64       // microseconds since the beats began
	gaps     [recent]int64 // the latest between notes, in ticks; 0: none yet
	gap      int           // the oldest of them
	alone    alone         // how the player comes out of the bars without a click
}

// New measures over a chart, or over none where the timeline is nil. gaps says where the
// click is silent.
func New(t *changes.Timeline, gaps song.Gaps) Feel {
	rows := 0
	if t != nil {
		rows = len(t.Bars)
	}
	fresh := func() *tally { return &tally{bars: make([]trend, rows)} }
	return Feel{timeline: t, alone: alone{gaps: gaps}, Sheets: song.NewSheets[tally](fresh)}
}

// tally is what is measured in one chorus, or in the session.
type tally struct {
	given, player phases // where in the beat the onsets lie
	onsets        trend  // of the scored onsets, from the beat that is given
	near          int64  // sum of how near each of them had to be, in microseconds
	pairs         pairs
	bars          []trend      // by row of the timeline
	choruses      []chorusTime // by number
	returns       []comeback   // in their order
}

// chorusTime is what was measured in one chorus.
type chorusTime struct {
	number int
	onsets trend
}

// feltBeat is the beat of the latest note. Its onsets are in ticks behind the player's
// beat.
type feltBeat struct {
	grid    int64 // tick of the beat that is given
	player  int64 // how far the player's was taken to lie behind it, in ticks
	length  int64
	dotted  bool
	on      bool  // the first is near enough to the player's beat
	near    int64 // which is so many microseconds
	onsets  int
	at      [kept]int64
	offset  int64   // of the first from the beat that is given, in microseconds
	elapsed float64 // at the first
	bar     int     // row of the timeline; -1 outside
	ref     song.BarRef
	barsIn  int // as song.Note
}

// Note takes a note of the line, in their order.
func (f *Feel) Note(n *song.Note) {
	p := &n.Pulse
	if !p.Known {
		f.close(n.Tick)
		f.length = 0
		return
	}
	gap, grid := n.Tick-f.tick, n.Tick-p.Since
	f.elapsed += float64(gap) * float64(n.QuarterUS) / timebase.Quarter
	if f.length == 0 {
		gap = 0 // from no note of the beat
	}
	if f.length == 0 || f.length == p.Length && (grid-f.grid)%p.Length != 0 { // counted off
		f.close(n.Tick)
		f.player, f.elapsed = 0, 0
	}
	near := f.near(gap, p.Length)
	f.tick, f.grid, f.length = n.Tick, grid, p.Length
	f.Now().given.add(p.Since, p.Length)

	b := &f.beat
	player := f.player * timebase.Quarter / n.QuarterUS
	at := timebase.Mod(p.Since-player+near, p.Length) - near
	f.Now().player.add(timebase.Mod(at, p.Length), p.Length)
	if start := n.Tick - at - player; b.onsets == 0 || start > b.grid {
		f.close(n.Tick)
		*b = feltBeat{
			grid: start, player: player, length: p.Length, dotted: p.Dotted,
			on: at <= near, near: near * n.QuarterUS / timebase.Quarter, offset: (at + player) * n.QuarterUS / timebase.Quarter,
			elapsed: f.elapsed, bar: n.Position.BarRow, ref: n.Position.Ref(), barsIn: n.BarsIn,
		}
	}
	if b.onsets < kept {
		b.at[b.onsets] = n.Tick - b.grid - b.player
	}
	b.onsets++
}

// near returns how near to the player's beat its onset lies at the most, in ticks. The
// gap is the one before the note, 0 where there is none.
func (f *Feel) near(gap, length int64) int64 {
	if gap*timebase.Tenths > grace*length {
		f.gaps[f.gap] = gap
		f.gap = (f.gap + 1) % recent
	}
	shortest, second := length, length
	for _, gap := range f.gaps {
		switch {
		case gap == 0:
			return min(length*nearBeat, shortest*nearGap) / timebase.Tenths // the others are not known yet
		case gap < shortest:
			shortest, second = gap, shortest
		case gap < second:
			second = gap
		}
	}
	return min(length*nearBeat, second*nearGap) / timebase.Tenths
}

// Rest does nothing: a rest does not end a beat.
func (f *Feel) Rest() {}

// Turn scores the beat that is over and goes on in a chorus.
func (f *Feel) Turn(chorus int) {
	f.close(f.tick)
	f.Sheets.Turn(chorus)
}

// timeOf returns the row of a chorus, a new one where there is none.
func timeOf(rows *[]chorusTime, number int) *trend {
	i, found := slices.BinarySearchFunc(*rows, number, func(row chorusTime, number int) int { return row.number - number })
	if !found {
		*rows = slices.Insert(*rows, i, chorusTime{number: number})
	}
	return &(*rows)[i].onsets
}

// close scores the beat that is over, once. next is the tick of the onset after it, or that of
// its last where it is not known.
func (f *Feel) close(next int64) {
	b := &f.beat
	if b.onsets == 0 {
		return
	}
	t := f.Now()
	b.pair(&t.pairs, next-b.grid-b.player)
	if b.measured() {
		t.near += b.near
		t.onsets.count(b.elapsed, float64(b.offset))
		if f.timeline != nil {
			timeOf(&t.choruses, f.Chorus()).count(b.elapsed, float64(b.offset))
		}
		if 0 <= b.bar && b.bar < len(t.bars) {
			t.bars[b.bar].count(b.elapsed, float64(b.offset))
		}
		f.alone.onset(&t.returns, b)
		f.player += (b.offset - f.player) / follow
	}
	b.onsets = 0
}

// measured reports whether the first onset says where the player has the beat.
func (b *feltBeat) measured() bool {
	if !b.on {
		return false
	}
	gap := (b.at[1] - b.at[0]) * timebase.Tenths
	switch b.onsets {
	case 1:
		return true
	case 2:
		return gap >= pairLeast*b.length
	}
	return gap > grace*b.length
}

// pair counts the pairs of the beat that is over; next is where the onset after it lies, in
// ticks behind its own beat.
func (b *feltBeat) pair(p *pairs, next int64) {
	at := b.at[:min(b.onsets, kept)]
	switch {
	case b.dotted:
	case b.onsets > kept:
		p.crowded++
	case b.length == 2*timebase.Quarter: // two quarters, each with its eighths
		half := b.length / 2
		second := 0
		for second < len(at) && at[second]*4 < half*3 {
			second++
		}
		after := next
		if second < len(at) {
			after = at[second]
		}
		p.count(at[:second], 0, half, after)
		p.count(at[second:], half, half, next)
	default:
		p.count(at, 0, b.length, next)
	}
}

// measured reports whether the line keeps to the player's beat, its scatter is small
// enough beside the notes around for them to be told from it, and its onsets on the beat are
// not those notes themselves.
func (t *tally) measured() bool {
	_, deviation := t.onsets.told(t.onsets.drift())
	return t.player.keep() && deviation*t.onsets.n <= widest*float64(t.near) && !t.beside() && !t.pairs.reversed()
}

// beside reports whether the line began as near to the beat with the notes beside its onsets
// as with these, to a tenth of the gap between. From there on it is followed, wherever it
// drifts.
func (t *tally) beside() bool {
	gaps := float64(t.near) * timebase.Tenths / nearGap // their sum
	return gaps-2*math.Abs(t.onsets.start())*t.onsets.n < gaps/timebase.Tenths
}

// Reset empties the tally; its memory is used again.
func (t *tally) Reset() {
	clear(t.bars)
	*t = tally{bars: t.bars, choruses: t.choruses[:0], returns: t.returns[:0]}
}

// Include adds another tally.
func (t *tally) Include(other *tally) {
	for i := range t.bars {
		t.bars[i].add(&other.bars[i])
	}
	for i := range other.choruses {
		timeOf(&t.choruses, other.choruses[i].number).add(&other.choruses[i].onsets)
	}
	t.returns = append(t.returns, other.returns...)
	t.given.include(&other.given)
	t.player.include(&other.player)
	t.onsets.add(&other.onsets)
	t.near += other.near
	t.pairs.add(&other.pairs)
}
