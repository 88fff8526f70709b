package analyse

import (
	"slices"
	"sort"

	"shedlight/analyse/tone"
)

const (
	// connected is how far two notes of a line lie apart at most and still
	// belong together, as a multiple (halves) of the recent median gap: slow
	// practice connects over more than a beat.
	connectedHalves = 3
	// medianOf is how many gaps the recent median is taken of, and medianLeast
	// how many there must be.
	medianOf, medianLeast = 7, 3
)

// arrival is a note that has been heard and is not yet in the line or in a
// chord: its role is open, or whether it is a glitch.
type arrival struct {
	lineNote
	role    Role
	low     bool     // a pedal point, where it is struck again under another chord
	partner int64    // the one note of the line that is struck with it; -1: none
	under   bool     // and that is the higher one
	chord   tone.Set // the tones of a struck chord, in the first of its notes
	up      int64    // tick of its release
	nextAny int64    // tick of the next later note-on of any kind; stillDown: none yet
	outside bool
	settled bool // its fate is settled: it is written
	claim   claim
	played  played
}

// played is a note of the line as figures, phrases and beats look at it. It
// comes in order of n, once it is known to be line and no glitch: up to 50 ms
// after it was heard.
type played struct {
	n, tick  int64
	key      int
	place    Place
	index    int      // its place in the scale, 0 to 7, home on the even ones; -1 outside
	slot     int      // of the timeline, whose chord it is judged by; 0 without a chart
	context  *context // of that slot: chord, scale, centre; never changed
	named    *context // whose spelling it takes
	position position // where it lies in the song
	pulse    pulse    // where it lies in its bar
	next     *context // of the slot that follows, where its chord is another and the song runs on; else nil
}

// arrivals is a queue of them in order of n; its memory is used again.
type arrivals struct {
	items []arrival
	head  int
}

func (q *arrivals) len() int { return len(q.items) - q.head }

func (q *arrivals) first() *arrival { return &q.items[q.head] }

func (q *arrivals) push(a arrival) {
	if q.head > len(q.items)/2 && len(q.items) == cap(q.items) {
		q.items = q.items[:copy(q.items, q.items[q.head:])]
		q.head = 0
	}
	q.items = append(q.items, a)
}

func (q *arrivals) pop() {
	q.head++
	if q.head == len(q.items) {
		q.items, q.head = q.items[:0], 0
	}
}

// byNumber returns note n while it is queued.
func (q *arrivals) byNumber(n int64) *arrival {
	queued := q.items[q.head:]
	i := sort.Search(len(queued), func(i int) bool { return queued[i].n >= n })
	if i == len(queued) || queued[i].n != n {
		return nil
	}
	return &queued[i]
}

// line is the moments of the melody, in order: what the rules look at.
type line struct {
	last [neighbours + 1]moment // nearest first
	n    int                    // how many of them there are
	gaps [medianOf]int64        // the latest gaps between them, in a ring
	seen int                    // how many gaps there were
}

// moment is a note of the line, or two that are struck together, as in octaves
// or thirds.
type moment struct {
	lineNote          // the higher one
	lower    lineNote // the other, where there are two
	two      bool
	from     int64 // the onset of the first that came
}

// nearest returns the note of the moment that lies nearest to a key, the higher
// one where both do: each voice goes its own way.
func (m *moment) nearest(key int) lineNote {
	if m.two && apart(m.lower.key, key) < apart(m.key, key) {
		return m.lower
	}
	return m.lineNote
}

// add appends a note to the line.
func (l *line) add(note lineNote) {
	if l.n > 0 {
		l.gaps[l.seen%medianOf] = note.tick - l.last[0].from
		l.seen++
	}
	copy(l.last[1:], l.last[:])
	l.last[0] = moment{lineNote: note, from: note.tick}
	l.n = min(l.n+1, len(l.last))
}

// join adds a note to the last moment, which has one so far.
func (l *line) join(note lineNote) {
	m := &l.last[0]
	m.lower, m.two = note, true
	if note.key > m.key {
		m.lower, m.lineNote = m.lineNote, note
	}
}

// before lists the notes of the moments before the last one that lie nearest to
// a key, nearest in time first.
func (l *line) before(key int) (notes [neighbours]lineNote, n int) {
	for n = range l.n - 1 {
		notes[n] = l.last[n+1].nearest(key)
	}
	return notes, l.n - 1
}

// ended tells that note n stopped sounding.
func (l *line) ended(n, tick int64) {
	for i := range l.last[:l.n] {
		for _, m := range [...]*lineNote{&l.last[i].lineNote, &l.last[i].lower} {
			if m.n == n && m.off == stillDown {
				m.off = tick
			}
		}
	}
}

// gap returns the longest gap that still connects two notes: a beat, or one
// and a half times the recent median gap where that is longer.
func (l *line) gap(beat int64) int64 {
	n := min(l.seen, medianOf)
	if n < medianLeast {
		return beat
	}
	sorted := l.gaps
	slices.Sort(sorted[:n])
	return max(beat, sorted[(n-1)/2]*connectedHalves/2)
}

// known is the tick before which every note of the line is known.
func (a *Analyser) known() int64 {
	if a.arrivals.len() > 0 {
		return min(a.seen, a.arrivals.first().tick)
	}
	return a.seen
}

// admit takes the notes off the queue that have their role and are known to be
// played on purpose or not, and asks the open fates again.
func (a *Analyser) admit() {
	admitted := false
	for a.arrivals.len() > 0 {
		next := a.arrivals.first()
		glitch, open := a.isGlitch(next)
		if next.role == NoRole || open {
			break
		}
		a.place(next, glitch)
		a.arrivals.pop()
		admitted = true
	}
	if admitted {
		a.judge()
		a.decide()
	}
}

// isGlitch reports whether a note was not meant: between two others on a legato
// instrument and gone in less than 30 ms. open says that the next note can still
// make it one.
func (a *Analyser) isGlitch(n *arrival) (glitch, open bool) {
	switch {
	case !a.setup.Legato || a.line.n == 0:
		return false, false
	case a.arrivals.len() > 1:
		next := &a.arrivals.items[a.arrivals.head+1]
		return a.tempo.Micros(next.tick)-a.tempo.Micros(n.tick) < glitchMicros, false
	}
	return false, a.seen <= a.glitchDue(n.tick)
}

// place puts a note where it belongs: into the melody, the bass, its chord, or
// nowhere if it is a glitch or a pedal point that sounds on.
func (a *Analyser) place(n *arrival, glitch bool) {
	if n.chord != 0 {
		a.fits(&n.played, n.chord)
	}
	switch {
	case glitch:
		a.leave(&n.claim)
		if n.outside && !n.settled {
			a.settle(n.n, &n.claim, Glitch, -1, "")
		}
		return
	case n.low:
		if by := a.pedal.stroke(n); by >= 0 {
			a.leave(&n.claim)
			if n.outside && !n.settled {
				a.settle(n.n, &n.claim, Pedal, by, "")
			}
			return
		}
	}
	bass := false
	line := &a.line
	if n.role == Line {
		if bass = a.isBass(n); bass {
			line = &a.bass
		}
		a.joinLine(n, line, bass)
	}
	if !n.outside || n.settled {
		a.countIn(&n.claim)
		return
	}
	o := openFate{
		lineNote: n.lineNote, claim: n.claim, struck: n.role == Struck, bass: bass, under: n.under, nextAny: n.nextAny,
		gap: line.gap(n.claim.beat), asked: -1, due: n.tick, into: notYet, lead: notYet,
	}
	if !o.struck {
		o.before, o.nBefore = line.before(n.key)
	}
	a.open = append(a.open, o)
}

// joinLine puts a note into the melody or the bass.
func (a *Analyser) joinLine(n *arrival, line *line, bass bool) {
	together := n.partner >= 0 && line.n > 0 && line.last[0].n == n.partner
	if together {
		line.join(n.lineNote)
	} else {
		line.add(n.lineNote)
	}
	for i := range a.open {
		if o := &a.open[i]; !o.struck && o.bass == bass {
			o.follow(&line.last[0], n.partner, together)
		}
	}
	if !bass && !n.under {
		a.joinPhrase(n)
		a.inLine(&n.played)
	}
}

// follow takes the last moment of the line. Where a second note has joined it, the
// one that lies nearer stands for it.
func (o *openFate) follow(m *moment, partner int64, together bool) {
	switch {
	case !together && o.nAfter < neighbours:
		o.after[o.nAfter] = m.lineNote
		o.nAfter++
	case together && o.nAfter > 0 && o.after[o.nAfter-1].n == partner:
		o.after[o.nAfter-1] = m.nearest(o.key)
	}
}
