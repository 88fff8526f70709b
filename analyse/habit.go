package analyse

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
	octave    = 12 // semitones
	// farthestDisplaced is how far a displaced resolution leaps at most: a
	// semitone more than two octaves.
	farthestDisplaced = 2*octave + 1
)

// BarRef is a bar of a chorus, as in a finding: both are 0 without a chart.
type BarRef struct {
	Chorus int `json:"chorus"`
	Bar    int `json:"bar"`
}

func (n *played) where() BarRef { return BarRef{Chorus: n.position.chorus, Bar: n.position.bar} }

// sightings counts how often something was seen and where of late.
type sightings struct {
	times int64
	at    [habitBars]BarRef // in a ring
}

func (s *sightings) add(at BarRef) {
	s.at[s.times%habitBars] = at
	s.times++
}

// habits watches the line.
type habits struct {
	notes           int64
	lowest, highest int
	cells           cells
	slip            slip
	early           ahead
	before          played // the note before, in the same phrase
	hasBefore       bool

	slips, aheads, displaced sightings
}

// slip is a row of outside notes.
type slip struct {
	notes int
	from  BarRef
}

// ahead is a row of outside notes in the scale of the chord to come.
type ahead struct {
	notes int
	slot  int
	from  BarRef
	near  bool // the latest of them lies at most a beat before the change
}

// outside reports whether the note is outside the scale and the written chord.
func (n *played) outside() bool {
	return n.place == Outside && !n.context.chordTone.Has(n.class())
}

// add takes a note of the line in their order; first says that it begins a
// phrase.
func (h *habits) add(n *played, first bool) {
	if h.notes == 0 {
		h.lowest, h.highest = n.key, n.key
	}
	h.notes++
	h.lowest, h.highest = min(h.lowest, n.key), max(h.highest, n.key)
	if first {
		h.rest()
	}
	if h.hasBefore {
		h.cells.add(n.key-h.before.key, n.where())
		h.displace(n)
	}
	if h.slip.add(n) {
		h.slips.add(h.slip.from)
	}
	h.ahead(n)
	h.before, h.hasBefore = *n, true
}

// rest ends what goes on: a phrase is over.
func (h *habits) rest() {
	h.cells.rest()
	h.endAhead(true)
	h.slip, h.hasBefore = slip{}, false
}

func (h *habits) displace(n *played) {
	b := &h.before
	leap := apart(n.key, b.key)
	semitone := leap%octave == 1 || leap%octave == octave-1
	if b.outside() && semitone && leap > 1 && leap <= farthestDisplaced &&
		n.tick-b.tick <= b.position.beatTicks && (n.context.set | n.context.chordTone).Has(n.class()) {
		h.displaced.add(b.where())
	}
}

// add takes the next note and reports whether it makes the row a side-slip.
func (s *slip) add(n *played) bool {
	if !n.outside() {
		*s = slip{}
		return false
	}
	if s.notes == 0 {
		s.from = n.where()
	}
	s.notes++
	return s.notes == slipLeast
}

func (h *habits) ahead(n *played) {
	e := &h.early
	if e.notes > 0 && e.slot != n.slot {
		h.endAhead(true)
	}
	if !n.outside() || n.next == nil || !n.next.set.Has(n.class()) {
		h.endAhead(false)
		return
	}
	if e.notes == 0 {
		e.slot, e.from = n.slot, n.where()
	}
	e.notes++
	e.near = n.position.left <= n.position.beatTicks
}

// endAhead ends a row of notes ahead of the change. reached says that nothing
// else was played up to the change.
func (h *habits) endAhead(reached bool) {
	if reached && h.early.near && h.early.notes >= aheadLeast {
		h.aheads.add(h.early.from)
	}
	h.early = ahead{}
}

// HabitReport tells what comes again and again. Where phrases start and end,
// and how long they are, is in the PhraseReport.
type HabitReport struct {
	Lowest    int       `json:"lowest"` // key numbers; both 0 without a note
	Highest   int       `json:"highest"`
	Cells     []Cell    `json:"cells"` // the favourite ones, at most five
	SideSlips Sightings `json:"side_slips"`
	Ahead     Sightings `json:"ahead"` // groups in the scale of the chord to come
	Displaced Sightings `json:"displaced"`
}

// Sightings says how often something was seen, and in which bars it began the
// last few times.
type Sightings struct {
	Times int64    `json:"times"`
	Bars  []BarRef `json:"bars"`
}

func (s *sightings) report() Sightings {
	r := Sightings{Times: s.times, Bars: []BarRef{}}
	for i := max(0, s.times-habitBars); i < s.times; i++ {
		r.Bars = append(r.Bars, s.at[i%habitBars])
	}
	return r
}

func (h *habits) report() HabitReport {
	return HabitReport{
		Lowest: h.lowest, Highest: h.highest, Cells: h.cells.report(),
		SideSlips: h.slips.report(), Ahead: h.aheads.report(), Displaced: h.displaced.report(),
	}
}
