package take

import (
	"iter"

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

// Doubled returns two channels, by their index, that play the same: an instrument
// with a dual voice sends every key on both. ok is false where there are none.
func Doubled(events iter.Seq[analyse.Event]) (first, second uint8, ok bool) {
	var (
		tempo   timebase.Tempo
		last    [instrument.Channels][instrument.KeyCount]int64 // when a key was struck, in microseconds from 1; 0: never
		notes   [instrument.Channels]int
		doubles [instrument.Channels][instrument.Channels]int
	)
	for e := range events {
		if e.Kind == analyse.Tempo {
			if tempo.Set(e.Tick, e.Value) != nil {
				return 0, 0, false // no source yields such a tempo
			}
		}
		if e.Kind != analyse.NoteOn || e.Velocity == 0 {
			continue
		}
		now := tempo.Micros(e.Tick) + 1
		notes[e.Channel]++
		last[e.Channel][e.Key] = now
		for ch := range last {
			if at := last[ch][e.Key]; ch != int(e.Channel) && at > 0 && now-at <= doubledWithin {
				doubles[ch][e.Channel]++
				doubles[e.Channel][ch]++
			}
		}
	}
	most := func(part, whole int) bool { return whole >= doubledLeast && 100*part >= doubledShare*whole }
	for a := range doubles {
		for b := a + 1; b < len(doubles); b++ {
			if most(doubles[a][b], notes[a]) && most(doubles[a][b], notes[b]) {
				return uint8(a), uint8(b), true
			}
		}
	}
	return 0, 0, false
}
