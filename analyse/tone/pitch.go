package tone

import (
	"fmt"
	"strconv"
)

// MaxKey is the highest key number (MIDI 1.0): G9. Key 60 is C4, middle C.
const MaxKey = 127

// Pitch is a spelled pitch: a name and the octave its letter stands in. C4 is
// middle C. The octave belongs to the letter, not to the sound: Cb4 sounds as
// B3 and B#3 as C4.
type Pitch struct {
	Name   Name
	Octave int8
}

// Key returns the key number the pitch sounds on; it may lie outside 0 to
// MaxKey.
func (p Pitch) Key() int {
	return (int(p.Octave)+1)*12 + letterClass[p.Name.Letter] + int(p.Name.Alter)
}

// At returns the pitch with this name on a key. ok is false where the name
// does not sound as that key.
func (n Name) At(key uint8) (p Pitch, ok bool) {
	if ClassOf(int(key)) != n.Class() {
		return Pitch{}, false
	}
	p = Pitch{Name: n, Octave: -1}
	for p.Key() < int(key) {
		p.Octave++
	}
	for p.Key() > int(key) {
		p.Octave--
	}
	return p, true
}

// String prints the pitch with ASCII accidentals: "Bb3", "C-1".
func (p Pitch) String() string { return p.Name.String() + strconv.Itoa(int(p.Octave)) }

// Unicode prints the pitch with Unicode accidentals: "B♭3".
func (p Pitch) Unicode() string { return p.Name.Unicode() + strconv.Itoa(int(p.Octave)) }

// ParsePitch reads a note name and its octave, like "Bb3" or "F♯4". The pitch
// must lie on a key, C-1 to G9.
func ParsePitch(s string) (Pitch, error) {
	name, rest, ok := CutName(s)
	if !ok {
		return Pitch{}, fmt.Errorf("%q is not a pitch: expected a note name and its octave, like Bb3 or F#4", s)
	}
	octave, err := strconv.ParseInt(rest, 10, 8)
	if err != nil {
		return Pitch{}, fmt.Errorf("%q is not a pitch: expected an octave after %s, like %s4", s, name, name)
	}
	p := Pitch{Name: name, Octave: int8(octave)}
	if k := p.Key(); k < 0 || k > MaxKey {
		return Pitch{}, fmt.Errorf("%q lies outside the keys: expected C-1 to G9", s)
	}
	return p, nil
}
