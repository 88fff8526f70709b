package take

import (
	"shedlight/analyse"
	"shedlight/analyse/instrument"
	"shedlight/analyse/timebase"
)

const (
	// doubledWithin is how far apart the two notes of a dual voice come at most, in
	// microseconds: the next message on a DIN cable comes a millisecond later
	// (MIDI 1.0: 31,250 baud), behind a full chord some more.
	doubledWithin = 10_000
	// doubledShare is how many of a hundred notes of each of two channels the other
	// must have too, and doubledLeast how many notes there must be.
	doubledShare, doubledLeast = 90, 16
)

// Doubles finds two channels that play the same: an instrument with a dual voice sends
// every key on both. The zero value has heard nothing.
type Doubles struct {
	tempo timebase.Tempo
	last  [instrument.Channels][instrument.KeyCount]int64 // when a key was struck, in microseconds from 1; 0: never
	notes [instrument.Channels]int
	both  [instrument.Channels][instrument.Channels]int
}

// Add takes the next event.
func (d *Doubles) Add(e analyse.Event) {
	switch {
	case e.Kind == analyse.Tempo:
		_ = d.tempo.Set(e.Tick, e.Value) // no source yields one that is out of range
		d.tempo.Forget(e.Tick)
	case e.Kind == analyse.NoteOn && e.Velocity > 0:
		now := d.tempo.Micros(e.Tick) + 1
		d.notes[e.Channel]++
		d.last[e.Channel][e.Key] = now
		for ch := range d.last {
			if at := d.last[ch][e.Key]; ch != int(e.Channel) && at > 0 && now-at <= doubledWithin {
				d.both[ch][e.Channel]++
				d.both[e.Channel][ch]++
			}
		}
	}
}

// Found returns the two channels, by their index; ok is false where there are none.
func (d *Doubles) Found() (first, second uint8, ok bool) {
	most := func(part, whole int) bool { return whole >= doubledLeast && 100*part >= doubledShare*whole }
	for a := range d.both {
		for b := a + 1; b < len(d.both); b++ {
			if most(d.both[a][b], d.notes[a]) && most(d.both[a][b], d.notes[b]) {
				return uint8(a), uint8(b), true
			}
		}
	}
	return 0, 0, false
}
