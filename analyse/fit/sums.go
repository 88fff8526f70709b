package fit

// sums is what is kept of the notes of a stretch: a value, whose parts add up
// whatever their order, since they are whole numbers. Scores are in points of
// point.
type sums struct {
	notes, bars int64
	beats       int64 // in thousandths
	first, last int64 // N of the first and the last note; meaningless without notes

	score     int64 // as written
	chance    int64 // classes times what notes at random would have
	spread    int64 // classes squared times the variance of that
	key       int64 // scaleTones times what notes of the centre's scale at random would have
	inKey     int64 // notes in the centre's scale
	dominants int64 // notes over dominants

	pitch        [pitchMoves]int64 // moved, less as written
	pitchDiffers uint16            // bit i: a chord is another there
}

// shifts is what moves in time come to, by the places of one grid.
type shifts struct {
	sum     [timeMoves]int64 // there, less as written, of the notes with a chord at both
	differs uint8            // bit i: a chord is another there
}

func (s *sums) add(o *sums) {
	switch {
	case o.notes == 0:
	case s.notes == 0:
		s.first, s.last = o.first, o.last
	default:
		s.first, s.last = min(s.first, o.first), max(s.last, o.last)
	}
	s.notes += o.notes
	s.bars += o.bars
	s.beats += o.beats
	s.score += o.score
	s.chance += o.chance
	s.spread += o.spread
	s.key += o.key
	s.inKey += o.inKey
	s.dominants += o.dominants
	for i := range s.pitch {
		s.pitch[i] += o.pitch[i]
	}
	s.pitchDiffers |= o.pitchDiffers
}

func (s *shifts) add(o *shifts) {
	for i := range s.sum {
		s.sum[i] += o.sum[i]
	}
	s.differs |= o.differs
}

// stretch is a span that is open, or was.
type stretch struct {
	sums
	shifts
	grid     int   // the places that shifts counts
	from, to int64 // song ticks
}

// weighed is a note with its weight: what it adds to every span it lies in.
type weighed struct {
	sums
	class  int
	weight int64
	within int64 // the song tick of one chorus at which it is judged
	table  int
}

// weigh fills in what a note counts for where it lies and moved by semitones.
func (n *weighed) weigh(f *form, s *stay) {
	t := &f.tables[s.table]
	n.table = s.table
	n.notes = 1
	row := t.row[n.class : n.class+pitchMoves]
	written := row[noMove]
	n.score = n.weight * written
	n.chance = n.weight * t.sum
	n.spread = n.weight * n.weight * t.spread
	n.key = n.weight * s.keySum
	n.inKey = int64(s.key >> n.class & 1)
	if t.dominant {
		n.dominants = 1
	}
	for i, there := range row {
		n.pitch[i] = n.weight * (there - written)
	}
	n.pitchDiffers = t.differs
}

// shift returns what a note counts for at the places of a grid.
func (n *weighed) shift(f *form, g *grid) (out shifts) {
	here := &f.tables[n.table]
	written := here.row[n.class+noMove]
	for i := range g.ahead {
		song := n.within + g.ahead[i]
		if song >= f.length {
			song -= f.length
		}
		table := g.cursor[i].at(f.stays, song).table
		if table == n.table {
			continue
		}
		there := &f.tables[table]
		if there.chord.None() {
			continue
		}
		out.sum[i] = n.weight * (there.row[n.class+noMove] - written)
		if there.chord != here.chord {
			out.differs |= 1 << i
		}
	}
	return out
}
