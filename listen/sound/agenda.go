package sound

// agenda holds strikes that are not due yet, in the order of their times; of
// equal ones the first that came is first. It has room for so many and no more,
// and never allocates.
type agenda struct {
	strikes [agendaSize]Command
	n       int
}

// agendaSize is more than a full band plays in the 400 ms that are known ahead.
const agendaSize = 512

// add reports whether there was room.
func (a *agenda) add(c Command) bool {
	if a.n == agendaSize {
		return false
	}
	i := a.n
	for ; i > 0 && a.strikes[i-1].At > c.At; i-- {
		a.strikes[i] = a.strikes[i-1]
	}
	a.strikes[i] = c
	a.n++
	return true
}

// first returns the next strike; nil where there is none.
func (a *agenda) first() *Command {
	if a.n == 0 {
		return nil
	}
	return &a.strikes[0]
}

// drop takes the first strike away.
func (a *agenda) drop() {
	a.n--
	copy(a.strikes[:a.n], a.strikes[1:a.n+1])
}

// forget takes away what does not begin before a time, and shortens the rest to
// end by then.
func (a *agenda) forget(c Command) {
	for a.n > 0 && a.strikes[a.n-1].At >= c.At {
		a.n--
	}
	for i := range a.strikes[:a.n] {
		s := &a.strikes[i]
		s.For = min(s.For, c.At-s.At)
	}
}

// hold makes what is to begin before a time end when the command says.
func (a *agenda) hold(c Command) {
	for i := range a.strikes[:a.n] {
		if s := &a.strikes[i]; s.At < c.At && s.Voice == c.Voice && s.Key == c.Key {
			s.For = c.At + c.For - s.At
		}
	}
}
