package beat

import (
	"time"

	"shedlight/analyse/timebase"
)

// Taps give the tempo: a straight line through the times of the last taps, by
// least squares. The first four decide, and each that follows makes it finer:
// with a scatter of 15 ms four give 120 beats a minute within 3.2 of it, six
// within 1.7, in 95 of 100 cases. While the song runs they also say where the
// beat is: the tempo bends so that the next beat falls where the next tap is due,
// within one beat.
const (
	tapsNeeded = 4
	tapsKept   = 16
	// bounce is the time within which a second tap is the same one: a tenth of a
	// second is a beat at 600 a minute.
	bounce = 100 * time.Millisecond
	// tapsOver is the pause after which taps begin anew: a beat at 20 a minute.
	tapsOver = 3 * time.Second
	// strayed is the part of a beat by which a tap may miss and still belong to
	// the ones before: a fourth, more than any hand scatters.
	strayed = 4
	// bent is how far off the next beat may be without being bent to.
	bent = 2 * time.Millisecond
	// soonest is the part of a beat that a bend needs at least: a fourth.
	soonest = 4
)

// taps are the taps that belong together.
type taps struct {
	times [tapsKept]int64 // microseconds; the last n of them, oldest first
	n     int
}

// fit is what taps say: where the next one is due, and how far they are apart.
type fit struct {
	next, interval int64 // microseconds
}

// add takes a tap. ok is false while there are too few.
func (t *taps) add(at int64) (f fit, ok bool) {
	if t.n > 0 {
		gap := at - t.times[t.n-1]
		if gap < bounce.Microseconds() {
			return fit{}, false
		}
		if gap > tapsOver.Microseconds() || t.strays(at) {
			t.n = 0
		}
	}
	if t.n == tapsKept {
		copy(t.times[:], t.times[1:])
		t.n--
	}
	t.times[t.n] = at
	t.n++
	if t.n < tapsNeeded {
		return fit{}, false
	}
	return t.line(), true
}

// strays reports whether a tap is none of the beat that the others give: the
// player taps another tempo.
func (t *taps) strays(at int64) bool {
	if t.n < 2 {
		return false
	}
	f := t.line()
	off := at - f.next
	return max(off, -off)*strayed > f.interval
}

// line fits the straight line.
func (t *taps) line() fit {
	n, first := int64(t.n), t.times[0]
	var sumX, sumXX, sumT, sumXT int64
	for i := range n {
		at := t.times[i] - first
		sumX += i
		sumXX += i * i
		sumT += at
		sumXT += i * at
	}
	spread := n*sumXX - sumX*sumX
	interval := floorDiv(n*sumXT-sumX*sumT+spread/2, spread)
	next := floorDiv(2*sumT-interval*(2*sumX-2*n*n)+n, 2*n) // the line at n
	return fit{next: first + next, interval: interval}
}

// tap takes a tap; what it changes holds from a tick on.
func (c *Clock) tap(tick int64) {
	at := c.seen - c.setup.Lag.Microseconds()
	f, ok := c.taps.add(at)
	if !ok {
		return
	}
	p := pieceAt(c.pieces, tick).advanced(tick)
	place := c.form.Place(p.song)
	if p.state != Running {
		place = Place{Meter: c.form.Bars[0].Meter}
	}
	beat := place.Meter.Beat()
	quarter := bounded((f.interval*timebase.Quarter + beat/2) / beat)
	c.quarter, c.bleed = c.form.faster(c.form.first(p.song, quarter), -c.setup.Rise.by(&c.form, p.song-p.base)), bleed{}
	switch p.state {
	case Free:
		c.change(tick, func(q *piece) {
			// The bar begins with the tap that is due.
			q.state = Running
			q.song = -max(1, floorDiv(f.next*timebase.Quarter-q.at960, quarter))
		})
		return
	case Running:
		c.bleed = c.bend(&p, tickIn(c.pieces, at), f, quarter)
	}
	c.change(tick, nil)
}

// bend returns the passing tempo from a piece on that makes a beat fall where
// the taps have it; none where it does so anyway.
func (c *Clock) bend(p *piece, tapped int64, f fit, quarter int64) bleed {
	song, _ := c.Line().Song(tapped)
	place := c.form.Place(song)
	beat := place.Meter.Beat()
	off := place.Offset % beat
	if 2*off >= beat {
		off -= beat
	}
	until, due := tapped-off+beat, f.next
	for (until-p.tick)*soonest < beat || due*timebase.Quarter <= p.at960 {
		until, due = until+beat, due+f.interval
	}
	ticks, time960 := until-p.tick, due*timebase.Quarter-p.at960
	miss := time960 - ticks*quarter
	passing := (time960 + ticks/2) / ticks
	switch {
	case max(miss, -miss) <= bent.Microseconds()*timebase.Quarter,
		passing != bounded(passing),
		passing > 2*quarter, 2*passing < quarter:
		return bleed{}
	}
	return bleed{until: until, quarter: passing}
}
