package tone

import "fmt"

// Instrument says how an instrument is written. The zero Instrument reads
// concert pitch.
//
// Only names are transposed, not octaves: a tenor saxophone in Bb reads a
// ninth above what sounds and a trumpet in Bb a second, an alto saxophone in
// Eb a sixth and a baritone an octave more, but the names they read are the
// same.
type Instrument uint8

const (
	InC     Instrument = iota // piano, guitar, flute: as it sounds
	InBFlat                   // trumpet, tenor and soprano saxophone, clarinet: a whole step up
	InEFlat                   // alto and baritone saxophone: a major sixth up
	InF                       // horn: a fifth up
)

// instrumentTable gives the name of an instrument's key and the interval from
// what sounds up to what is written (common practice).
var instrumentTable = [...]struct {
	key                Name
	letters, semitones int
}{
	InC:     {key: Name{}},
	InBFlat: {key: Name{Letter: 6, Alter: -1}, letters: 1, semitones: 2},
	InEFlat: {key: Name{Letter: 2, Alter: -1}, letters: 5, semitones: 9},
	InF:     {key: Name{Letter: 3}, letters: 4, semitones: 7},
}

// ParseInstrument reads the key of a transposing instrument: C, Bb, Eb or F.
func ParseInstrument(s string) (Instrument, error) {
	name, err := ParseName(s)
	for i, t := range instrumentTable {
		if err == nil && t.key == name {
			return Instrument(i), nil
		}
	}
	return InC, fmt.Errorf("%q is not a key that instruments are written in: expected C, Bb, Eb or F", s)
}

// String prints the instrument's key: "C", "Bb", "Eb" or "F".
func (i Instrument) String() string { return instrumentTable[i].key.String() }

// Written returns what is written for a note that sounds, by the same interval
// for every note, so that a scale stays spelled as a scale. A double
// accidental is written plainly.
func (i Instrument) Written(concert Name) Name {
	t := instrumentTable[i]
	return concert.Transpose(t.letters, t.semitones).Plain()
}

// Concert returns what sounds for a note that is written.
func (i Instrument) Concert(written Name) Name {
	t := instrumentTable[i]
	return written.Transpose(-t.letters, -t.semitones).Plain()
}

// WrittenRoot is Written for the root of a chord, a scale or a key. At concert
// pitch it stays as it is: whoever wrote D# meant it. A root that transposing
// makes is written as its neighbour where players do not like to read it: D#
// G# A# E# B# become Eb Ab Bb F C, and Cb Fb become B E (common practice). What
// stands on the root is spelled from it anew.
func (i Instrument) WrittenRoot(concert Name) Name {
	if i == InC {
		return concert
	}
	n := i.Written(concert).Easy()
	switch n {
	case Name{Letter: 1, Alter: 1}, gSharp, Name{Letter: 5, Alter: 1}:
		return n.Class().Name()
	}
	return n
}

// WrittenMinorRoot is WrittenRoot under a minor third, where G# stays: G# minor
// has five sharps, Ab minor seven flats (common practice).
func (i Instrument) WrittenMinorRoot(concert Name) Name {
	if n := i.Written(concert); n == gSharp {
		return n
	}
	return i.WrittenRoot(concert)
}

var gSharp = Name{Letter: 4, Alter: 1}
