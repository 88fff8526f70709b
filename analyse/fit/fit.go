// Package fit says how well a stretch of a line goes with the written changes,
// and where it would go better: a bar earlier, a half step lower, or nowhere.
//
// A note alone cannot tell. Nearly every tone has its reason over nearly every
// chord, and a judge who grants them all, as a good teacher does, hears few slips
// in a whole take that is played a bar late. A stretch can: what is a chord tone
// by chance here and there is one by design at the right place again and again.
//
// # Method
//
// Each note counts for its chord, a little against it or against it, by the
// table of the weights (weigh.go): the tones that tell a chord from its
// neighbours most. It counts less off the beat and least where it moves on by a
// semitone, since there it leads somewhere. The same notes are then held against
// the same changes at seventeen other places: half a bar, a bar and two bars
// earlier and later, wrapping round the form, and moved by -5 to +6 semitones,
// never both. A place is worth the sum, over the notes that have a chord at both,
// of what they count for there less what they count for as written. The weight is
// the note's own and the same at all places. The best place's sum is the evidence
// for it, a base-ten logarithm of a likelihood ratio; from a threshold on, the
// same for every span, the stretch is said to be there (judge.go).
//
// There is one rival that is no other place: the dim halves of the chords' own scales.
// Who sets them on the beats sounds like the chord a fifth above, which is often that of
// another bar, or of the key a fifth away. Where a line goes better with them than with
// the best other place, nothing speaks for that place.
//
// One condition is added to the evidence: at the place that is named the line has
// to lie clearly higher than notes at random. Of seventeen places some one suits
// a random walk better than the written one, and the longer the walk the more
// evidence there is for it; but it suits it no better than any notes.
//
// # Cost
//
// Constant for each note, without allocation. What lies at the places is looked up
// when a chord changes at one of them, through cursors that stay near; a note then
// costs some twenty products of its weight and a number in a table, added once,
// whatever is open. Sums are whole numbers, so that they can be taken away again:
// one account runs on, a span remembers what stood there when it began, and is
// worth the difference. A chorus keeps some 400 bytes, so that the take can do
// without it.
//
// # Known wrong answers, accepted
//
//   - A line a half step high over dominants is sometimes told as a tritone or a
//     major third off: these places are a fourth or a fifth from the true one, and
//     lines that far apart have most of their tones in common.
//   - Where chords stay for two bars or come round again after one or two, a line
//     that is a bar late lies on much the same chords, and little is found. Half
//     a bar is found least.
//   - A line that is off for four bars of sixteen is diluted by the other twelve.
//     Now asks about the last four, eight and sixteen while they are fresh.
//   - A chart that is written for another instrument, or a chorus off by a bar, is
//     told as the player's move. The sentence says where the line fits, which is
//     as true of the chart.
//   - Where the key moves with the choruses the form still wraps round in the key of
//     the chorus: a line that is a bar late is held over the top against its own key,
//     and not against the one before.
//   - A short stretch that lies as low as notes at random is said to fit, with
//     nothing (Unsaid): eight bars of a player who takes it out are no different
//     from it.
//   - Without a chart every verdict is too little. A centre alone has one scale
//     and no changes, and the scales of two keys a fourth apart differ in two
//     tones: no move by time or by pitch can be told from it.
package fit

import (
	"slices"

	"shedlight/analyse/changes"
	"shedlight/analyse/tone"
)

// Note is one note of the line, as it is in the melody: glitches and the notes
// of struck chords are out.
type Note struct {
	N     int64 // counts note-ons, as in a finding
	Song  int64 // the song tick of its onset: chorus c begins at (c-1) times the form's length; negative before bar 1
	Key   uint8 // key number, 0 to 127
	Timed bool  // the beat is known: without it no note lies off the beat
	Moved int8  // how far the chart is played above the one that the Fit has there, in semitones, 0 to 11
}

// Fit follows a line over a chart. Song time goes forward from call to call but
// for Jump. Every call returns the verdicts on the spans that it closes, in that
// order; the slice is the Fit's and valid until the next call. Memory grows by the
// choruses alone. A Fit is not safe for use by several goroutines.
type Fit struct {
	form *form // nil without a chart

	held    heldNote
	holding bool
	ends    bool  // the phrase ends behind the held note
	endsAt  int64 // song tick

	chorusStart int64 // song tick at which the open chorus begins
	bar         int   // index in the form of the open bar
	barFrom     int64 // song tick from which it counts
	section     int   // index of its section
	forgotten   bool  // the open chorus is

	total     sums
	last      int64 // N of the last note that was counted
	inPhrase  mark
	phraseTo  int64 // song tick behind its last note
	inSection mark
	inChorus  mark
	recent    recent
	unmarked  bool // a span has begun since the last note

	choruses []pass
	joined   int // how many of the last are passes of the open section

	out []Verdict
}

// heldNote is the last note: it waits for what follows.
type heldNote struct {
	Note
	beat int64 // in ticks
	lean int64 // the song tick at which it is judged
	from int64 // the song tick at which it is told: its onset, or the downbeat it is early for
	off  bool  // off the beat
}

// New returns a Fit at the first beat of bar 1. t may be nil: without a chart
// there is nothing written that a line could go with, and phrases and take are
// told as too little.
func New(t *changes.Timeline) *Fit {
	f := &Fit{inPhrase: mark{first: noNote}, inChorus: mark{first: noNote}}
	if t != nil {
		f.form = newForm(t)
		f.enter(0)
	}
	return f
}

// Moving says, before the first note, that each chorus is played so many semitones, 0 to 11,
// above the one before, as its notes say (Note.Moved).
func (f *Fit) Moving(by int) {
	if by > highestMove {
		by -= tone.Octave
	}
	f.form.unmoved = by
}

// A note is judged a tenth of a beat after its onset, so that one that is early
// for a chord is judged by it; on the beat it lies up to two tenths behind.
const (
	tenths      = 10
	onBeatUntil = 3 // tenths of a beat behind where the beat begins to be early for
)

// Note takes the next note of the line, in the order of onsets, and returns what
// has closed before it. A note before bar 1 lies over nothing and counts for
// nothing, but the one before it moves on to it.
func (f *Fit) Note(n Note) []Verdict {
	f.out = f.out[:0]
	h := heldNote{Note: n, beat: 1}
	if f.form != nil {
		f.locate(&h)
	}
	f.settle(&h)
	if f.form != nil {
		if h.lean < 0 {
			return f.out // in the pick-up nothing is written
		}
		f.reach(h.lean)
	}
	f.held, f.holding = h, true
	return f.out
}

// locate finds where a note lies in its bar.
func (f *Fit) locate(h *heldNote) {
	start, b := f.chorusStart, &f.form.bars[f.bar]
	if h.Song < start+b.start || h.Song >= start+b.end {
		at := max(0, h.Song)
		start = at / f.form.length * f.form.length
		b = &f.form.bars[f.form.line.BarAt(at-start, f.bar)]
	}
	h.beat = b.beat
	h.lean = h.Song + b.beat/tenths
	h.from = h.Song
	if end := start + b.end; h.lean >= end {
		h.from = end
	}
	h.from = max(0, h.from)
	h.off = h.Timed && (h.lean-start-b.start)%b.beat*tenths > onBeatUntil*b.beat
}

// settle weighs the held note, now that what follows it is known. next is nil
// where nothing follows within a beat.
func (f *Fit) settle(next *heldNote) {
	if !f.holding {
		return
	}
	h := &f.held
	f.holding = false
	if f.form == nil {
		f.count(h)
	} else {
		f.weigh(h, next)
	}
	if f.ends {
		f.endPhrase(f.endsAt)
	}
}

// count takes a note that lies over nothing.
func (f *Fit) count(h *heldNote) {
	if f.inPhrase.first == noNote {
		f.inPhrase.sums, f.inPhrase.first = f.total, h.N
	}
	if f.inChorus.first == noNote {
		f.inChorus.first = h.N
	}
	f.total.notes++
	f.last = h.N
}

// weigh adds a note to what is open.
func (f *Fit) weigh(h, next *heldNote) {
	within := h.lean - f.chorusStart
	if within < 0 || within >= f.form.length { // the song went back unsaid
		within = mod(within, f.form.length)
	}
	bySection := f.form.at(f.inSection.grid, within)
	n := weighed{class: tone.ClassOf(int(h.Key) - int(h.Moved)), weight: fullWeight, over: bySection.here}
	if f.forgotten || n.over.table.chord.None() {
		return
	}
	if h.off {
		n.weight = n.weight * offBeat / fullWeight
	}
	if next != nil && next.Song-h.Song <= h.beat && (next.Key == h.Key+1 || h.Key == next.Key+1) {
		n.weight = n.weight * movesOn / fullWeight
	}
	if f.inPhrase.first == noNote {
		f.begin(&f.inPhrase, f.form.bars[f.bar].grid, h.from)
	}
	f.phraseTo = h.from + 1
	if f.unmarked {
		f.markFirst(h.N)
	}
	f.last = h.N
	f.total.count(&n)
	bySection.total.count(&n, bySection)
	if grid := f.inChorus.grid; grid != f.inSection.grid {
		g := f.form.at(grid, within)
		g.total.count(&n, g)
	}
	if grid := f.inPhrase.grid; grid != f.inSection.grid && grid != f.inChorus.grid {
		g := f.form.at(grid, within)
		g.total.count(&n, g)
	}
}

// markFirst notes the first note of every span that has none yet.
func (f *Fit) markFirst(n int64) {
	for _, m := range [...]*mark{&f.inPhrase, &f.inSection, &f.inChorus, f.recent.back(1)} {
		if m.first == noNote {
			m.first = n
		}
	}
	f.unmarked = false
}

// Advance says that song time has come to a song tick and that no note will come
// before it; it returns what has closed. Whatever is said does not hang on how
// often it is called.
func (f *Fit) Advance(song int64) []Verdict {
	f.out = f.out[:0]
	if f.form == nil {
		return f.out
	}
	if f.holding && song > f.held.Song+f.held.beat {
		f.settle(nil)
	}
	if f.holding {
		song = min(song, f.held.lean)
	}
	f.reach(song)
	return f.out
}

// EndPhrase says that the phrase of the last note is over and where its end is
// heard. Its verdict comes when the last note is weighed: at once or with one of
// the next calls.
func (f *Fit) EndPhrase(song int64) []Verdict {
	f.out = f.out[:0]
	if f.holding {
		f.ends, f.endsAt = true, song
	} else {
		f.endPhrase(song)
	}
	return f.out
}

// Jump says that song time, having come to one song tick, goes on from another:
// at an origin, or when counting off again. It closes everything that is open. A
// jump to where the song is anyhow is none.
func (f *Fit) Jump(from, to int64) []Verdict {
	f.out = f.out[:0]
	if f.form == nil || from == to {
		return f.out
	}
	f.stop(from)
	f.enter(to)
	return f.out
}

// Forget leaves a chorus out of the take, and out of what is open; where it is
// the open one, what is still played of it too, until the song jumps. What has
// been told of it before is the caller's to drop.
func (f *Fit) Forget(chorus int) {
	if f.form == nil {
		return
	}
	for i := len(f.choruses) - 1; i >= 0; i-- {
		if f.choruses[i].chorus != chorus {
			continue
		}
		if i >= len(f.choruses)-f.joined {
			f.joined--
		}
		f.choruses = slices.Delete(f.choruses, i, i+1)
	}
	f.recent = recent{}
	if chorus == f.form.chorus(f.chorusStart) {
		f.holding, f.ends = false, false
		f.inPhrase.first = noNote
		f.enter(f.barFrom)
		f.forgotten = true
	}
}

// Finish says that the take is over at a song tick. It returns what has closed,
// the take last. Nothing may be called after it.
func (f *Fit) Finish(song int64) []Verdict {
	f.out = f.out[:0]
	if f.form == nil {
		f.settle(nil)
		f.endPhrase(song)
		take := f.since(&f.inChorus, 0)
		f.tell(Take, &take)
		return f.out
	}
	f.stop(song)
	if len(f.choruses) > 0 {
		take := fold(f.choruses)
		f.tell(Take, &take)
	}
	return f.out
}
