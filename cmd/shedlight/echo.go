package main

import (
	"sync/atomic"
	"time"

	"shedlight/analyse"
	"shedlight/analyse/instrument"
	"shedlight/analyse/phrase"
	"shedlight/analyse/timebase"
	"shedlight/listen/beat"
	"shedlight/listen/sound"
)

// echo sounds the last phrase again in the rest: its notes as they were played, both
// hands, at the same distances in beats, each for as long as its key was down. Where
// there is a beat it begins in the same place of one. The first note that the player
// strikes ends it, but for what is on its way out (sound.Soonest). It is only sounded:
// nothing of it is heard as played.
//
// Bends and the sustain pedal are not sounded again.
type echo struct {
	wanted bool // it is asked for, and waits for the rest

	notes [echoMost]echoed                                // note n is at n modulo echoMost
	n     int64                                           // the number of the latest, and one
	down  [instrument.Channels][instrument.KeyCount]int64 // the number of the note that a key is down for, and one; 0: it is up

	back atomic.Pointer[sound.Part] // what sounds; nil: nothing
}

// echoMost is how many notes of a phrase are sounded again at most, its last: more
// than a breath holds.
const echoMost = 1024

// echoed is a note as it was played.
type echoed struct {
	n, tick, off  int64 // off is 0 while its key is down
	key, velocity uint8
	place         int64 // ticks after the beat before it; -1 where there is none
}

// heard takes a note.
func (e *echo) heard(f *analyse.Finding, line *beat.Line) {
	if e.back.Load() != nil {
		e.back.Store(nil)
	}
	e.letGo(f.Channel, f.Key, f.Tick)
	e.notes[f.N%echoMost] = echoed{n: f.N, tick: f.Tick, key: f.Key, velocity: f.Velocity, place: placeInBeat(line, f.Tick)}
	e.n = f.N + 1
	e.down[f.Channel][f.Key] = e.n
}

// released takes an event that lets go of a key, or of all.
func (e *echo) released(at analyse.Event) {
	switch {
	case at.Kind == analyse.NoteOff, at.Kind == analyse.NoteOn && at.Velocity == 0:
		e.letGo(at.Channel, at.Key, at.Tick)
	case at.Kind == analyse.Release:
		for channel := range e.down {
			for key := range e.down[channel] {
				e.letGo(uint8(channel), uint8(key), at.Tick)
			}
		}
	}
}

func (e *echo) letGo(channel, key uint8, tick int64) {
	n := e.down[channel][key] - 1
	e.down[channel][key] = 0
	if note := e.at(n); note != nil {
		note.off = tick
	}
}

// at returns a note by its number while it is kept.
func (e *echo) at(n int64) *echoed {
	if n < 0 || n < e.n-echoMost || n >= e.n || e.notes[n%echoMost].n != n {
		return nil
	}
	return &e.notes[n%echoMost]
}

// start sounds a phrase again, at a time and its tick.
func (e *echo) start(p *phrase.Phrase, tick int64, line *beat.Line, now time.Duration) {
	var ticks []int64
	var notes []sound.Note
	shift := int64(0)
	for n := max(p.First, p.Last+1-echoMost); n <= p.Last; n++ {
		note := e.at(n)
		if note == nil {
			continue
		}
		if len(notes) == 0 {
			shift = nextPlace(line, line.Tick(now+sound.Soonest)+1, note.place) - note.tick
		}
		off := note.off
		if off == 0 {
			off = tick
		}
		ticks = append(ticks, note.tick+shift)
		notes = append(notes, sound.Note{Voice: sound.Piano, Key: note.key, Velocity: note.velocity, Ticks: max(1, off-note.tick)})
	}
	part := striking(ticks, notes)
	e.back.Store(&part)
}

// part is what a conductor plays of it.
func (e *echo) part(form *beat.Form, s beat.Stretch, strike func(int64, sound.Note)) {
	if back := e.back.Load(); back != nil {
		(*back)(form, s, strike)
	}
}

// placeInBeat returns how many ticks after a beat a tick lies; -1 where none is counted.
func placeInBeat(line *beat.Line, tick int64) int64 {
	song, state := line.Song(tick)
	if state != beat.Running {
		return -1
	}
	at := line.Form().Place(song)
	return at.Offset % at.Meter.Beat()
}

// nextPlace returns the first tick from one on that lies in a place of a beat; where
// there is none, that tick.
func nextPlace(line *beat.Line, tick, place int64) int64 {
	song, state := line.Song(tick)
	if here := placeInBeat(line, tick); place >= 0 && state == beat.Running {
		length := line.Form().Place(song).Meter.Beat()
		return tick + timebase.Mod(place-here, length)
	}
	return tick
}
