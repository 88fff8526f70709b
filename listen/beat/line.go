package beat

import (
	"sort"
	"time"

	"shedlight/analyse/timebase"
)

// piece is a stretch at one tempo with one relation of tick and song tick. Its
// start is kept in 960ths of a microsecond, so that no rounding adds up.
type piece struct {
	at960   int64
	tick    int64
	quarter int64 // microseconds
	song    int64 // the song tick at tick
	base    int64 // the song tick of the top that is counted in, or from
	meter   timebase.Meter
	state   State
}

// State says what the song does.
type State uint8

const (
	Free    State = iota // there is no beat: nothing is counted
	Waiting              // for the first note, or for the clock that is followed
	Running
	Halted
)

// songAt returns the song tick of a tick of the piece.
func (p *piece) songAt(tick int64) int64 {
	if p.state != Running {
		return p.song
	}
	return p.song + tick - p.tick
}

// advanced returns the piece as it is from a later tick on.
func (p *piece) advanced(tick int64) piece {
	q := *p
	q.at960 += (tick - p.tick) * p.quarter
	q.song = p.songAt(tick)
	q.tick = tick
	return q
}

// microsAt returns when a tick of the piece is, in microseconds, rounded down.
func (p *piece) microsAt(tick int64) int64 {
	return floorDiv(p.at960+(tick-p.tick)*p.quarter, timebase.Quarter)
}

// tickAt returns the last tick of the piece that is not after a time, as
// timebase.Tempo has it.
func (p *piece) tickAt(micros int64) int64 {
	return p.tick + ((micros+1)*timebase.Quarter-1-p.at960)/p.quarter
}

// Line says which tick is when, and where it lies in the song, as far as is
// known: for the recent past, and for the next two seconds. After that, and
// wherever the player acts, another line holds. A Line never changes and may be
// read by any goroutine.
type Line struct {
	pieces  []piece
	form    *Form
	rise    Rise
	quarter int64 // the player's, at bar 1
}

// Form returns the form that the song ticks are of.
func (l *Line) Form() *Form { return l.form }

// at returns the piece that holds at a tick.
func (l *Line) at(tick int64) *piece { return pieceAt(l.pieces, tick) }

func pieceAt(pieces []piece, tick int64) *piece {
	if last := &pieces[len(pieces)-1]; tick >= last.tick {
		return last
	}
	i := sort.Search(len(pieces), func(i int) bool { return pieces[i].tick > tick })
	return &pieces[max(0, i-1)]
}

// Tick returns the last tick that is not after a time: beat(t). Times before
// tick 0 give 0; times before what the line remembers give its beginning.
func (l *Line) Tick(t time.Duration) int64 { return tickIn(l.pieces, t.Microseconds()) }

func tickIn(pieces []piece, micros int64) int64 {
	if micros < 0 {
		return pieces[0].tick
	}
	limit := (micros+1)*timebase.Quarter - 1
	p := &pieces[len(pieces)-1]
	if p.at960 > limit {
		i := sort.Search(len(pieces), func(i int) bool { return pieces[i].at960 > limit })
		p = &pieces[max(0, i-1)]
	}
	return max(pieces[0].tick, p.tickAt(micros))
}

// Time returns when a tick is, rounded down to a microsecond.
func (l *Line) Time(tick int64) time.Duration {
	return time.Duration(l.at(tick).microsAt(tick)) * time.Microsecond
}

// Song returns the song tick that lies at a tick, and what the song does there.
// While nothing is counted, or the start is waited for, the song tick means
// nothing.
func (l *Line) Song(tick int64) (song int64, state State) {
	p := l.at(tick)
	return p.songAt(tick), p.state
}

// Top returns the song tick of the top that the song at a tick was last counted
// off to: whole choruses, so that no number of one comes twice.
func (l *Line) Top(tick int64) int64 { return l.at(tick).base }

// Stretch is a part of a line over which tick and song tick run side by side, or
// the song does not run.
type Stretch struct {
	From, To int64 // ticks, To exclusive
	Song     int64 // at From
	Top      int64 // the song tick that was last counted off to
	Quarter  int64 // the tempo, in microseconds a quarter note
	State    State
}

// Stretches calls f for the stretches between two ticks, in order.
func (l *Line) Stretches(from, to int64, f func(Stretch)) {
	for i := range l.pieces {
		p := &l.pieces[i]
		begin, end := max(from, p.tick), to
		if i == 0 {
			begin = from
		}
		if i+1 < len(l.pieces) {
			end = min(to, l.pieces[i+1].tick)
		}
		if begin < end {
			f(Stretch{From: begin, To: end, Song: p.songAt(begin), Top: p.base, Quarter: p.quarter, State: p.state})
		}
	}
}

// Differs returns the first moment from which the line says something else than
// an earlier one did. ok is false where it never does.
func (l *Line) Differs(before *Line) (from time.Duration, ok bool) {
	a, b := before.pieces, l.pieces
	a = a[shared(a, b[0]):]
	if len(a) == 0 {
		return l.Time(b[0].tick), true
	}
	b = b[shared(b, a[0]):]
	for i := range max(len(a), len(b)) {
		if i < len(a) && i < len(b) && a[i] == b[i] {
			continue
		}
		tick := int64(timebase.MaxTick)
		for _, p := range [][]piece{a, b} {
			if i < len(p) {
				tick = min(tick, p[i].tick)
			}
		}
		return l.Time(tick), true
	}
	return 0, false
}

// shared returns the index of the piece that p begins with, 0 where there is none.
func shared(pieces []piece, p piece) int {
	for i := range pieces {
		if pieces[i] == p {
			return i
		}
	}
	return 0
}

func floorDiv(a, b int64) int64 {
	q := a / b
	if a%b < 0 {
		q--
	}
	return q
}
