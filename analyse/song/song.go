// Package song says where in the changes a tick lies, and holds what passes from
// one stage of the judge to the next: a note with its place in the song.
package song

import (
	"shedlight/analyse/changes"
	"shedlight/analyse/timebase"
	"shedlight/analyse/tone"
)

// Song maps ticks to positions and says which chord, bar and beat is active.
// Without a timeline everything lies in one endless slot.
type Song struct {
	Timeline *changes.Timeline // nil without a chart
	Contexts []Context         // of the view that holds: one for each slot of the timeline, in each of the keys; without a chart one for each centre that held
	Centres  []string          // their names, in the order in which they first come

	keys  Keys
	view  View
	other []Context // of the other view; nil before that has held

	known   bool  // an origin has been heard
	running bool  // song time follows the ticks
	tick    int64 // of the last origin
	at      int64 // its song tick
	begun   int   // the number of the latest chorus that was begun before it
	top     int   // the number of the chorus that was last counted off to; 0: the first

	slot, bar int // rows of the timeline where the last look-up landed: the next is near
	free      int // without a chart: the context that holds
}

// New returns the song of a timeline whose choruses are played in some keys, none for its
// own alone; or of one centre where the timeline is nil; both may be.
func New(t *changes.Timeline, keys Keys, centre *changes.Centre, view View) Song {
	s := Song{Timeline: t, keys: keys, view: view}
	if t != nil {
		s.Contexts, s.Centres = inKeys(t, keys, view, 0)
		return s
	}
	s.Contexts = []Context{freeContext(centre)}
	s.Contexts[0].View = view
	if centre != nil {
		s.Centres = []string{centre.String()}
	}
	return s
}

// View returns the view that holds.
func (s *Song) View() View { return s.view }

// NextView makes the other view the one that holds, over a timeline. Its contexts are
// made where it holds for the first time: these are returned.
func (s *Song) NextView() (made []Context) {
	s.view = s.view.Other()
	before := s.Contexts
	if s.Contexts = s.other; s.Contexts == nil {
		made, _ = inKeys(s.Timeline, s.keys, s.view, len(before))
		s.Contexts = made
	}
	s.other = before
	return made
}

// Origin says that a tick lies at song tick at, and whether song time runs on from
// there.
func (s *Song) Origin(tick, at int64, running bool) {
	if before, ok := s.SongTick(tick - 1); ok && s.running && before >= 0 { // where it waits for a note nothing is begun
		s.begun = max(s.begun, int(before/s.Timeline.Length)+1)
	}
	if s.Timeline != nil && at >= 0 && s.countsOff(tick, at) {
		s.top = int(at/s.Timeline.Length) + 1
	}
	s.known, s.running, s.tick, s.at = true, running, tick, at
}

// countsOff reports whether an origin begins anew, in a chorus that was not begun before.
// A bar on into the next chorus does not, nor does what brings the song to where an
// outside clock is. Such a clock's start is known some ticks after the top: where it comes
// in the last bar, it is taken for a bar on.
func (s *Song) countsOff(tick, at int64) bool {
	t := s.Timeline
	from, ok := s.SongTick(tick)
	if !ok || from <= 0 {
		return true
	}
	on := s.running && from < at && at-from <= t.Bars[len(t.Bars)-1].Meter.Bar()
	return int(at/t.Length) >= s.begun && (at%t.Length == 0 || !on)
}

// Top is the number of the chorus that was last counted off to.
func (s *Song) Top() int { return max(1, s.top) }

// BarsIn counts the bars of a position from the top that was last counted off to, from
// 0; below 0 outside a chorus and in one before that top.
func (s *Song) BarsIn(p *Position) int {
	switch {
	case p.BarRow < 0:
		return -1
	case p.Within < 0: // ahead of the top that is counted off to
		return p.BarRow
	}
	return (p.Chorus-s.Top())*len(s.Timeline.Bars) + p.BarRow
}

// Known reports whether the song was given an origin.
func (s *Song) Known() bool { return s.known }

// Begun reports whether anything of it was counted so far: it may stand at the top and
// wait.
func (s *Song) Begun() bool { return s.running || s.begun > 0 }

// Running reports whether song time follows the ticks.
func (s *Song) Running() bool { return s.running }

// AddCentre adds the context of a centre that was heard where none was given, and
// returns its row in Contexts.
func (s *Song) AddCentre(centre changes.Centre) (row int) {
	c := freeContext(&centre)
	c.CentreRow, c.Row, c.View = len(s.Centres), len(s.Contexts), s.view
	s.Centres = append(s.Centres, c.Centre)
	s.Contexts = append(s.Contexts, c)
	return len(s.Contexts) - 1
}

// Hold makes a context that AddCentre added the one that holds.
func (s *Song) Hold(row int) { s.free = row }

// SongTick returns the song tick of a tick. ok is false where the song has not
// been given an origin, and without a chart.
func (s *Song) SongTick(tick int64) (at int64, ok bool) {
	if s.Timeline == nil || !s.known {
		return 0, false
	}
	if !s.running {
		return s.at, true
	}
	return s.at + tick - s.tick, true
}

// TickOf is the inverse: the tick of a song tick, as long as the song runs on.
func (s *Song) TickOf(at int64) int64 { return s.tick + at - s.at }

// Find returns where a tick lies. meter is what counts beats without a chart.
func (s *Song) Find(tick int64, meter timebase.Meter) Position {
	at, ok := s.SongTick(tick)
	if !ok {
		return Position{BarRow: -1, Slot: s.free, BeatTicks: meter.Beat(), BarTicks: meter.Bar(), Left: timebase.MaxTick}
	}
	t := s.Timeline
	if at < 0 {
		first := t.Bars[0].Meter
		p := Position{BarRow: -1, BeatTicks: first.Beat(), BarTicks: first.Bar(), Left: timebase.MaxTick, Within: at}
		p.Beat = beatIn(timebase.Mod(at, first.Bar()), first)
		return p
	}
	within := at % t.Length
	s.slot = t.SlotAt(within, s.slot)
	s.bar = t.BarAt(within, s.bar)
	bar := &t.Bars[s.bar]
	return Position{
		Spot:   Spot{Chorus: int(at/t.Length) + 1, Bar: bar.Number, Beat: beatIn(within-bar.Start, bar.Meter)},
		BarRow: s.bar, Slot: s.slot, Left: t.Slots[s.slot].End - within, Within: within,
		BeatTicks: bar.Meter.Beat(), BarTicks: bar.Meter.Bar(),
	}
}

// beatIn counts beats from 1, in whole thousandths, rounded down.
func beatIn(ticks int64, m timebase.Meter) float64 {
	return float64(timebase.Milli+ticks*timebase.Milli/m.Beat()) / timebase.Milli
}

// earlyPart is the part of a beat before a change of chord in which a note is
// simply early and judged by the new chord: a tenth (our own proposal: a slip
// of the hand at 150 beats a minute is 40 ms).
const earlyPart = 10

// Early returns how many ticks before a change of chord a note is simply early,
// where a beat has so many.
func Early(beatTicks int64) int64 { return beatTicks / earlyPart }

// Ahead reports whether a note at p is simply early, and of the slot that follows.
func (p *Position) Ahead() bool { return p.Left*earlyPart <= p.BeatTicks }

// Told returns p as it is told to players: a note a tenth of a beat or less ahead
// of a bar is on its downbeat, as it is judged by its chord. Behind a count-in that is
// the top of a chorus that was not begun before; where the player went a bar back into
// the count-in, that is not so, and is told wrong.
func (s *Song) Told(p Position) Position {
	t := s.Timeline
	if t == nil || !s.running {
		return p
	}
	left := -p.Within
	switch {
	case p.BarRow+1 == len(t.Bars):
		left = t.Length - p.Within
	case p.BarRow >= 0:
		left = t.Bars[p.BarRow+1].Start - p.Within
	}
	if left*earlyPart > p.BeatTicks {
		return p
	}
	if p.BarRow++; p.BarRow == len(t.Bars) {
		p.BarRow, p.Chorus = 0, p.Chorus+1
	}
	if p.Chorus == 0 {
		p.Chorus = s.begun + 1
	}
	p.Bar, p.Beat = t.Bars[p.BarRow].Number, 1
	return p
}

// Judged returns the context that a note at p is heard in, and the row of its slot.
func (s *Song) Judged(p *Position) (c *Context, slot int) {
	if p.Ahead() {
		return s.after(p.Chorus, p.Slot)
	}
	return s.At(p), p.Slot
}

// Following returns the context of the slot that follows, where its chord is
// another and the song runs on to it; else nil.
func (s *Song) Following(p *Position) *Context {
	if p.BarRow < 0 || !s.running {
		return nil
	}
	if next, _ := s.after(p.Chorus, p.Slot); next.Chord != s.At(p).Chord {
		return next
	}
	return nil
}

// latePart is the part of a beat after a change up to which a note of the chord
// before is late: a quarter (this project's own).
const latePart = 4

// LateIn reports whether a note judged by slot lies in the scale before it, of either
// view, or in its chord, and comes at most a quarter of a beat after the change.
func (s *Song) LateIn(p *Position, slot int, class tone.Class) bool {
	if p.BarRow < 0 || !s.running {
		return false
	}
	since, chorus := p.Within-s.Timeline.Slots[slot].Start, p.Chorus
	switch ahead := p.Ahead(); { // then the change is still to come
	case !ahead && (since*latePart > p.BeatTicks || slot == 0 && p.Chorus <= 1):
		return false
	case ahead && slot == 0:
		chorus++
	}
	before := s.before(chorus, slot)
	return (before.Either | before.ChordTone).Has(class) && before.Chord != s.Context(chorus, slot).Chord
}
