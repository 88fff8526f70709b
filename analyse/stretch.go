package analyse

import (
	"shedlight/analyse/harmony"
	"shedlight/analyse/tone"
)

const (
	// stretchBars: a chord that stays longer is heard anew every so many bars.
	stretchBars = 4
	// maxHeard is how many scales one chord can be heard in: the default and
	// what it admits. Diminished sevenths have the most.
	maxHeard = 16
	// noStretch is where a note belongs to none: without a chart, over a chord
	// that admits no other scale, or while the song stands still.
	noStretch = int64(0)
)

// stretch is a stay on one chord, four bars at the most, over which the scale
// that is heard is decided: the default one stands unless another holds
// strictly more of the notes.
type stretch struct {
	id     int64
	start  int64 // song tick
	due    int64 // the tick after which no more notes come
	over   bool
	heard  []heardScale // the default first; they are the context's
	counts [maxHeard]int
	open   int // notes that are not counted yet
	kind   string
}

// heardScale is a scale that a chord can be heard in.
type heardScale struct {
	set  tone.Set
	name string
}

// heardScales lists the scales of a chord, the default first.
func heardScales(own harmony.Scale, admitted []harmony.Scale) []heardScale {
	if own.None() || len(admitted) == 0 {
		return nil
	}
	out := []heardScale{{set: own.Set(), name: own.String()}}
	for _, s := range admitted[:min(len(admitted), maxHeard-1)] {
		out = append(out, heardScale{set: s.Set(), name: s.String()})
	}
	return out
}

// join finds or starts the stretch of a note over its context and counts the
// note as open there. It returns the number of the stretch.
func (a *Analyser) join(p *position, slot int) (id int64) {
	c := &a.song.contexts[slot]
	if len(c.heard) == 0 || !a.song.running {
		return noStretch
	}
	t := a.setup.Timeline
	// Where the stay starts, counted from where the note lies: an early note is
	// ahead of it.
	ahead := c.from - p.within
	if slot < p.slot {
		ahead += t.Length
	}
	length := t.Bars[t.BarAt(c.from, 0)].Meter.Bar() * stretchBars
	part := max(0, -ahead) / length * length
	here, _ := a.song.songTick(a.now)
	start := max(0, here+ahead+part)
	for i := range a.stretches {
		if s := &a.stretches[i]; s.start == start && !s.over {
			s.open++
			return s.id
		}
	}
	due := a.now + ahead + min(part+length, c.to-c.from) - 1
	a.stretchID++
	a.stretches = append(a.stretches, stretch{id: a.stretchID, start: start, due: due, heard: c.heard, open: 1, kind: c.kind})
	return a.stretchID
}

func (a *Analyser) stretchOf(c *claim) *stretch {
	for i := range a.stretches {
		if a.stretches[i].id == c.stretch {
			return &a.stretches[i]
		}
	}
	return nil
}

// countIn counts a note for the scales of its stretch that hold it.
func (a *Analyser) countIn(c *claim) {
	s := a.stretchOf(c)
	if s == nil {
		return
	}
	for i := range s.heard {
		if s.heard[i].set.Has(c.class) {
			s.counts[i]++
		}
	}
	a.leave(c)
}

// leave takes a note out of the open ones of its stretch.
func (a *Analyser) leave(c *claim) {
	if s := a.stretchOf(c); s != nil {
		s.open--
	}
}

// heardIn returns the scale a stretch is heard in, and whether it is
// another than the default.
func (s *stretch) heardIn() (scale *heardScale, other bool) {
	best := 0
	for i := range s.heard {
		if s.counts[i] > s.counts[best] {
			best = i
		}
	}
	return &s.heard[best], best > 0
}

// endStretches ends the stretches whose last tick is past, or all of them.
func (a *Analyser) endStretches(all bool) {
	for i := range a.stretches {
		s := &a.stretches[i]
		s.over = s.over || all || s.due < a.seen
	}
	a.decide()
}

// decide settles the notes of the stretches that are over and have no note
// left to count.
func (a *Analyser) decide() {
	kept := a.stretches[:0]
	for i := range a.stretches {
		s := &a.stretches[i]
		if s.over && s.open == 0 {
			a.settleStretch(s)
		} else {
			kept = append(kept, *s)
		}
	}
	a.stretches = kept
}

// settleStretch settles the notes that waited to hear in which scale the chord
// was played.
func (a *Analyser) settleStretch(s *stretch) {
	scale, other := s.heardIn()
	a.keepOpen(func(o *openFate) (keep bool) {
		switch {
		case !o.passed || o.stretch != s.id:
			return true
		case other && scale.set.Has(o.class):
			a.countSub(s.kind, scale.name)
			a.settleOpen(o, Sub, -1, scale.name)
		default:
			a.settleOpen(o, o.last(), -1, "")
		}
		return false
	})
}

// countSub counts a note heard in another scale over a kind of chord.
func (a *Analyser) countSub(kind, scale string) {
	for i := range a.subs {
		if s := &a.subs[i]; s.ChordKind == kind && s.Scale == scale {
			s.Times++
			return
		}
	}
	a.subs = append(a.subs, SubUse{ChordKind: kind, Scale: scale, Times: 1})
}
