package analyse_test

import (
	"math"
	"slices"

	"shedlight/analyse"
	"shedlight/analyse/changes"
	"shedlight/analyse/fate"
	"shedlight/analyse/harmony"
	"shedlight/analyse/song"
	"shedlight/analyse/timebase"
	"shedlight/analyse/tone"
)

// How the reference judge hears: from events to notes that know their chord,
// their role and when their key came up. Every question is answered by going
// through the events again from the first.

const (
	chordMicros = 50_000  // a chord is struck within this
	rollMicros  = 120_000 // and below the split within this
	blues       = changes.Blues
	never       = math.MaxInt64
)

// refNote is a note-on.
type refNote struct {
	n            int64
	event        int // its place in the list of events
	tick, micros int64
	channel      uint8
	key          int
	velocity     uint8
	released     int64 // when the key came up or was struck again; never if it did not
	ended        int64 // when it stopped sounding, the sustain pedal included

	quarter int64         // microseconds
	beat    int64         // ticks
	bar     int64         // ticks
	slot    *changes.Slot // the chord it is judged by
	scale   harmony.Scale
	song    refPosition
	stretch refStretch

	role       analyse.Role
	left       bool
	group      int64        // the number of the first note that its hand struck with it
	withLeft   map[int]bool // in a chord of the right hand: the keys that the left one strikes as well
	downBefore []int        // the keys that were down when it was struck
	before     int64        // the note before it that is above the gate; -1: none
	glitch     bool
	low        bool // nothing sounds below it, and much sounds above
	bass       bool
	pedal      *refNote // the first stroke of the pedal point that it is
	strokeOf   *refNote // the low note just before, which it strikes again
	partner    *refNote // struck together with it, the other voice of the line
	bent       bool     // it is bent into a target a semitone away, first at bentAt
	bentAt     int64
	soft       bool  // below the gate
	onTop      bool  // the melody on top of a struck chord
	still      bool  // the song stands still
	resolves   bool  // it is judged by a chord that goes a fifth or a semitone down
	inBeat     int64 // ticks since the beat before it; -1 where nobody gives the beat
	fate       fate.Fate
}

// refPosition is where the song stands at a note.
type refPosition struct {
	running        bool          // it has begun and goes on
	sounding, next *changes.Slot // the chord that sounds and the one that follows
	left           int64         // ticks until that one
	before         *changes.Slot // the chord before the one the note is judged by; nil if none was
	since          int64         // ticks since the chord it is judged by began; negative before
}

// refStretch names four bars of one stay on a chord. A new origin, as after a
// stop, begins a new stay.
type refStretch struct {
	origin *analyse.Event
	slot   *changes.Slot
	start  int64 // song tick
	part   int64
	left   bool
}

func (i *refNote) class() tone.Class { return tone.ClassOf(i.key) }

func (i *refNote) outside() bool { return !i.scale.None() && !i.scale.Set().Has(i.class()) }

func (i *refNote) chordTone() bool { return i.slot.Chord.Set().Has(i.class()) }

func (i *refNote) target() bool { return bothScales(i.slot).Has(i.class()) || i.chordTone() }

func distance(a, b *refNote) int { return max(a.key-b.key, b.key-a.key) }

func isStep(a, b *refNote) bool { return distance(a, b) == 1 || distance(a, b) == 2 }

// viewAfter is the view that holds after some events.
func viewAfter(setup analyse.Setup, events []analyse.Event) song.View {
	chords := setup.View == song.ChordView
	for _, e := range events {
		if e.Kind == analyse.NextView && !setup.OneView {
			chords = !chords
		}
	}
	if chords {
		return song.ChordView
	}
	return song.KeyView
}

func scaleOf(s *changes.Slot, view song.View) harmony.Scale {
	switch {
	case s.Chord.None():
		return harmony.Scale{}
	case view == song.ChordView:
		return s.Own
	}
	return s.Key
}

// bothScales are the tones of the scales of both views: the chord's own, and the
// centre's, also where the key view shows the chord's own in its place.
func bothScales(s *changes.Slot) tone.Set {
	if s.Chord.None() {
		return 0
	}
	return s.Key.Set() | s.Own.Set() | s.Centre.Scale().Set()
}

// refNotes hears a whole take.
func refNotes(setup analyse.Setup, events []analyse.Event) []*refNote {
	events = inOrder(events)
	tempo := tempoMap(events)
	var notes []*refNote
	for at, e := range events {
		if !strikes(e) {
			continue
		}
		i := &refNote{
			n: int64(len(notes)), event: at, tick: e.Tick, micros: tempo.Micros(e.Tick),
			channel: e.Channel, key: int(e.Key), velocity: e.Velocity,
			released: releaseOf(events, at), ended: endOf(events, at),
		}
		if setup.Timeline == nil {
			i.free(setup, events)
		} else {
			i.place(setup.Timeline, events)
		}
		i.scale = scaleOf(i.slot, viewAfter(setup, events[:at]))
		i.bend(setup, events)
		i.quarter = 500_000
		for _, before := range events[:at] {
			if before.Kind == analyse.Tempo {
				i.quarter = before.Value
			}
		}
		notes = append(notes, i)
	}
	for _, i := range notes {
		i.soft = i.velocity < setup.Gate
	}
	before := int64(-1)
	for _, i := range notes {
		i.left = i.key < int(setup.Split)
		i.stretch.left = i.left
		if i.before = before; !i.soft {
			before = i.n
		}
		for at, e := range events[:i.event] {
			if strikes(e) && releaseOf(events[:i.event], at) == never {
				i.downBefore = append(i.downBefore, int(e.Key))
			}
		}
	}
	giveRoles(notes, events, tempo, setup)
	return notes
}

// bend finds the first tick at which a note that sounds is bent into a target a
// semitone away from where it was struck.
func (i *refNote) bend(setup analyse.Setup, events []analyse.Event) {
	struckAt := semitonesBent(events[:i.event+1], i.channel)
	for at := i.event + 1; at < len(events) && events[at].Tick <= i.ended && !i.bent; at++ {
		e := events[at]
		if e.Kind != analyse.PitchBend || e.Channel != i.channel {
			continue
		}
		before, now := semitonesBent(events[:at], i.channel), semitonesBent(events[:at+1], i.channel)
		if d := now - struckAt; now != before && (d == 1 || d == -1) && endOf(events[:at+1], i.event) == never {
			there := &refNote{event: at, tick: e.Tick, key: i.key + d}
			if setup.Timeline == nil {
				there.free(setup, events)
			} else {
				there.place(setup.Timeline, events)
			}
			i.bent, i.bentAt = there.target(), e.Tick
		}
	}
}

// semitonesBent is how far a channel is bent after some events, to the nearest
// semitone, half of one away from the centre (MIDI 1.0 Detailed Specification:
// pitch bend, registered parameter 0; General MIDI System Level 1: two semitones
// by default).
func semitonesBent(events []analyse.Event, channel uint8) int {
	semitones, cents, bend := 2, 0, 8192
	parameter := [2]uint8{127, 127}
	for _, e := range events {
		switch {
		case e.Channel != channel:
		case e.Kind == analyse.PitchBend:
			bend = int(e.Velocity)*128 + int(e.Key)
		case e.Kind != analyse.Control:
		case e.Key == 101:
			parameter[0] = e.Velocity
		case e.Key == 100:
			parameter[1] = e.Velocity
		case e.Key == 98 || e.Key == 99:
			parameter = [2]uint8{127, 127}
		case e.Key == 6 && parameter == [2]uint8{}:
			semitones = int(e.Velocity)
		case e.Key == 38 && parameter == [2]uint8{}:
			cents = min(int(e.Velocity), 99)
		case e.Key == 121:
			bend = 8192
		}
	}
	return int(math.Round(float64(bend-8192) * float64(100*semitones+cents) / 8192 / 100))
}

// inOrder returns the events with no tick before the one ahead of it, nor
// before 0.
func inOrder(events []analyse.Event) []analyse.Event {
	out := slices.Clone(events)
	var now int64
	for i := range out {
		now = max(now, out[i].Tick)
		out[i].Tick = now
	}
	return out
}

func tempoMap(events []analyse.Event) *timebase.Tempo {
	tempo := &timebase.Tempo{}
	for _, e := range events {
		if e.Kind == analyse.Tempo {
			_ = tempo.Set(e.Tick, e.Value) // a tempo out of range changes nothing
		}
	}
	return tempo
}

func strikes(e analyse.Event) bool { return e.Kind == analyse.NoteOn && e.Velocity > 0 }

// releases reports whether an event lifts a key, whatever the pedal does.
func releases(e analyse.Event, channel, key uint8) bool {
	switch e.Kind {
	case analyse.Release:
		return true
	case analyse.NoteOn, analyse.NoteOff:
		return e.Channel == channel && e.Key == key
	case analyse.Control: // all sound off, all notes off and the modes that imply it
		return e.Channel == channel && (e.Key == 120 || e.Key >= 123)
	}
	return false
}

func releaseOf(events []analyse.Event, at int) int64 {
	for _, e := range events[at+1:] {
		if releases(e, events[at].Channel, events[at].Key) {
			return e.Tick
		}
	}
	return never
}

// endOf returns when a note stops sounding: when its key comes up while the
// sustain pedal is up, or when the pedal comes up after that, or when it is
// struck again (MIDI 1.0 Detailed Specification: controllers 64, 120, 121, 123 to
// 127).
func endOf(events []analyse.Event, at int) int64 {
	note := events[at]
	pedal, key := false, true
	for i, e := range events {
		down, up := false, e.Kind == analyse.Release
		if e.Kind == analyse.Control && e.Channel == note.Channel {
			down = e.Key == 64 && e.Velocity >= 64
			up = e.Key == 64 && e.Velocity < 64 || e.Key == 121
		}
		pedal = (pedal || down) && !up
		if i <= at {
			continue
		}
		same := e.Channel == note.Channel && e.Key == note.Key
		silent := e.Kind == analyse.Release || e.Kind == analyse.Control && e.Channel == note.Channel && e.Key == 120
		if silent || same && strikes(e) {
			return e.Tick
		}
		key = key && !releases(e, note.Channel, note.Key)
		if !key && !pedal {
			return e.Tick
		}
	}
	return never
}

// meterAt returns the last meter told before an event.
func meterAt(events []analyse.Event) timebase.Meter {
	meter := timebase.Common
	for _, e := range events {
		if m := (timebase.Meter{Num: uint8(e.Value >> 8), Den: uint8(e.Value)}); e.Kind == analyse.Meter && m.Valid() {
			meter = m
		}
	}
	return meter
}

// free places a note where there is no chart: over the centre's home chord.
func (i *refNote) free(setup analyse.Setup, events []analyse.Event) {
	meter := meterAt(events[:i.event])
	i.beat, i.bar = meter.Beat(), meter.Bar()
	i.inBeat = -1
	if slices.ContainsFunc(events[:i.event], func(e analyse.Event) bool { return e.Kind == analyse.Tempo }) {
		i.inBeat = sinceBeat(events[:i.event], i.tick, meter)
	}
	i.slot = &changes.Slot{}
	if c := setup.Centre; c != nil {
		i.slot = &changes.Slot{Centre: *c, Key: c.Scale(), Own: c.Scale(), Chord: c.Scale().HomeChord()}
	}
}

// place finds a note's chord in the song.
func (i *refNote) place(t *changes.Timeline, events []analyse.Event) {
	var origin *analyse.Event
	for at := range events[:i.event] {
		if events[at].Kind == analyse.Origin {
			origin = &events[at]
		}
	}
	i.slot = &t.Slots[0]
	i.stretch = refStretch{origin: origin, slot: i.slot}
	i.still = origin == nil || origin.Key != 1
	i.inBeat, i.resolves = -1, resolves(t, 0)
	if origin == nil {
		meter := meterAt(events[:i.event])
		i.beat, i.bar = meter.Beat(), meter.Bar()
		return
	}
	running := origin.Key == 1
	at := origin.Value
	if running {
		at += i.tick - origin.Tick
	}
	if at < 0 { // the count-in and the pick-up: nothing has sounded yet
		i.beat, i.bar = t.Bars[0].Meter.Beat(), t.Bars[0].Meter.Bar()
		if running {
			i.inBeat = timebase.Mod(timebase.Mod(at, i.bar), i.beat)
		}
		return
	}
	chorus, within := at/t.Length, at%t.Length
	i.beat, i.bar = barAt(t, within).Meter.Beat(), barAt(t, within).Meter.Bar()

	if running {
		i.inBeat = (within - barAt(t, within).Start) % i.beat
	}
	count := len(t.Slots)
	sounding := slices.IndexFunc(t.Slots, func(s changes.Slot) bool { return within < s.End })
	judged, begins := sounding, chorus*t.Length+t.Slots[sounding].Start
	left := t.Slots[sounding].End - within
	if left*10 <= i.beat { // a tenth of a beat or less: early
		judged, begins = (sounding+1)%count, at+left
	}
	i.slot, i.resolves = &t.Slots[judged], resolves(t, judged)
	i.song = refPosition{
		running: running, sounding: &t.Slots[sounding], next: &t.Slots[(sounding+1)%count], left: left,
		since: at - begins,
	}
	if begins > 0 {
		i.song.before = &t.Slots[(judged+count-1)%count]
	}
	// Slots in a row with one chord are one stay.
	stay := judged
	for stay > 0 && t.Slots[stay-1].Chord == i.slot.Chord && t.Slots[stay-1].Own == i.slot.Own {
		stay--
	}
	begins -= i.slot.Start - t.Slots[stay].Start
	four := stretchBars * barAt(t, t.Slots[stay].Start).Meter.Bar()
	i.stretch = refStretch{origin: origin, slot: &t.Slots[stay], start: begins, part: max(0, at-begins) / four}
}
