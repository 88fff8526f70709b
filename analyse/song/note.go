package song

import (
	"shedlight/analyse/harmony"
	"shedlight/analyse/tone"
)

// Note is what passes from one stage of the judge to the next: heard, sorted, in
// the melody, told to its listeners. A stage fills in its own fields and no other.
type Note struct {
	// Set when it is heard, read by every stage.

	N         int64             // counts note-ons from 0
	Tick      int64             // of its onset
	Key       int               // key number, 0 to 127
	Place     Place             // in the active scale
	Index     int               // its place in the scale, 0 to 7, home on the even ones; -1 outside and without a scale
	Slot      int               // row of the slot whose chord judges it, in the timeline and in Song.Contexts
	Context   *Context          // of that slot
	Named     *harmony.Spelling // how it is written: as over that, or over the one that it is ahead of
	Charted   string            // and what it is called in the chart as written, where that is in another key
	Next      *Context          // of the slot after the one that sounds, where its chord is another and the song runs on; else nil
	Song      int64             // song tick of its onset, where InSong; read by the fit
	InSong    bool              // the song runs there; without a chart it always does
	Position  Position          // where it lies, as told to players: a note early on a downbeat is in its bar
	BarsIn    int               // its bar, as Song.BarsIn counts, read by feel
	Pulse     Pulse             // where it lies in its bar, read by feel, alignment, figures and phrases
	Rows      Rows              // where it is counted, read when its fate is settled
	QuarterUS int64             // the tempo there, in microseconds a quarter, read by feel

	// Set when it goes into the melody.

	Up       int64 // tick of its key's release, as far as it is known; timebase.Never while it is down; read by phrases
	Open     bool  // it is outside and its fate is not settled; read by phrases
	Joined   bool  // it comes right after the note before, as figures count it: in the gap that connects, or one and a half beats
	HeldOver int64 // ticks that the note of the melody before it sounded, up to this one; read by hanging

	// Set by the phrases, which are told first.

	First  bool  // it begins a phrase
	Opener int64 // the number of the note that began its phrase
}

// Class is its pitch class.
func (n *Note) Class() tone.Class { return tone.ClassOf(n.Key) }

// OutsideAll reports whether the note is outside the scale and no tone of the
// written chord either.
func (n *Note) OutsideAll() bool {
	return n.Place == Outside && !n.Context.ChordTone.Has(n.Class())
}

// Rows says where a note is counted: rows of the judge's counts, from 0. Chorus and
// Bar are -1 outside a chorus.
type Rows struct {
	Centre int // as Context.CentreRow
	Chorus int // in the order in which choruses were first played
	Bar    int // of the timeline
	Slot   int // of the timeline

	Before bool // it lies in none of them: before bar 1, or before a centre was heard
	Ahead  bool // it lies in the beat before a change of chord
}
