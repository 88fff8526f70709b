package figure

// Counts counts figures found in the line.
type Counts struct {
	Run      int64 `json:"run"`
	Arpeggio int64 `json:"arpeggio"`
	Chord    int64 `json:"chord"` // struck; the judge counts them
	Leap     int64 `json:"leap"`

	Cell      int64 `json:"cell"`
	Enclosure int64 `json:"enclosure"`
	Thirds    int64 `json:"thirds"`
	Repeated  int64 `json:"repeated"`
	Trill     int64 `json:"trill"`
}

// of is where figures of a kind are counted.
func (c *Counts) of(k Kind) *int64 {
	return [...]*int64{
		Run: &c.Run, Arpeggio: &c.Arpeggio, Leap: &c.Leap, Cell: &c.Cell, Enclosure: &c.Enclosure,
		Thirds: &c.Thirds, Repeated: &c.Repeated, Trill: &c.Trill, StruckChord: &c.Chord,
	}[k]
}

func (c *Counts) count(k Kind) { *c.of(k)++ }

// LinkCounts counts how runs and arpeggios are joined to the one before.
type LinkCounts struct {
	Shared int64 `json:"shared"`
	Step   int64 `json:"step"`
	Jump   int64 `json:"jump"`
}

func (c *LinkCounts) count(l Link) {
	switch l {
	case LinkShared:
		c.Shared++
	case LinkStep:
		c.Step++
	case LinkJump:
		c.Jump++
	}
}

// HalfStepCounts counts the half steps put into runs between two tones a whole
// step apart. OntoBeat of them brought the half with more of the chord onto the
// beat, which is what they are for; where the halves tie that is not told.
type HalfStepCounts struct {
	Added    int64 `json:"added"`
	OntoBeat int64 `json:"onto_beat"`
}

// tally is what figures are counted in, in one chorus or in the session.
type tally struct {
	figures   Counts
	links     LinkCounts
	halfSteps HalfStepCounts
	chords    []int64 // of the families, by their row
}

// Include adds another tally.
func (t *tally) Include(c *tally) {
	for k := Run; k < StruckChord; k++ {
		*t.figures.of(k) += *c.figures.of(k)
	}
	t.links.Shared += c.links.Shared
	t.links.Step += c.links.Step
	t.links.Jump += c.links.Jump
	t.halfSteps.Added += c.halfSteps.Added
	t.halfSteps.OntoBeat += c.halfSteps.OntoBeat
	for row, times := range c.chords {
		t.play(row, times)
	}
}

// Reset empties the tally; its memory is used again.
func (t *tally) Reset() {
	clear(t.chords)
	*t = tally{chords: t.chords}
}

// play counts a chord of a family so many times.
func (t *tally) play(row int, times int64) {
	for row >= len(t.chords) {
		t.chords = append(t.chords, 0)
	}
	t.chords[row] += times
}

// played is how often a chord of a family was played.
func (t *tally) played(row int) int64 {
	if row >= len(t.chords) {
		return 0
	}
	return t.chords[row]
}

// Counted returns what was counted so far.
func (f *Finder) Counted() (Counts, LinkCounts, HalfStepCounts) {
	all := f.Total()
	return all.figures, all.links, all.halfSteps
}
