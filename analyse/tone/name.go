// Package tone holds the smallest words of the house: spelled pitches, pitch
// classes and 12-bit sets of them. Everything here is a value; nothing can fail
// except reading text.
package tone

import (
	"fmt"
	"strings"
)

// Class is a pitch class, 0 to 11, where 0 is C and 11 is B.
type Class uint8

// ClassOf returns the pitch class of any number of semitones above or below C.
func ClassOf(semitones int) Class {
	class := semitones % 12
	if class < 0 {
		class += 12
	}
	return Class(class)
}

// Letter is one of the seven note letters, 0 for C to 6 for B.
type Letter uint8

var letterClass = [7]int{0, 2, 4, 5, 7, 9, 11}

// Name is a spelled pitch class: a letter and its alteration in semitones
// (-2 double flat to +2 double sharp). The zero value is C.
type Name struct {
	Letter Letter
	Alter  int8
}

// Class returns the pitch class the name sounds as.
func (n Name) Class() Class {
	return ClassOf(letterClass[n.Letter] + int(n.Alter))
}

// maxAlter is the widest alteration a name has, in semitones: a double sharp
// or double flat.
const maxAlter = 2

// asciiNames and unicodeNames hold every name there is, by letter and by
// alteration from double flat to double sharp, so that printing a name costs
// no memory.
var (
	asciiNames = [7][2*maxAlter + 1]string{
		{"Cbb", "Cb", "C", "C#", "C##"},
		{"Dbb", "Db", "D", "D#", "D##"},
		{"Ebb", "Eb", "E", "E#", "E##"},
		{"Fbb", "Fb", "F", "F#", "F##"},
		{"Gbb", "Gb", "G", "G#", "G##"},
		{"Abb", "Ab", "A", "A#", "A##"},
		{"Bbb", "Bb", "B", "B#", "B##"},
	}
	unicodeNames = [7][2*maxAlter + 1]string{
		{"C♭♭", "C♭", "C", "C♯", "C♯♯"},
		{"D♭♭", "D♭", "D", "D♯", "D♯♯"},
		{"E♭♭", "E♭", "E", "E♯", "E♯♯"},
		{"F♭♭", "F♭", "F", "F♯", "F♯♯"},
		{"G♭♭", "G♭", "G", "G♯", "G♯♯"},
		{"A♭♭", "A♭", "A", "A♯", "A♯♯"},
		{"B♭♭", "B♭", "B", "B♯", "B♯♯"},
	}
)

// String prints the name with ASCII accidentals: "Bb", "F#", "Abb". It
// allocates nothing.
func (n Name) String() string { return asciiNames[n.Letter][n.Alter+maxAlter] }

// Unicode prints the name with the signs of the Unicode block Miscellaneous
// Symbols: "B♭", "F♯". A double accidental is the sign twice, because few
// terminal fonts have the signs U+1D12A and U+1D12B. It allocates nothing.
func (n Name) Unicode() string { return unicodeNames[n.Letter][n.Alter+maxAlter] }

// Transpose returns the name moved up by an interval, given as it is written:
// letters 2 and semitones 3 are a minor third. Both may be negative. A name
// that would take more than two accidentals is spelled on the letter below or
// above instead.
func (n Name) Transpose(letters, semitones int) Name {
	class := ClassOf(int(n.Class()) + semitones)
	letter := ((int(n.Letter)+letters)%7 + 7) % 7
	for _, off := range [...]int{0, 6, 1} {
		if m, ok := NameOn(Letter((letter+off)%7), class); ok {
			return m
		}
	}
	return class.Name() // not reached: of three neighbouring letters one is near enough
}

// Plain returns the name without a double accidental: Bbb is A, F## is G, Fbb
// is Eb. Other names stay as they are.
func (n Name) Plain() Name {
	step := 1
	switch n.Alter {
	case -maxAlter:
		step = 6
	case maxAlter:
	default:
		return n
	}
	m, _ := NameOn(Letter((int(n.Letter)+step)%7), n.Class())
	return m
}

// Easy returns the name as a player would write it in passing: without a
// double accidental and without Cb, Fb, E# and B#.
func (n Name) Easy() Name {
	n = n.Plain()
	switch n {
	case Name{Letter: 0, Alter: -1}, Name{Letter: 3, Alter: -1}, Name{Letter: 2, Alter: 1}, Name{Letter: 6, Alter: 1}:
		return n.Class().Name()
	}
	return n
}

// Name returns how a class is usually written where nothing is known of its
// surroundings: C Db D Eb E F F# G Ab A Bb B.
func (c Class) Name() Name {
	return [12]Name{
		{Letter: 0}, {Letter: 1, Alter: -1}, {Letter: 1}, {Letter: 2, Alter: -1}, {Letter: 2}, {Letter: 3},
		{Letter: 3, Alter: 1}, {Letter: 4}, {Letter: 5, Alter: -1}, {Letter: 5}, {Letter: 6, Alter: -1}, {Letter: 6},
	}[c]
}

// Flat returns a class as it is written in a line that falls: C Db D Eb E F Gb G
// Ab A Bb B (common practice).
func (c Class) Flat() Name {
	if n := c.Name(); n.Alter > 0 {
		return Name{Letter: n.Letter + 1, Alter: -1}
	}
	return c.Name()
}

// Sharp returns a class as it is written in a line that rises: C C# D D# E F F# G
// G# A A# B (common practice).
func (c Class) Sharp() Name {
	if n := c.Name(); n.Alter < 0 {
		return Name{Letter: n.Letter - 1, Alter: 1}
	}
	return c.Name()
}

// NameOn returns the name with the given letter that sounds as class. ok is
// false where that would take more than two accidentals.
func NameOn(l Letter, c Class) (n Name, ok bool) {
	alter := (int(c)-letterClass[l]+18)%12 - 6
	if alter < -maxAlter || alter > maxAlter {
		return Name{}, false
	}
	return Name{Letter: l, Alter: int8(alter)}, true
}

// ParseName reads a note letter, upper or lower case, and up to two
// accidentals in ASCII (b, #, x) or Unicode. The whole text must be the name.
func ParseName(s string) (Name, error) {
	n, rest, ok := CutName(s)
	if !ok || rest != "" {
		return Name{}, fmt.Errorf("%q is not a note name: expected a letter A to G and at most two accidentals, like Bb or F#", s)
	}
	return n, nil
}

// CutName reads a name off the front of s, taking as many accidentals as
// stand there (at most two), and returns what follows.
func CutName(s string) (n Name, rest string, ok bool) {
	if s == "" {
		return Name{}, s, false
	}
	i := strings.IndexByte("CDEFGAB", s[0]&^0x20)
	if i < 0 {
		return Name{}, s, false
	}
	n.Letter, rest = Letter(i), s[1:]
	for {
		sign, size := accidental(rest)
		next := int(n.Alter) + sign
		if size == 0 || next < -maxAlter || next > maxAlter || sign*int(n.Alter) < 0 {
			return n, rest, true
		}
		n.Alter, rest = int8(next), rest[size:]
	}
}

func accidental(s string) (alter, size int) {
	for _, a := range [...]struct {
		text  string
		alter int
	}{{"b", -1}, {"#", 1}, {"x", 2}, {"♭", -1}, {"♯", 1}, {"𝄫", -2}, {"𝄪", 2}, {"♮", 0}} {
		if strings.HasPrefix(s, a.text) {
			return a.alter, len(a.text)
		}
	}
	return 0, 0
}
