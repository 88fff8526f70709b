// Package analyse judges what is played. It is told what happens, event by
// event, and answers with findings: where each note lies in the active scale,
// whether it belongs to the line or to a chord, and what became of it. It knows
// no driver, no screen, no file, no clock and starts no goroutine, so that the
// same events always give the same findings.
package analyse

import (
	"shedlight/analyse/changes"
	"shedlight/analyse/song"
)

// Setup is what the analyser knows before the first note. With neither
// Timeline nor Centre notes have no place until the analyser hears a centre.
type Setup struct {
	Timeline *changes.Timeline // nil without a chart; not changed by the analyser
	Centre   *changes.Centre   // without a chart: the one centre
	Keys     song.Keys         // that the choruses are played in, where that changes: Timeline is in the first
	View     song.View         // that the session begins in
	OneView  bool              // and keeps: NextView is passed over
	Channels uint16            // what other channels play is not heard; a bit each, the lowest for channel index 0; 0: all are heard
	LeftHand uint8             // the channel, from 1, that is the left hand as if below a split; 0: none
	Split    uint8             // chords need two keys, not three, below this key number; 0: no split
	Top      bool              // the highest key of a struck chord above the split belongs to the line
	Voicing  []int             // what the families are made of: places of the scale from the bass up, 0 to 7; nil: the home chord, and its major seventh
	Gate     uint8             // notes with a lower velocity are glitches, 0 to 127; 0: no gate
	Legato   bool              // a wind controller: a note under 30 ms between two others is a glitch
	Asks     []Ask             // what of the instrument asks for something and is no music
	Whole    bool              // 4096 notes, crossings and figures of a phrase are told, not its first 128, 32 and 12: takes memory for long phrases
	Goal     []bool            // the bars of Timeline that are to be without a slip, in its order; nil: none
	Gaps     song.Gaps         // where the click was silent; with a Timeline
	Trade    int               // so many bars are the player's and as many the others'; with a Timeline; 0: all are the player's
	Quantum  int64             // how finely the source tells time, in microseconds; 0: finer than can be heard
}

// hears reports whether a channel, by its index, is heard.
func (s *Setup) hears(ch uint8) bool { return s.Channels == 0 || s.Channels>>ch&1 == 1 }

// inLeft reports whether a key is the left hand's: by its channel where each hand has
// its own, else by the split.
func (s *Setup) inLeft(ch, key uint8) bool {
	if s.LeftHand != 0 {
		return ch == s.LeftHand-1
	}
	return key < s.Split
}

// parts reports whether the hands are told apart.
func (s *Setup) parts() bool { return s.LeftHand != 0 || s.Split != 0 }

// Ask is a control that asks for something: a Control by its controller, a NoteOn
// by its key, a Program by its number. The analyser passes over all that it sends.
type Ask struct {
	Kind Kind // Control, NoteOn or Program
	Key  uint8
}

// Is reports whether an event is the control's; a key's release and pressure are.
func (a Ask) Is(e Event) bool {
	kind := e.Kind
	if kind == NoteOff || kind == PolyPressure {
		kind = NoteOn
	}
	return kind == a.Kind && e.Key == a.Key
}
