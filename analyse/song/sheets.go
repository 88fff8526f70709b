package song

import "slices"

// Counter is what a room counts: it can take in what was counted later, and be
// emptied.
type Counter[T any] interface {
	*T
	Include(later *T)
	Reset()
}

// openSheets is how many choruses are counted apart: the one that is played, the
// one before it and what is played outside a chorus between them.
const openSheets = 3

// Sheets count by chorus, so that one can be forgotten: a sheet for each of the
// last few, by their numbers, 0 for what lies in none, and one for the session, to
// which a sheet is added when it makes room for another.
type Sheets[T any, C Counter[T]] struct {
	open    [openSheets]chorusSheet[T] // the first n, in the order in which they were opened
	n, at   int
	session *T
	waste   *T // of what is forgotten: nobody reads it
	fresh   func() *T
	gone    []int
}

type chorusSheet[T any] struct {
	chorus int
	count  *T
}

// NewSheets returns sheets outside a chorus; fresh makes an empty one.
func NewSheets[T any, C Counter[T]](fresh func() *T) Sheets[T, C] {
	s := Sheets[T, C]{session: fresh(), waste: fresh(), fresh: fresh, n: 1}
	for i := range s.open {
		s.open[i].count = fresh()
	}
	return s
}

// Chorus is the number of the chorus that is played.
func (s *Sheets[T, C]) Chorus() int { return s.open[s.at].chorus }

// Now is the sheet of the chorus that is played.
func (s *Sheets[T, C]) Now() C { return s.open[s.at].count }

// Turn opens the sheet of a chorus, or goes on with it.
func (s *Sheets[T, C]) Turn(chorus int) {
	if i := s.find(chorus); i >= 0 {
		s.at = i
		return
	}
	if s.n == openSheets {
		oldest := s.open[0]
		if !s.Forgotten(oldest.chorus) {
			C(s.session).Include(oldest.count)
		}
		C(oldest.count).Reset()
		copy(s.open[:], s.open[1:])
		s.n--
		s.open[s.n] = oldest
	}
	s.at = s.n
	s.open[s.at].chorus = chorus
	s.n++
}

func (s *Sheets[T, C]) find(chorus int) int {
	return slices.IndexFunc(s.open[:s.n], func(o chorusSheet[T]) bool { return o.chorus == chorus })
}

// Of is the sheet on which something is counted that is known only now of a chorus.
func (s *Sheets[T, C]) Of(chorus int) C {
	if s.Forgotten(chorus) {
		return s.waste
	}
	if i := s.find(chorus); i >= 0 {
		return s.open[i].count
	}
	return s.session
}

// Forget leaves a chorus out: what was counted in it, and what still will be.
func (s *Sheets[T, C]) Forget(chorus int) { s.gone = append(s.gone, chorus) }

// Forgotten reports whether a chorus is left out.
func (s *Sheets[T, C]) Forgotten(chorus int) bool { return slices.Contains(s.gone, chorus) }

// Each calls f for every sheet.
func (s *Sheets[T, C]) Each(f func(C)) {
	for i := range s.open {
		f(s.open[i].count)
	}
	f(s.session)
	f(s.waste)
}

// Total is what was counted but for what is forgotten, in memory of its own.
func (s *Sheets[T, C]) Total() *T {
	total := C(s.fresh())
	s.Counted(func(one C) { total.Include(one) })
	return total
}

// Counted calls f for the sheets that Total adds up.
func (s *Sheets[T, C]) Counted(f func(C)) {
	f(s.session)
	for _, o := range s.open[:s.n] {
		if !s.Forgotten(o.chorus) {
			f(o.count)
		}
	}
}
