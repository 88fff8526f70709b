package analyse

import (
	"shedlight/analyse/timebase"
	"shedlight/analyse/tone"
)

// song maps ticks to song positions and says which chord, bar and beat is
// active. Without a timeline everything lies in one endless slot.
type song struct {
	setup    *Setup
	contexts []context // one for each slot of the timeline; one without a chart

	known   bool  // an origin has been heard
	running bool  // song time follows the ticks
	tick    int64 // of the last origin
	at      int64 // its song tick

	slot, bar int // where the last look-up landed: the next is near
	lone      int // without a chart: the context that holds
}

// position is where a tick lies in the song.
type position struct {
	chorus, bar int     // as in a Finding
	beat        float64 // as in a Finding
	index       int     // of the bar in the timeline; -1 before bar 1 and without a chart
	slot        int     // of the slot that sounds
	left        int64   // ticks until the slot ends
	beatTicks   int64   // the length of a beat here
	barTicks    int64   // and of a bar
	within      int64   // song tick within the chorus; negative before bar 1
}

// milliBeat is how finely a beat is told: in thousandths.
const milliBeat = 1000

// songTick returns the song tick of a tick. ok is false where the song has not
// been given an origin.
func (s *song) songTick(tick int64) (at int64, ok bool) {
	if s.setup.Timeline == nil || !s.known {
		return 0, false
	}
	if !s.running {
		return s.at, true
	}
	return s.at + tick - s.tick, true
}

// tickOf is the inverse: the tick of a song tick, as long as the song runs on.
func (s *song) tickOf(at int64) int64 { return s.tick + at - s.at }

// find returns where a tick lies. meter is what counts beats without a chart.
func (s *song) find(tick int64, meter timebase.Meter) position {
	at, ok := s.songTick(tick)
	if !ok {
		return position{index: -1, slot: s.lone, beatTicks: meter.Beat(), barTicks: meter.Bar(), left: timebase.MaxTick}
	}
	t := s.setup.Timeline
	if at < 0 {
		first := t.Bars[0].Meter
		return position{index: -1, beatTicks: first.Beat(), barTicks: first.Bar(), left: timebase.MaxTick, within: at,
			beat: beatIn(mod(at, first.Bar()), first)}
	}
	within := at % t.Length
	s.slot = t.SlotAt(within, s.slot)
	s.bar = t.BarAt(within, s.bar)
	bar := &t.Bars[s.bar]
	return position{
		chorus: int(at/t.Length) + 1, bar: bar.Number, beat: beatIn(within-bar.Start, bar.Meter),
		index: s.bar, slot: s.slot, left: t.Slots[s.slot].End - within, within: within,
		beatTicks: bar.Meter.Beat(), barTicks: bar.Meter.Bar(),
	}
}

// beatIn counts beats from 1, in whole thousandths, rounded down.
func beatIn(ticks int64, m timebase.Meter) float64 {
	return float64(milliBeat+ticks*milliBeat/m.Beat()) / milliBeat
}

func mod(a, b int64) int64 { return ((a % b) + b) % b }

// earlyPart is the part of a beat before a change of chord in which a note is
// simply early and judged by the new chord: a tenth (our own proposal: a slip
// of the hand at 150 beats a minute is 40 ms).
const earlyPart = 10

// tell makes p the position as it is told to players: a note a tenth of a beat or
// less ahead of a bar is on its downbeat, as it is judged by its chord.
func (s *song) tell(p *position) {
	t := s.setup.Timeline
	if t == nil || !s.running {
		return
	}
	left := -p.within
	switch {
	case p.index+1 == len(t.Bars):
		left = t.Length - p.within
	case p.index >= 0:
		left = t.Bars[p.index+1].Start - p.within
	}
	if left*earlyPart > p.beatTicks {
		return
	}
	if p.index++; p.index == len(t.Bars) {
		p.index, p.chorus = 0, p.chorus+1
	}
	p.chorus, p.bar, p.beat = max(1, p.chorus), t.Bars[p.index].Number, 1
}

// judged returns the slot whose chord a note at p is heard against.
func (s *song) judged(p *position) int {
	if p.left*earlyPart > p.beatTicks {
		return p.slot
	}
	return (p.slot + 1) % len(s.contexts)
}

// pushes returns the tick of the change that a note at p may push: it is a home
// tone of the scale to come or a tone of the chord to come, more than a tenth and
// up to six tenths of a beat ahead. 0: none. next is what follows at p.
func (p *position) pushes(next *context, class tone.Class, now int64) int64 {
	left := p.left * tenths
	if next == nil || left <= pushLeast*p.beatTicks || left > pushMost*p.beatTicks || !(next.home | next.chordTone).Has(class) {
		return 0
	}
	return now + p.left
}

// following returns the context of the slot that follows, where its chord is
// another and the song runs on to it; else nil.
func (s *song) following(p *position) *context {
	next := &s.contexts[(p.slot+1)%len(s.contexts)]
	if p.index < 0 || !s.running || next.changes == s.contexts[p.slot].changes {
		return nil
	}
	return next
}

// lateIn reports whether a note judged by slot lies in the scale before it, or in
// its chord, and comes at most half a beat after the change.
func (s *song) lateIn(p *position, slot int, class tone.Class) bool {
	if p.index < 0 || !s.running {
		return false
	}
	since := p.within - s.setup.Timeline.Slots[slot].Start
	switch {
	case slot != p.slot: // early: the change is still to come
	case since > p.beatTicks/2, slot == 0 && p.chorus <= 1:
		return false
	}
	before := &s.contexts[(slot+len(s.contexts)-1)%len(s.contexts)]
	return (before.set | before.chordTone).Has(class) && before.changes != s.contexts[slot].changes
}
