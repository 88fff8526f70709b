package main

import (
	"shedlight/analyse"
	"shedlight/analyse/harmony"
	"shedlight/analyse/timebase"
	"shedlight/analyse/tone"
	"shedlight/display"
	"shedlight/listen/smf"
)

// familyJSON is a family as the contract at the door has it, at concert pitch.
type familyJSON struct {
	Chord string     `json:"chord"`
	Moved string     `json:"moved,omitempty"` // its own four tones, where only they are moved
	Scale scaleJSON  `json:"scale"`
	Size  int        `json:"size"` // steps until the same tones come back
	Steps []stepJSON `json:"steps"`
}

type scaleJSON struct {
	Name   string   `json:"name"`
	Tones  []string `json:"tones"`
	Pcs    []int    `json:"pcs"`
	Reason string   `json:"reason"`
}

type stepJSON struct {
	Step     int        `json:"step"`
	Tones    []string   `json:"tones"` // of each key, as the name asks for
	Keys     []int      `json:"keys"`
	Name     string     `json:"name"` // the notes where there is no chord name
	Others   []string   `json:"others"`
	Lacking  [][]string `json:"others_lack"` // of each of Others the tones that do not sound
	Half     string     `json:"half"`
	Borrowed string     `json:"borrowed,omitempty"`
}

func familyObject(sheet display.FamilySheet) familyJSON {
	f := sheet.Family
	out := familyJSON{
		Chord: sheet.Chord.Symbol(), Size: f.Size,
		Scale: scaleJSON{Name: f.Scale.String(), Reason: sheet.Reason},
	}
	if !sheet.Moved.None() {
		out.Moved = sheet.Moved.Symbol()
	}
	for _, n := range f.Scale.Tones() {
		out.Scale.Tones = append(out.Scale.Tones, n.String())
		out.Scale.Pcs = append(out.Scale.Pcs, int(n.Class()))
	}
	called := display.NameFamily(f, sheet.Chord)
	for i, st := range f.Steps {
		names := &called[i]
		step := stepJSON{Step: i + 1, Name: names.Name, Others: []string{}, Lacking: [][]string{}, Half: st.Half.String()}
		if !names.Borrowed.Home.None() {
			step.Borrowed = names.Borrowed.String()
		}
		for j, n := range names.Tones {
			step.Tones = append(step.Tones, n.String())
			step.Keys = append(step.Keys, int(st.Keys[j]))
		}
		for _, other := range names.Others {
			step.Others = append(step.Others, other.Chord.Symbol())
			step.Lacking = append(step.Lacking, lacking(other.Chord, st.Set))
		}
		out.Steps = append(out.Steps, step)
	}
	return out
}

// lacking names the tones of a chord that do not sound, from its root up.
func lacking(c harmony.Chord, sounding tone.Set) []string {
	out := []string{}
	for d := harmony.One; d <= harmony.Seven; d++ {
		if n := c.Name(d); c.Formula.Has(d) && !sounding.Has(n.Class()) {
			out = append(out, n.String())
		}
	}
	return out
}

// How a family sounds in a file.
const (
	familyTempo    = 600_000              // microseconds a quarter note: 100 a minute
	familyChord    = 2 * timebase.Quarter // ticks a chord is held
	familyVelocity = 72                   // mezzo-forte
)

// familyFile writes a family as a Standard MIDI File of one track: a chord each
// half note, its name a marker.
func familyFile(sheet display.FamilySheet) []byte {
	var track smf.TrackWriter
	track.Meta(0, smf.MetaTrackName, []byte(sheet.Chord.Symbol()+" up "+sheet.Family.Scale.String()))
	track.Event(analyse.Event{Kind: analyse.Tempo, Value: familyTempo})
	track.Event(analyse.Event{Kind: analyse.Meter, Value: timebase.Common.Packed()})
	tick := int64(0)
	names := display.NameFamily(sheet.Family, sheet.Chord)
	for i, st := range sheet.Family.Steps {
		track.Meta(tick, smf.MetaMarker, []byte(names[i].Name))
		for _, k := range st.Keys {
			track.Event(analyse.Event{Tick: tick, Kind: analyse.NoteOn, Key: k, Velocity: familyVelocity})
		}
		tick += familyChord
		for _, k := range st.Keys {
			track.Event(analyse.Event{Tick: tick, Kind: analyse.NoteOff, Key: k})
		}
	}
	track.End(tick)
	file := smf.AppendTrackHeader(smf.AppendHeader(nil, 0, 1), uint32(len(track.Bytes)))
	return append(file, track.Bytes...)
}
