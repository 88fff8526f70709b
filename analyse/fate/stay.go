package fate

import "shedlight/analyse/song"

const (
	// stayBars: a chord that stays longer is heard anew every so many bars.
	stayBars = 4
	// NoStay is where a note belongs to none: without a chart, over a chord that
	// admits no other scale, or while the song stands still.
	NoStay = int64(0)
)

// stay is the time on one chord, four bars at the most, over which the scale that
// is heard is decided: the chord's own stands unless another holds strictly more of
// the notes. A note that pushes the next change is not counted, unless it lies in the
// scale of either view: so the count is the same in both.
type stay struct {
	number   int64 // from 1
	start    int64 // song tick
	due      int64 // the tick after which no more notes come
	over     bool
	left     bool           // of the left hand's notes: what it plays does not say what the right one means
	readings []song.Reading // the default first; they are the context's
	counts   [song.MaxReadings]int
	open     int // notes that are not counted yet
	kind     string
}

// Enter finds or starts the stay of a note at p that is judged by a slot in a context,
// and counts the note as open there. It returns the number of the stay.
func (d *Docket) Enter(s *song.Song, p *song.Position, slot int, c *song.Context, now int64, left bool) (number int64) {
	if len(c.Readings) == 0 || !s.Running() {
		return NoStay
	}
	t := s.Timeline
	// Where the stay starts, counted from where the note lies: an early note is
	// ahead of it.
	ahead := c.From - p.Within
	if slot == 0 && p.Ahead() {
		ahead += t.Length
	}
	length := t.Bars[t.BarAt(c.From, 0)].Meter.Bar() * stayBars
	part := max(0, -ahead) / length * length
	here, _ := s.SongTick(now)
	start := max(0, here+ahead+part)
	for i := range d.stays {
		if s := &d.stays[i]; s.start == start && s.left == left && !s.over {
			s.open++
			return s.number
		}
	}
	due := now + ahead + min(part+length, c.To-c.From) - 1
	d.stayCount++
	d.stays = append(d.stays, stay{number: d.stayCount, start: start, left: left, due: due, readings: c.Readings, open: 1, kind: c.Kind})
	return d.stayCount
}

func (d *Docket) stayOf(c *Claim) *stay {
	for i := range d.stays {
		if d.stays[i].number == c.Stay {
			return &d.stays[i]
		}
	}
	return nil
}

// Count counts a note for the scales of its stay that hold it.
func (d *Docket) Count(c *Claim) {
	s := d.stayOf(c)
	if s == nil {
		return
	}
	for i := range s.readings {
		if s.readings[i].Set.Has(c.Class) {
			s.counts[i]++
		}
	}
	s.open--
}

// Leave takes a note out of the open ones of its stay, uncounted.
func (d *Docket) Leave(c *Claim) {
	if s := d.stayOf(c); s != nil {
		s.open--
	}
}

// best returns the scale a stay is heard in, and whether it is another than the
// default.
func (s *stay) best() (scale *song.Reading, other bool) {
	best := 0
	for i := range s.readings {
		if s.counts[i] > s.counts[best] {
			best = i
		}
	}
	return &s.readings[best], best > 0
}

// EndStays ends the stays whose last tick lies before seen, or all of them.
func (d *Docket) EndStays(seen int64, all bool) {
	for i := range d.stays {
		s := &d.stays[i]
		s.over = s.over || all || s.due < seen
	}
	d.Decide()
}

// Decide settles the notes of the stays that are over and have no note left to
// count.
func (d *Docket) Decide() {
	kept := d.stays[:0]
	for i := range d.stays {
		s := &d.stays[i]
		if s.over && s.open == 0 {
			d.settle(s)
		} else {
			kept = append(kept, *s)
		}
	}
	d.stays = kept
}

// settle settles the notes that waited to hear in which scale the chord was
// played.
func (d *Docket) settle(s *stay) {
	scale, other := s.best()
	d.keep(func(o *Open) bool {
		switch {
		case !o.passed || o.Stay != s.number:
			return true
		case other && scale.Set.Has(o.Class):
			d.Settled(o, Verdict{Fate: Sub, By: -1, Scale: scale.Scale, Kind: s.kind})
		default:
			d.Settled(o, Verdict{Fate: o.last(), By: -1})
		}
		return false
	})
}
