package fate

import (
	"shedlight/analyse/timebase"
	"shedlight/analyse/tone"
)

// Note is a note as the rules see it.
type Note struct {
	N, Tick int64
	Up      int64 // tick at which its key goes up; timebase.Never while it is down
	Off     int64 // and at which it stops sounding, which the pedal may hold
	Key     int
	Target  bool // a tone of the scale of either view, or of its written chord
}

// Released notes that the key of note n went up at a tick.
func (m *Note) Released(n, tick int64) {
	if m.N == n {
		m.Up = min(m.Up, tick)
	}
}

// Ended notes that note n stopped sounding at a tick.
func (m *Note) Ended(n, tick int64) (changed bool) {
	if m.N != n || m.Off != timebase.Never {
		return false
	}
	m.Off = tick
	return true
}

// Claim is what could excuse a note, as far as it is known when it is heard.
type Claim struct {
	Class   tone.Class
	Left    bool   // the left hand's, where the hands are told apart
	Inside  bool   // it lies in the active scale, and has no fate
	Either  bool   // it lies in the scale of either view
	Late    bool   // it lies in the scale or chord before the change
	Colour  string // what it is as a colour of its chord, or of the scale of the other view: "13"; empty where it is none
	Blue    bool   // it is a blue note
	Fights  string // on the beat: what it is, where that fights its chord when it is held: "maj7"; else empty
	Beat    int64  // ticks
	Change  int64  // tick of the change that it may push; 0: none
	Stay    int64  // the number of the stay on a chord that it lies in; NoStay: none
	Channel uint8
	Steps   int // how many semitones its channel was bent when it was struck

	bent   bool  // it has been bent into a target a semitone away
	bentAt int64 // tick of that
}

// Bend notes that a note which was struck on a channel sounds so many semitones
// away now, and reports whether that is the first target a semitone away.
func (c *Claim) Bend(ch uint8, steps, key int, tick int64, targets tone.Set) bool {
	to := steps - c.Steps
	if c.Channel != ch || c.bent || tone.Apart(to, 0) != 1 || !targets.Has(tone.ClassOf(key+to)) {
		return false
	}
	c.bent, c.bentAt = true, tick
	return true
}
