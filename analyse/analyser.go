package analyse

import (
	"errors"
	"fmt"
	"math/bits"
	"slices"

	"shedlight/analyse/changes"
	"shedlight/analyse/fate"
	"shedlight/analyse/figure"
	"shedlight/analyse/instrument"
	"shedlight/analyse/song"
	"shedlight/analyse/timebase"
)

// Analyser judges one session. It is not safe for use by several goroutines.
//
// A note's life: it is heard (heard.go), sorted with the keys that were struck
// with it (sorted.go), goes into the melody, the bass or its chord (line.go), where
// it is told to the listeners of the line (melody.go), and its fate is settled
// (settle.go). How it ends is in release.go. What is asked of the judge is in
// snapshot.go and summary.go.
type Analyser struct {
	setup Setup
	tempo timebase.Tempo
	meter timebase.Meter
	bar   int64 // tick of the last meter: a bar begins there
	// counted says that the beat is known: a tempo has come, from a clock or from
	// the player. With a Timeline it always is.
	counted bool
	song    song.Song

	now    int64 // the present: the tick of the last event
	seen   int64 // every event before this tick is known
	n      int64 // note-ons so far
	passed int64 // note-ons in the bars of others, which are not among them
	out    []Finding

	keys   instrument.Keys
	bends  instrument.Bends
	hands  instrument.Hands
	lastOn [instrument.Channels][instrument.KeyCount]int64 // the note a key was last struck for

	direction direction // of what is struck

	page     page
	groups   [2]group    // the keys that each hand is striking together, the right one's first
	arrivals arrivals    // heard, and in no line yet
	voices   []fate.Note // memory for the notes of the chord being handed on
	chord    []int       // and for its keys
	lastNote int64       // the note struck last; -1: none
	lastKey  uint8       // and its key

	lines  lines // the melody, and what the left hand plays under it
	pedal  pedalPoint
	docket fate.Docket
	melody melody
	counts counts

	forgetting forgetting
	marks      []MarkAt
	views      []ViewFrom
}

// New returns an analyser for one session. The error says what in the setup
// cannot be used.
func New(s Setup) (*Analyser, error) {
	if t := s.Timeline; t != nil {
		if t.Length <= 0 || len(t.Slots) == 0 || len(t.Bars) == 0 {
			return nil, errors.New("the chart has no bars")
		}
		if last := t.Slots[len(t.Slots)-1].End; t.Slots[0].Start != 0 || last != t.Length {
			return nil, fmt.Errorf("the chart's chords end at tick %d, its bars at %d", last, t.Length)
		}
	}
	for _, k := range s.Keys {
		if s.Timeline == nil || !sameForm(k.Timeline, s.Timeline) {
			return nil, errors.New("the chart in another key is another chart")
		}
	}
	if s.Goal.Kind != NoGoal && (s.Timeline == nil || len(s.Goal.Bars) != len(s.Timeline.Bars)) {
		return nil, errors.New("the goal is for another chart")
	}
	if s.Trade < 0 || s.Trade > 0 && s.Timeline == nil {
		return nil, errors.New("there are no bars to trade")
	}
	if err := figure.CheckVoicing(s.Voicing); err != nil {
		return nil, err
	}
	a := &Analyser{setup: s, meter: timebase.Common, song: song.New(s.Timeline, s.Keys, s.Centre, s.View), bends: instrument.NewBends(), lastNote: -1}
	a.views = []ViewFrom{{View: s.View}}
	a.docket.Settled, a.docket.Fought = a.settleOpen, a.fought
	a.counts = newCounts(s.Timeline, a.song.Centres)
	a.counts.goal = s.Goal
	a.melody.start(&a.setup, &a.song, a.hearCentre)
	a.watchGoal()
	return a, nil
}

// sameForm reports whether two timelines have the same bars, and chords of the same
// lengths.
func sameForm(a, b *changes.Timeline) bool {
	return a.Length == b.Length && slices.Equal(a.Bars, b.Bars) && slices.EqualFunc(a.Slots, b.Slots, func(x, y changes.Slot) bool {
		return x.Start == y.Start && x.End == y.End
	})
}

// Add takes one event: it advances to the event's tick, then judges it, and
// returns what is new, in the order in which it became known. The slice is
// valid until the next call. A tick before the last one counts as the last
// one.
func (a *Analyser) Add(e Event) []Finding {
	a.advance(e.Tick)
	if e.Kind <= PitchBend && !a.setup.hears(e.Channel) {
		return a.out
	}
	for _, ask := range a.setup.Asks {
		if ask.Is(e) {
			return a.out
		}
	}
	switch e.Kind {
	case NoteOn:
		switch {
		case e.Velocity == 0: // MIDI 1.0: the same as a note-off
			a.keyUp(e.Channel, e.Key)
		case a.isYours():
			a.hear(e)
		default:
			a.passed++
		}
	case NoteOff:
		a.keyUp(e.Channel, e.Key)
	case Control:
		a.bends.Control(e.Channel, e.Key, e.Velocity)
		for left := a.bends.Led(e.Channel); left != 0; left &= left - 1 {
			a.control(uint8(bits.TrailingZeros16(left)), e.Key, e.Velocity)
		}
	case Release:
		a.releaseAll()
	case PitchBend:
		a.bend(e.Channel, e.Key, e.Velocity)
	case Tempo:
		a.setTempo(e.Value)
	case Meter:
		if m, ok := timebase.Unpack(e.Value); ok {
			a.meter, a.bar = m, a.now
		}
	case Forget:
		a.forget()
	case Mark:
		a.mark()
	case NextView:
		a.nextView()
	case Origin:
		a.leave()
		a.docket.EndStays(a.seen, true)
		before, _ := a.song.SongTick(a.now)
		a.song.Origin(a.now, e.Value, e.Key == 1)
		a.melody.fit.origin(a.now, before, e.Value)
	}
	return a.out
}

// AdvanceTo settles what was due strictly before tick and returns it; the
// slice is valid until the next call. How often it is called changes no
// finding and no order.
func (a *Analyser) AdvanceTo(tick int64) []Finding {
	a.advance(tick)
	return a.out
}

// Finish advances to tick, the end of the session, settles everything that is
// still open and returns it. After it the analyser is only asked, not told.
func (a *Analyser) Finish(tick int64) []Finding {
	a.advance(tick)
	a.settleUntil(timebase.Never)
	a.docket.EndStays(a.seen, true)
	a.melody.end(a.now)
	return a.out
}

// advance forgets what was told by the call before, settles what was due strictly
// before tick and moves the present there.
func (a *Analyser) advance(tick int64) {
	a.out, a.melody.fit.news = a.out[:0], a.melody.fit.news[:0]
	if tick <= a.now {
		return
	}
	a.settleUntil(tick)
	a.now = tick
	a.melody.fit.reach(a.known())
}

// settleUntil goes from one tick at which something is due to the next, so that
// what is settled, and in which order, does not hang on how far it is called to
// go.
func (a *Analyser) settleUntil(tick int64) {
	for {
		due := a.nextDue()
		if due >= tick {
			break
		}
		a.seen = due + 1
		a.sortGroups()
		a.admit()
		a.judge()
		a.melody.rested(a.known())
		a.docket.EndStays(a.seen, false)
	}
	a.seen = max(a.seen, tick)
}

// nextDue returns the first tick from seen on at which something is due. What
// was due before waits for a note, not for time.
func (a *Analyser) nextDue() int64 {
	due := a.docket.Due(a.seen)
	sooner := func(tick int64) {
		if tick >= a.seen && tick < due {
			due = tick
		}
	}
	for i := range a.groups {
		if g := &a.groups[i]; g.open {
			sooner(g.due)
			if !g.looked {
				sooner(g.block)
			}
		}
	}
	if a.setup.Legato && a.arrivals.len() > 0 {
		sooner(a.glitchDue(a.arrivals.first().Tick))
	}
	sooner(a.melody.phrases.Due())
	return due
}

// judge asks the open fates whose answer can have changed.
func (a *Analyser) judge() {
	a.docket.Judge(fate.Sight{Seen: a.seen, Known: a.known(), Tempo: &a.tempo})
}

// setTempo changes the tempo from now on, and with it where a window given in
// milliseconds ends. Beats are counted from the first on. A value out of range
// was refused at the door and is passed over here.
func (a *Analyser) setTempo(quarter int64) {
	if a.tempo.Set(a.now, quarter) != nil {
		return
	}
	a.counted = true
	for i := range a.groups {
		if a.groups[i].open {
			a.window(&a.groups[i])
		}
	}
	a.tempo.Forget(a.oldest())
}

// oldest returns the first tick whose time is asked for any more: that of what is not
// sorted, in no line yet, or of open fate, four bars ago at most. Whoever follows a clock is
// told some hundred tempi a minute.
func (a *Analyser) oldest() int64 {
	tick := min(a.now, a.docket.Oldest())
	for i := range a.groups {
		if a.groups[i].open {
			tick = min(tick, a.groups[i].first)
		}
	}
	if a.arrivals.len() > 0 {
		tick = min(tick, a.arrivals.first().Tick)
	}
	return tick
}
