// Package take keeps what is played. While a take is live its events go into a
// journal, written each second; at the end, or at the next start after a crash,
// the journal is turned into a Standard MIDI File, the take.
//
// A take is a format 1 file, 960 ticks to the quarter note. Its first track
// holds the title, the chart as text, the settings, tempo, meter, and the chord
// symbols as markers. Its second track holds the playing: every channel message
// unaltered, in the order of arrival, and among them, as sequencer-specific
// meta events at their tick, what the listener itself found (origins, releases,
// the instrument gone and back, losses). The note-offs and pedals right behind a
// release, at its tick, are the listener's too: other programs see only those. Its end of track is the take's end.
//
// A journal is a format 0 file whose one track has the greatest length there
// is. It starts with the settings; then come all events in the order of
// arrival, and behind each second's batch a watermark, a sequencer-specific
// meta event that holds its own tick. What follows the last watermark is a torn
// batch and is left out.
//
// In the takes folder NAME.mid is a take, NAME.journal and NAME.lock a live or
// abandoned one. A file under the name of a take is always whole.
package take

import (
	"bytes"
	"encoding/json"

	"shedlight/analyse"
	"shedlight/analyse/timebase"
)

// settingsVersion is the version of Settings that this program writes.
const settingsVersion = 1

// Settings is what a take was played under. It is kept as JSON; fields that are
// not known are ignored. Text in it comes from a file and may hold anything.
type Settings struct {
	Version  int      `json:"version"`            // set by the recorder
	Title    string   `json:"title,omitempty"`    // of the chart
	Chart    string   `json:"chart,omitempty"`    // the canonical chart text
	Centre   string   `json:"centre,omitempty"`   // "F major", without a chart
	View     string   `json:"view,omitempty"`     // "key" or "chord": that it begins in
	Split    uint8    `json:"split,omitempty"`    // key number; 0: no split
	Channels uint16   `json:"channels,omitempty"` // those that are judged, a bit each, channel 1 the lowest; 0: all
	Hands    [2]uint8 `json:"hands,omitzero"`     // the channels of the left and of the right hand, from 1; zeros: they are not apart
	Top      bool     `json:"top,omitempty"`      // the top note of a chord belongs to the line
	Gate     uint8    `json:"gate,omitempty"`     // velocity below which a note does not count; 0: none
	Legato   bool     `json:"legato,omitempty"`   // played on a legato instrument
	Voicing  string   `json:"voicing,omitempty"`  // what the families were made of: "Bb3 D4 F4 A4"
	Bars     string   `json:"bars,omitempty"`     // the part of the chart played: "5-8"
	Goal     string   `json:"goal,omitempty"`     // what each chorus was to bring: "no slip in 9-16"
	Gaps     string   `json:"gaps,omitempty"`     // in which bars the click was silent: "2/8"
	Trade    int      `json:"trade,omitempty"`    // so many bars were the player's, and as many others'; 0: all
	With     []string `json:"with,omitempty"`     // who played along: "click", "bass", "piano", "clock"
	Move     int      `json:"move,omitempty"`     // each chorus was so many semitones above the one before; 0: all in one key
	Written  string   `json:"written,omitempty"`  // the player's transposition: "Bb"
	LagMS    int      `json:"lag_ms,omitempty"`   // the player's own lag, already taken off, in milliseconds
	Source   string   `json:"source,omitempty"`   // the instrument's name
	Started  string   `json:"started,omitempty"`  // RFC 3339; set by the recorder
	Map      []string `json:"map,omitempty"`      // controls that ask for something: "cc67=again"
	Program  string   `json:"program,omitempty"`  // version of the program
}

// ownMark starts the data of our sequencer-specific meta events. 7D is the maker's
// number that MIDI 1.0 leaves to non-commercial use.
const ownMark = "\x7Dshedlight"

// entry is what follows ownMark, as JSON: one of these.
type entry struct {
	Settings  *Settings `json:"settings,omitempty"`
	Event     *found    `json:"event,omitempty"`
	Watermark *int64    `json:"watermark,omitempty"` // its own tick
}

// found is an event that is no MIDI message.
type found struct {
	Kind     string `json:"kind"`
	Value    int64  `json:"value,omitempty"`
	Channel  uint8  `json:"channel,omitempty"`
	Key      uint8  `json:"key,omitempty"`
	Velocity uint8  `json:"velocity,omitempty"`
}

// kindNames are the kinds kept as found, by the name they have in a file.
var kindNames = map[analyse.Kind]string{
	analyse.Origin:   "origin",
	analyse.Release:  "release",
	analyse.Found:    "found",
	analyse.Lost:     "lost",
	analyse.Asked:    "asked",
	analyse.Forget:   "forget",
	analyse.Mark:     "mark",
	analyse.NextView: "view",
}

func (e entry) encode() []byte {
	// Marshal cannot fail: these types hold text and integers only.
	text, _ := json.Marshal(e)
	return append([]byte(ownMark), text...)
}

func decode(data []byte) (entry, bool) {
	text, ok := bytes.CutPrefix(data, []byte(ownMark))
	if !ok {
		return entry{}, false
	}
	var e entry
	return e, json.Unmarshal(text, &e) == nil
}

// event returns the event in the data of a meta event of ours. It is the
// smf.Own of every take.
func event(data []byte) (analyse.Event, bool) {
	e, ok := decode(data)
	if !ok || e.Event == nil {
		return analyse.Event{}, false
	}
	for kind, name := range kindNames {
		if name == e.Event.Kind {
			out := analyse.Event{
				Kind: kind, Value: e.Event.Value, Channel: e.Event.Channel, Key: e.Event.Key, Velocity: e.Event.Velocity,
			}
			return out, bounded(out)
		}
	}
	return analyse.Event{}, false
}

// encodeEvent turns an event that is no MIDI message into the data of a meta event;
// false for kinds and values that a take does not hold.
func encodeEvent(e analyse.Event) ([]byte, bool) {
	name, ok := kindNames[e.Kind]
	if !ok || !bounded(e) || e.Tick < 0 || e.Tick > timebase.MaxTick {
		return nil, false
	}
	return entry{Event: &found{
		Kind: name, Value: e.Value, Channel: e.Channel, Key: e.Key, Velocity: e.Velocity,
	}}.encode(), true
}

// bounded reports whether the fields are in the range of analyse.Event and the
// value in that of a song tick, so that no file brings sums out of range.
func bounded(e analyse.Event) bool {
	return e.Channel < 16 && e.Key < 128 && e.Velocity < 128 &&
		e.Value >= -timebase.MaxTick && e.Value <= timebase.MaxTick
}
