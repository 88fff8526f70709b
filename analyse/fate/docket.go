package fate

import (
	"shedlight/analyse/timebase"
	"shedlight/analyse/tone"
)

// Docket holds the notes whose fate is not settled, in their order, and the stays
// on a chord over which it is heard in which scale the chord was played. Its zero
// value is empty; Settled and Fought must be set.
type Docket struct {
	Settled func(o *Open, v Verdict) // called for each outside note as soon as its fate is settled
	Fought  func(o *Open)            // called for a note that fights its chord, before that

	sight     Sight // kept here, so that none is allocated
	open      []Open
	followed  int      // how many at the front of open nothing more can follow
	half      int64    // the number of the melody's last note, where the second voice of its moment is still to come; else -1
	another   [2]int64 // the tick of the latest note of any kind of each hand, the right one's first
	stays     []stay
	stayCount int64
}

// Oldest returns the tick of the first note whose fate is open; Never where there is none.
func (d *Docket) Oldest() int64 {
	if len(d.open) == 0 {
		return timebase.Never
	}
	return d.open[0].Tick
}

// Add takes a note.
func (d *Docket) Add(o Open) { d.open = append(d.open, o) }

// Another tells the notes of a hand before a tick that a note of any kind comes there.
// Where that was not the first one there, they know it.
func (d *Docket) Another(tick int64, left bool) {
	another := &d.another[0]
	if left {
		another = &d.another[1]
	}
	if tick == *another {
		return
	}
	*another = tick
	for i := range d.open {
		if o := &d.open[i]; o.Left == left && o.nextAny == timebase.Never && o.Tick < tick {
			o.nextAny = tick
			o.askAgain(tick)
		}
	}
}

// Follow tells the notes of a line what has just been added to it: the note struck
// together with partner, where together is true.
func (d *Docket) Follow(line *Line, partner int64, together, bass bool) {
	for d.followed < len(d.open) && d.open[d.followed].isFollowed(d.half) {
		d.followed++
	}
	for i := d.followed; i < len(d.open); i++ {
		if o := &d.open[i]; o.Voice != Struck && (o.Voice == Bass) == bass {
			o.follow(&line.last[0], partner, together)
		}
	}
	if !bass {
		if d.half = -1; partner >= 0 && !together {
			d.half = line.last[0].N
		}
	}
}

// Strike tells the outside voices of the chord before, and the notes of the line
// that nothing has followed yet, where they lead in the chord that their hand has
// just struck, which has a note.
func (d *Docket) Strike(chord []Note, left bool) {
	first := chord[0].Tick
	for i := range d.open {
		switch o := &d.open[i]; {
		case o.Tick >= first || o.Left != left:
		case o.Voice == Struck && o.into == notYet:
			o.into, o.again = o.movesInto(first, chord)
			o.askAgain(o.Tick)
		case o.Voice != Struck && o.nAfter == 0 && o.lead == notYet && first-o.Tick <= o.gap:
			o.lead, _ = o.movesInto(first, chord)
			o.askAgain(o.Tick)
		}
	}
}

// Ended tells that note n stopped sounding at a tick.
func (d *Docket) Ended(n, tick int64) {
	for i := range d.open {
		d.open[i].ended(n, tick)
	}
}

// Bend tells the notes of a channel that sound that it is bent so many semitones
// from now, a tick, on; targets are the tones that they could reach.
func (d *Docket) Bend(ch uint8, steps int, tick int64, targets tone.Set) {
	for i := range d.open {
		if o := &d.open[i]; o.Off == timebase.Never && o.Claim.Bend(ch, steps, o.Key, tick, targets) {
			o.askAgain(tick)
		}
	}
}

// Judge asks the notes whose answer can have changed, and settles those that are
// decided, in their order.
func (d *Docket) Judge(s Sight) {
	d.sight = s
	d.keep(func(o *Open) bool {
		if o.passed || o.nAfter == o.asked && o.due >= s.Seen { // only time can tell more
			return true
		}
		o.asked = o.nAfter
		fate, by := o.ask(&d.sight)
		if fate == Pending {
			return true
		}
		if fate == None && o.fights() {
			o.against = true
			d.Fought(o)
		}
		if o.Inside {
			return false
		}
		switch {
		case fate == None && o.Colour == "" && o.Stay != NoStay:
			o.passed, o.due = true, timebase.Never
			d.Count(&o.Claim)
			return true
		case fate == Push && !o.Either:
			d.Leave(&o.Claim)
		default:
			d.Count(&o.Claim)
		}
		v := Verdict{Fate: fate, By: by}
		switch {
		case fate == None && o.Colour != "":
			v.Fate, v.Colour = Colour, o.Colour
		case fate == None:
			v.Fate = o.last()
		}
		d.Settled(o, v)
		return false
	})
}

// Due returns the first tick from a tick on after which something is due, and
// timebase.Never where nothing is.
func (d *Docket) Due(from int64) int64 {
	due := timebase.Never
	for i := range d.open {
		if o := &d.open[i]; o.due >= from {
			due = min(due, o.due)
		}
	}
	for i := range d.stays {
		if s := &d.stays[i]; s.due >= from {
			due = min(due, s.due)
		}
	}
	return due
}

// keep goes through the notes in order and drops those that are settled.
func (d *Docket) keep(open func(*Open) bool) {
	kept := 0
	d.followed = 0
	for i := range d.open {
		if !open(&d.open[i]) {
			continue
		}
		if kept != i {
			d.open[kept] = d.open[i]
		}
		kept++
	}
	d.open = d.open[:kept]
}
