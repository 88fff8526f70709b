package fit

import "shedlight/analyse/tone"

// sums is what notes over the changes add up to. It runs on through a take; a
// span is what has been added since it began. All are whole numbers, so that what
// is taken away again leaves nothing behind. Scores are in points of point.
type sums struct {
	notes, bars int64
	beats       int64 // in thousandths

	score     int64 // as written
	chance    int64 // classes times what notes at random would have
	spread    int64 // classes squared times the variance of that
	key       int64 // scaleTones times what notes of the centre's scale at random would have
	inKey     int64 // notes in the centre's scale
	dominants int64 // notes over dominants
	turned    int64 // over the dim halves of the chords' own scales, less as written

	pitch [pitchMoves]int64 // moved, less as written
	alike [pitchMoves]int64 // notes over chords that are the same when moved
}

// shifts is what moves in time come to, by the places of one grid.
type shifts struct {
	sum    [timeMoves]int64 // there, less as written, of the notes with a chord at both
	differ [timeMoves]int64 // notes over another chord there
}

// add adds what another stretch adds up to, as often as times says.
func (s *sums) add(o *sums, times int64) {
	s.notes += times * o.notes
	s.bars += times * o.bars
	s.beats += times * o.beats
	s.score += times * o.score
	s.chance += times * o.chance
	s.spread += times * o.spread
	s.key += times * o.key
	s.inKey += times * o.inKey
	s.dominants += times * o.dominants
	s.turned += times * o.turned
	for i := range s.pitch {
		s.pitch[i] += times * o.pitch[i]
		s.alike[i] += times * o.alike[i]
	}
}

func (s *shifts) add(o *shifts, times int64) {
	for i := range s.sum {
		s.sum[i] += times * o.sum[i]
		s.differ[i] += times * o.differ[i]
	}
}

// weighed is a note with its weight.
type weighed struct {
	class  tone.Class
	weight int64
	over   *stay
}

// count adds a note.
func (s *sums) count(n *weighed) {
	t := n.over.table
	s.notes++
	s.score += n.weight * t.counts[n.class]
	s.chance += n.weight * t.sum
	s.spread += n.weight * n.weight * t.spread
	s.key += n.weight * n.over.keySum
	s.inKey += int64(n.over.key >> n.class & 1)
	s.dominants += t.dominant
	s.turned += n.weight * n.over.turned[n.class]
	for i, counts := range &t.moved[n.class] {
		s.pitch[i] += n.weight * counts
	}
	for i := range t.alike {
		s.alike[t.alike[i]]++
	}
}

// count adds a note at the places of a grid, which has found them.
func (s *shifts) count(n *weighed, g *grid) {
	written := n.over.table.counts[n.class]
	for i, t := range &g.there {
		if t != nil {
			s.sum[i] += n.weight * (t.counts[n.class] - written)
			s.differ[i] += g.differ[i]
		}
	}
}
