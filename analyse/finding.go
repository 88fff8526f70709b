package analyse

import (
	"encoding/json"

	"shedlight/analyse/fate"
	"shedlight/analyse/harmony"
	"shedlight/analyse/song"
)

// Role is whether a note belongs to the line or to a struck chord.
type Role uint8

const (
	NoRole Role = iota // not decided yet
	Line
	Struck
)

// String prints the role: "line", "chord", or nothing while it is open.
func (r Role) String() string { return [...]string{"", "line", "chord"}[r] }

// Stage says what a Finding tells about its note.
type Stage uint8

const (
	// Heard is the first finding of a note, complete but for its role and, if
	// it is outside, its fate, which is Pending.
	Heard Stage = iota + 1
	// Sorted gives the role, 50 ms after the note at the latest, or 120 ms after
	// one of the left hand.
	Sorted
	// Settled gives the fate of a note that was heard as Pending.
	Settled
	// Fought says that a note of the line, outside the scale or in it, is held
	// against its chord: it counts as a slip.
	Fought
)

// Finding is what the analyser says of a note. For each note-on there is one
// Heard, in the order of N; then one Sorted; one Settled if the fate was
// Pending; and before that, or without it, one Fought where the note fights its
// chord. It is a value with no memory of its own; its strings are constants
// or belong to the Setup.
type Finding struct {
	Stage      Stage
	N          int64 // counts note-ons from 0
	Tick       int64 // the onset
	MS         int64 // the onset in milliseconds
	Channel    uint8 // 0 to 15
	Key        uint8
	Velocity   uint8
	Chorus     int     // from 1; 0 in the pick-up, the count-in and without a chart. A note a tenth of a beat or less ahead of a bar is on its downbeat
	Bar        int     // from 1 in the unrolled form; 0 as Chorus
	Beat       float64 // from 1, in thousandths; 0 as Chorus
	Name       string  // spelled, without octave
	Place      song.Place
	Degree     string // "1" to "7", empty outside and without a scale
	Chord      string // the symbol that sounds, as written; the home chord without a chart
	ChordTone  bool
	Centre     string
	Scale      harmony.Scale // the active one; none without
	Role       Role
	Fate       fate.Fate
	By         int64         // Settled: the note that settled the fate, -1 for none
	HeardScale harmony.Scale // Settled with Sub: the scale that holds the note
	Colour     string        // Settled with Colour: what it is over its chord: "13"
	Against    string        // Fought: what it is over its chord: "maj7"

	before    bool        // Heard: it is counted in no row
	mayFight  bool        // Heard: it can be found to be held against its chord
	chordRow  int         // Heard: where Summary.ChordsDetail counts it, from 1; 0: nowhere
	goal      bool        // Heard: it lies in the bars of the goal
	barRow    int         // Heard: and where Summary.BarsDetail does, from 0
	centreRow int         // Heard: and where Summary.Centres does, from 0
	ahead     bool        // Heard: it lies in the beat before a change of chord
	charted   chartedNote // Heard
}

// chartedNote is what a note and its chord are called in the chart as written, where the
// chorus is played in another key.
type chartedNote struct{ chord, name string }

// Spot is where a note that was Heard lies, as players name it.
func (f *Finding) Spot() song.Spot { return song.Spot{Chorus: f.Chorus, Bar: f.Bar, Beat: f.Beat} }

// ChordRow is where Summary.ChordsDetail counts a note that was Heard, from 1;
// 0 where it does not.
func (f *Finding) ChordRow() int { return f.chordRow }

// Charted is what a note that was Heard is called in the chart as written, by which it is
// counted: its Name where the key does not change.
func (f *Finding) Charted() string { return f.charted.name }

// MarshalJSON writes the finding as the contract's line for its stage: the
// whole of it when Heard, the number and the news after that.
func (f Finding) MarshalJSON() ([]byte, error) {
	switch f.Stage {
	case Sorted:
		return json.Marshal(struct {
			N    int64  `json:"n"`
			Role string `json:"role"`
		}{f.N, f.Role.String()})
	case Settled:
		return json.Marshal(struct {
			N      int64  `json:"n"`
			Fate   string `json:"fate"`
			By     int64  `json:"by"`
			Scale  string `json:"scale,omitempty"`
			Colour string `json:"colour,omitempty"`
		}{f.N, f.Fate.String(), f.By, f.HeardScale.String(), f.Colour})
	case Fought:
		return json.Marshal(struct {
			N       int64  `json:"n"`
			Against string `json:"against"`
		}{f.N, f.Against})
	}
	return json.Marshal(heardJSON(f))
}

// wholeJSON is the contract's finding. Role and by are there once they are
// known.
type wholeJSON struct {
	N         int64   `json:"n"`
	Tick      int64   `json:"tick"`
	MS        int64   `json:"ms"`
	Channel   uint8   `json:"channel"`
	Chorus    int     `json:"chorus"`
	Bar       int     `json:"bar"`
	Beat      float64 `json:"beat"`
	Key       uint8   `json:"key"`
	Velocity  uint8   `json:"velocity"`
	Name      string  `json:"name"`
	Place     string  `json:"place"`
	Degree    string  `json:"degree"`
	Chord     string  `json:"chord"`
	ChordTone bool    `json:"chord_tone"`
	Centre    string  `json:"centre"`
	Scale     string  `json:"scale"`
	Fate      string  `json:"fate"`
	Against   string  `json:"against"`
	Colour    string  `json:"colour,omitempty"`
	Role      string  `json:"role,omitempty"`
}

func heardJSON(f Finding) wholeJSON {
	return wholeJSON{
		N: f.N, Tick: f.Tick, MS: f.MS, Channel: f.Channel, Chorus: f.Chorus, Bar: f.Bar, Beat: f.Beat,
		Key: f.Key, Velocity: f.Velocity, Name: f.Name, Place: f.Place.String(), Degree: f.Degree,
		Chord: f.Chord, ChordTone: f.ChordTone, Centre: f.Centre, Scale: f.Scale.String(),
		Fate: f.Fate.String(), Against: f.Against, Colour: f.Colour, Role: f.Role.String(),
	}
}

// Fold adds a later finding of the same note to what was heard of it.
func (f *Finding) Fold(news *Finding) {
	switch news.Stage {
	case Sorted:
		f.Role = news.Role
	case Settled:
		f.Fate, f.By, f.HeardScale, f.Colour = news.Fate, news.By, news.HeardScale, news.Colour
	case Fought:
		f.Against = news.Against
	}
}

// FarBack is how many notes back a note is whose fate is known, and that will not be
// found to be held against its chord any more.
const FarBack = 256

// Open reports whether a note can still become a slip: its fate is pending, or it is
// not known yet whether it is held against its chord, which nobody says where it is
// not.
func (f *Finding) Open() bool { return f.Fate == fate.Pending || f.mayFight && f.Against == "" }

// Slip reports whether a note whose findings were put together counts against the
// player: its fate is unresolved, or it is held against its chord.
func (f *Finding) Slip() bool { return f.Fate == fate.Unresolved || f.Against != "" }
