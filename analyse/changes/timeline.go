// Package changes knows tunes: it reads charts, unrolls their form, finds their
// key centres, and says which chord and which scale are active at every tick.
package changes

import (
	"sort"

	"shedlight/analyse/changes/centre"
	"shedlight/analyse/harmony"
	"shedlight/analyse/timebase"
	"shedlight/analyse/tone"
)

// Slot is the stay of one chord in the unrolled form.
type Slot struct {
	Start, End int64 // song ticks, Start inclusive, End exclusive
	Bar        int   // the bar of the unrolled form it starts in, from 1
	Symbol     string
	Chord      harmony.Chord // no chord for N.C.
	Centre     Centre
	Passing    Centre          // where Passes: the tonic of the finer layer, a visit inside the centre
	Passes     bool            // false for most
	Key        harmony.Scale   // the scale of the key view: the centre's in most places; the zero Scale for N.C.
	Own        harmony.Scale   // the scale of the chord view; the zero Scale for N.C.
	Admitted   []harmony.Scale // the other scales this chord admits, in table order
	Resolves   bool            // the next chord with another root lies a fifth or a semitone below
}

// Bar is one bar of the unrolled form.
type Bar struct {
	Start   int64 // song ticks
	Number  int   // from 1
	Meter   timebase.Meter
	Quarter int64  // the tempo in force, in microseconds a quarter note; 0 where the chart says none
	Section string // the form letter, empty where the chart has none
	Opens   bool   // a section with a name begins here: it tells the A's of A A B A apart
}

// Timeline is one chorus of a chart, unrolled: every chord and every bar in
// the order they sound. Song tick 0 is the first beat of bar 1; the pick-up
// and the count-in lie before it. A Timeline is never changed once made and
// may be shared.
type Timeline struct {
	Title    string
	Slots    []Slot           // in order, without gaps, from 0 to Length
	Bars     []Bar            // in order
	Centres  []centre.Stretch // in order, without gaps; neighbours differ
	Moves    []centre.Move    // in order: where tonics move too fast to be centres
	Length   int64            // ticks in one chorus
	Pickup   int64            // ticks before bar 1 that belong to the tune
	Tempo    int64            // microseconds a quarter note; 0 where the chart says none
	Straight bool             // the chart's style has even eighths
}

// SlotAt returns the index of the slot that holds a song tick of one chorus,
// 0 <= song < Length, in logarithmic time. hint is an index to try first: the
// one before, along the playing, makes it constant time.
func (t *Timeline) SlotAt(song int64, hint int) int {
	for i := hint; i >= 0 && i < len(t.Slots) && i < hint+2; i++ {
		if s := &t.Slots[i]; s.Start <= song && song < s.End {
			return i
		}
	}
	return sort.Search(len(t.Slots), func(i int) bool { return t.Slots[i].Start > song }) - 1
}

// BarAt returns the index of the bar that holds a song tick, like SlotAt.
func (t *Timeline) BarAt(song int64, hint int) int {
	for i := hint; i >= 0 && i < len(t.Bars) && i < hint+2; i++ {
		if t.Bars[i].Start <= song && (i+1 == len(t.Bars) || song < t.Bars[i+1].Start) {
			return i
		}
	}
	return sort.Search(len(t.Bars), func(i int) bool { return t.Bars[i].Start > song }) - 1
}

// Position returns where a song tick of one chorus lies: its bar's number and
// the beat, from 1, a fraction between beats. Length itself is beat 1 of the
// bar after the last, for stretches that end there.
func (t *Timeline) Position(song int64) (bar int, beat float64) {
	if song >= t.Length {
		return t.Bars[len(t.Bars)-1].Number + 1, 1
	}
	b := &t.Bars[t.BarAt(song, 0)]
	return b.Number, 1 + float64(song-b.Start)/float64(b.Meter.Beat())
}

// Lacks returns the tones of the written chord that the scale of the key view
// does not hold, spelled as over the chord: the C# of A7 in C.
func (s *Slot) Lacks() []tone.Name {
	var out []tone.Name
	for _, class := range (s.Chord.Set() &^ s.Key.Set()).Classes() {
		out = append(out, s.Key.Spell(class, s.Chord, false))
	}
	return out
}
