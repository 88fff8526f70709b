// Package habit watches for what comes again and again in a line.
package habit

import (
	"shedlight/analyse/song"
	"shedlight/analyse/tone"
)

// Habits: what comes again and again in the line. They are observations; they
// excuse nothing and blame nothing. What is outside here is outside the scale
// and no tone of the written chord either.
//
//   - A side-slip is three notes or more in a row that are outside. In each of
//     the four scales no two tones outside are neighbours, so such a row lies in
//     the scale a semitone up and in the one a semitone down as well.
//   - A group ahead of the change is two notes or more in a row that are outside
//     and in the scale of the chord to come, up to the change, the last of them
//     at most a beat before it.
//   - A displaced resolution is an outside note followed within a beat by a
//     target a semitone away but for one or two octaves.
//
// Pages that teach these name the shapes (common practice); the numbers are
// this project's own. Cost and memory are constant.

const (
	slipLeast, aheadLeast = 3, 2
	// habitBars is how many places of each are kept, the latest.
	habitBars = 4
	// farthestDisplaced is how far a displaced resolution leaps at most: a
	// semitone more than two octaves.
	farthestDisplaced = 2*tone.Octave + 1
)

// sightings counts how often something was seen and where of late.
type sightings struct {
	times int64
	at    [habitBars]song.BarRef // in a ring
}

func (s *sightings) add(at song.BarRef) {
	s.at[s.times%habitBars] = at
	s.times++
}

// latest lists where it was seen of late, the earliest first.
func (s *sightings) latest() []song.BarRef {
	out := []song.BarRef{}
	for i := max(0, s.times-habitBars); i < s.times; i++ {
		out = append(out, s.at[i%habitBars])
	}
	return out
}

// include adds what was seen later.
func (s *sightings) include(later *sightings) {
	unnamed := later.times - min(later.times, habitBars)
	s.times += unnamed
	for i := unnamed; i < later.times; i++ {
		s.add(later.at[i%habitBars])
	}
}

// Watch watches the line.
type Watch struct {
	song.Sheets[tally, *tally]
	slip      slip
	early     ahead
	before    song.Note // the note before, in the same phrase
	hasBefore bool

	cells cells
}

// New returns a watch that has seen nothing.
func New() Watch { return Watch{Sheets: song.NewSheets[tally](func() *tally { return &tally{} })} }

// tally is what was seen in one chorus, or in the session.
type tally struct {
	cells           cellTable
	notes           int64
	lowest, highest reached

	slips, aheads, displaced sightings
}

// reached is a key of the line and where it was played first.
type reached struct {
	key int
	at  song.BarRef
}

// slip is a row of outside notes.
type slip struct {
	notes int
	from  song.BarRef
}

// ahead is a row of outside notes in the scale of the chord to come.
type ahead struct {
	notes int
	slot  int
	moved int // as Context.Moved
	from  song.BarRef
	near  bool // the latest of them lies at most a beat before the change
}

// Note takes a note of the line, in their order.
func (w *Watch) Note(n *song.Note) {
	w.Now().reach(reached{n.Key, n.Position.Ref()})
	if w.hasBefore {
		w.cells.add(&w.Now().cells, n.Key-w.before.Key, n.Position.Ref())
		w.displace(n)
	}
	if w.slip.add(n) {
		w.Now().slips.add(w.slip.from)
	}
	w.ahead(n)
	w.before, w.hasBefore = *n, true
}

// Rest ends what goes on: a phrase is over.
func (w *Watch) Rest() {
	w.cells.rest()
	w.endAhead(true)
	w.slip, w.hasBefore = slip{}, false
}

// reach counts a note.
func (t *tally) reach(n reached) {
	if t.notes == 0 || n.key < t.lowest.key {
		t.lowest = n
	}
	if t.notes == 0 || n.key > t.highest.key {
		t.highest = n
	}
	t.notes++
}

// Reset empties the tally.
func (t *tally) Reset() {
	t.cells.reset()
	t.notes, t.lowest, t.highest = 0, reached{}, reached{}
	t.slips, t.aheads, t.displaced = sightings{}, sightings{}, sightings{}
}

// Include adds what was seen later.
func (t *tally) Include(other *tally) {
	t.cells.include(&other.cells)
	if other.notes > 0 {
		notes := t.notes + other.notes
		t.reach(other.lowest)
		t.reach(other.highest)
		t.notes = notes
	}
	t.slips.include(&other.slips)
	t.aheads.include(&other.aheads)
	t.displaced.include(&other.displaced)
}

func (w *Watch) displace(n *song.Note) {
	b := &w.before
	leap := tone.Apart(n.Key, b.Key)
	semitone := leap%tone.Octave == 1 || leap%tone.Octave == tone.Octave-1
	if b.OutsideAll() && semitone && leap > 1 && leap <= farthestDisplaced &&
		n.Tick-b.Tick <= b.Position.BeatTicks && (n.Context.Set | n.Context.ChordTone).Has(n.Class()) {
		w.Now().displaced.add(b.Position.Ref())
	}
}

// add takes the next note and reports whether it makes the row a side-slip.
func (s *slip) add(n *song.Note) bool {
	if !n.OutsideAll() {
		*s = slip{}
		return false
	}
	if s.notes == 0 {
		s.from = n.Position.Ref()
	}
	s.notes++
	return s.notes == slipLeast
}

func (w *Watch) ahead(n *song.Note) {
	e := &w.early
	if e.notes > 0 && (e.slot != n.Slot || e.moved != n.Context.Moved) {
		w.endAhead(true)
	}
	if !n.OutsideAll() || n.Next == nil || !n.Next.Set.Has(n.Class()) {
		w.endAhead(false)
		return
	}
	if e.notes == 0 {
		e.slot, e.moved, e.from = n.Slot, n.Context.Moved, n.Position.Ref()
	}
	e.notes++
	e.near = n.Position.Left <= n.Position.BeatTicks
}

// endAhead ends a row of notes ahead of the change. reached says that nothing
// else was played up to the change.
func (w *Watch) endAhead(reached bool) {
	if reached && w.early.near && w.early.notes >= aheadLeast {
		w.Now().aheads.add(w.early.from)
	}
	w.early = ahead{}
}

// Report tells what comes again and again. Where phrases start and end,
// and how long they are, is in the PhraseReport.
type Report struct {
	Lowest    int         `json:"lowest"` // key numbers; both 0 without a note
	Highest   int         `json:"highest"`
	LowestAt  song.BarRef `json:"lowest_at"` // where it was played first
	HighestAt song.BarRef `json:"highest_at"`
	Cells     []Cell      `json:"cells"` // the favourite ones, at most five
	SideSlips Sightings   `json:"side_slips"`
	Ahead     Sightings   `json:"ahead"` // groups in the scale of the chord to come
	Displaced Sightings   `json:"displaced"`
}

// Sightings says how often something was seen, and in which bars it began the
// last few times.
type Sightings struct {
	Times int64         `json:"times"`
	Bars  []song.BarRef `json:"bars"`
}

func (s *sightings) report() Sightings { return Sightings{Times: s.times, Bars: s.latest()} }

// Report tells what was seen so far.
func (w *Watch) Report() Report {
	all := w.Total()
	return Report{
		Lowest: all.lowest.key, Highest: all.highest.key, LowestAt: all.lowest.at, HighestAt: all.highest.at, Cells: all.cells.report(),
		SideSlips: all.slips.report(), Ahead: all.aheads.report(), Displaced: all.displaced.report(),
	}
}
