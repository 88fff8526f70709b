package main

import (
	"fmt"
	"strings"
	"time"

	"shedlight/analyse"
	"shedlight/analyse/material"
	"shedlight/analyse/timebase"
	"shedlight/analyse/tone"
	"shedlight/cmd/shedlight/internal/settings"
	"shedlight/display"
	"shedlight/listen/beat"
	"shedlight/listen/smf"
	"shedlight/listen/sound"
)

// materialText is material as it is printed and read back.
func materialText(all []*material.Exercise, cells int) string {
	const indent = "   "
	var b strings.Builder
	for i, e := range all {
		if e.Title != "" {
			fmt.Fprintf(&b, "title: %s\n", display.Clean(e.Title))
		}
		switch first := i == 0; {
		case e.Title != "" || len(all) == 1 && len(e.Why) == 0 && e.Level > 0:
			fmt.Fprintf(&b, "key: %s\n", e.Key)
		case first || e.Key != all[i-1].Key:
			fmt.Fprintf(&b, "centre: %s\n", e.Key)
		}
		if i == 0 && e.For != tone.InC {
			fmt.Fprintf(&b, "written: %s\n", e.For)
		}
		if e.Tempo > 0 && (i == 0 || e.Tempo != all[i-1].Tempo) {
			fmt.Fprintf(&b, "tempo: %d\n", e.Tempo)
		}
		fmt.Fprintf(&b, "\n%s\n", strings.TrimRight(fmt.Sprintf("%d.  %s", i+1, e.Idea), " "))
		for _, row := range e.Rows(cells - len(indent)) {
			b.WriteString(indent + row + "\n")
		}
		for _, why := range e.Why {
			b.WriteString(indent + "why   " + why + "\n")
		}
		if e.Title == "" && len(e.Why) > 0 {
			for _, o := range e.Elsewhere() {
				b.WriteString(indent + "over  " + o.String() + "\n")
			}
		}
	}
	return b.String()
}

// materialJSON is a line or an etude as the contract at the door has it.
type materialJSON struct {
	Seed   uint64             `json:"seed"` // 0 where it was read
	Level  int                `json:"level"`
	Idea   string             `json:"idea"`
	Why    []string           `json:"why"`
	Title  string             `json:"title"`
	Centre string             `json:"centre"`
	Tempo  int                `json:"tempo"`
	Bars   int                `json:"bars"`
	Notes  []materialNoteJSON `json:"notes"`
	Over   []materialOverJSON `json:"over"`
}

type materialNoteJSON struct {
	Tick   int64  `json:"tick"`
	Length int64  `json:"length"`
	Key    uint8  `json:"key"`
	Name   string `json:"name"`
	Degree string `json:"degree"`
	Chord  string `json:"chord"`
}

type materialOverJSON struct {
	Chords  []string   `json:"chords"`
	Degrees [][]string `json:"degrees"`
	Open    bool       `json:"open"`
}

func materialObject(e *material.Exercise) materialJSON {
	out := materialJSON{
		Seed: e.Seed, Level: e.Level, Idea: e.Idea, Why: append([]string{}, e.Why...), Title: e.Title, Centre: e.Key.String(),
		Tempo: e.Tempo, Bars: len(e.Line.Bars), Notes: []materialNoteJSON{}, Over: []materialOverJSON{},
	}
	for i, n := range e.Notes {
		out.Notes = append(out.Notes, materialNoteJSON{
			Tick: n.Tick, Length: n.Length, Key: n.Key, Name: e.Pitch(i).Name.String(), Degree: e.Degree(i), Chord: e.Symbol(i),
		})
	}
	if e.Title == "" && len(e.Why) > 0 {
		for _, o := range e.Elsewhere() {
			out.Over = append(out.Over, materialOverJSON{Chords: o.Chords, Degrees: o.Degrees, Open: o.Open})
		}
	}
	return out
}

// materialVelocity is mezzo-forte.
const materialVelocity = 80

// quarterOf is a tempo in microseconds a quarter note.
func quarterOf(e *material.Exercise, perMinute float64) int64 {
	const minute = 60e6 // microseconds
	return int64(minute / perMinute * timebase.Quarter / float64(e.Line.Bars[0].Meter.Beat()))
}

// materialFile writes an exercise as a Standard MIDI File of one track, its chords as
// markers: from bar 1 on, at tick 0.
func materialFile(e *material.Exercise, perMinute float64) []byte {
	var track smf.TrackWriter
	track.Meta(0, smf.MetaTrackName, []byte(e.Title))
	track.Event(analyse.Event{Kind: analyse.Tempo, Value: quarterOf(e, perMinute)})
	bar, slot, note := 0, 0, 0
	meter := timebase.Meter{}
	before := func(tick int64) { // what stands at a tick or before it, other than notes
		for bar < len(e.Line.Bars) || slot < len(e.Line.Slots) {
			switch {
			case bar < len(e.Line.Bars) && e.Line.Bars[bar].Start <= tick && (slot == len(e.Line.Slots) || e.Line.Bars[bar].Start <= e.Line.Slots[slot].Start):
				if b := e.Line.Bars[bar]; b.Meter != meter {
					meter = b.Meter
					track.Event(analyse.Event{Tick: b.Start, Kind: analyse.Meter, Value: meter.Packed()})
				}
				bar++
			case slot < len(e.Line.Slots) && e.Line.Slots[slot].Start <= tick:
				track.Meta(e.Line.Slots[slot].Start, smf.MetaMarker, []byte(e.Line.Slots[slot].Symbol))
				slot++
			default:
				return
			}
		}
	}
	for ; note < len(e.Notes); note++ {
		n := e.Notes[note]
		before(n.Tick)
		track.Event(analyse.Event{Tick: n.Tick, Kind: analyse.NoteOn, Key: n.Key, Velocity: materialVelocity})
		before(n.Tick + n.Length - 1)
		track.Event(analyse.Event{Tick: n.Tick + n.Length, Kind: analyse.NoteOff, Key: n.Key})
	}
	before(e.Line.Length)
	track.End(e.Line.Length)
	file := smf.AppendTrackHeader(smf.AppendHeader(nil, 0, 1), uint32(len(track.Bytes)))
	return append(file, track.Bytes...)
}

// play lets an exercise be heard, counted in for a bar, and waits for its end.
func (m *made) play(p *program, e *material.Exercise) error {
	form := beat.Chorus(e.Line)
	clock, err := beat.New(beat.Setup{Form: &form, Quarter: quarterOf(e, m.tempo(e)), CountIn: 1, Ahead: soundAhead})
	if err != nil {
		return err
	}
	ctx, stop := untilSignal()
	defer stop()
	s := p.startSound(m.Sound, settings.BandChannels{}, m.API, true, clickWithin)
	defer s.close(p)
	if s == nil {
		return nil
	}
	_, news := s.told()
	p.say("%s", news)
	if !s.on() {
		return fmt.Errorf("nothing is heard: %s", news)
	}
	zero := time.Now()
	s.zero = func() time.Time { return zero }
	s.line = func() *beat.Line { // the conductor is the only one to ask
		clock.Pass(time.Since(zero))
		return clock.Line()
	}
	s.parts = append(s.parts, playingMaterial(e))
	first := s.line() // before the conductor is there
	song, _ := first.Song(0)
	end := time.NewTimer(first.Time(e.Line.Length-song) + soundAhead)
	defer end.Stop()
	s.begin()
	select {
	case <-end.C:
		return nil
	case <-ctx.Done():
		return &stopped{}
	}
}

// playingMaterial is the part of whoever plays an exercise, once.
func playingMaterial(e *material.Exercise) sound.Part {
	return func(_ *beat.Form, s beat.Stretch, strike func(int64, sound.Note)) {
		if s.State != beat.Running {
			return
		}
		for _, n := range e.Notes {
			if at := s.From + n.Tick - s.Song; at >= s.From && at < s.To {
				strike(at, sound.Note{Voice: sound.Piano, Key: n.Key, Velocity: materialVelocity, Ticks: n.Length})
			}
		}
	}
}
