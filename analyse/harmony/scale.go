package harmony

import (
	"fmt"
	"slices"

	"shedlight/analyse/tone"
)

// ScaleKind is one of the four sixth-diminished scales, named by its home
// chord.
type ScaleKind uint8

const (
	MajorSixth ScaleKind = iota + 1
	MinorSixth
	DominantSeventh
	DominantSeventhFlatFive
)

// scaleTable is the definition of the four kinds: for each of the eight
// degrees the letters and semitones above the root and its label. Degrees 0,
// 2, 4 and 6 are the home chord, 1, 3, 5 and 7 the diminished seventh chord a
// whole step above the root.
var scaleTable = [...]struct {
	name, short string
	letters     [8]int
	semitones   [8]int
	labels      [8]string
}{
	MajorSixth: {
		"major sixth-diminished", "6 dim",
		[8]int{0, 1, 2, 3, 4, 5, 5, 6}, [8]int{0, 2, 4, 5, 7, 8, 9, 11},
		[8]string{"1", "2", "3", "4", "5", "b6", "6", "7"},
	},
	MinorSixth: {
		"minor sixth-diminished", "m6 dim",
		[8]int{0, 1, 2, 3, 4, 5, 5, 6}, [8]int{0, 2, 3, 5, 7, 8, 9, 11},
		[8]string{"1", "2", "b3", "4", "5", "b6", "6", "7"},
	},
	DominantSeventh: {
		"dominant seventh-diminished", "7 dim",
		[8]int{0, 1, 2, 3, 4, 5, 6, 6}, [8]int{0, 2, 4, 5, 7, 8, 10, 11},
		[8]string{"1", "2", "3", "4", "5", "b6", "b7", "7"},
	},
	DominantSeventhFlatFive: {
		"dominant seventh flat five-diminished", "7b5 dim",
		[8]int{0, 1, 2, 3, 4, 5, 6, 6}, [8]int{0, 2, 4, 5, 6, 8, 10, 11},
		[8]string{"1", "2", "3", "4", "b5", "b6", "b7", "7"},
	},
}

// String prints the kind: "major sixth-diminished".
func (k ScaleKind) String() string { return scaleTable[k].name }

// kindWords are the words that choose a kind.
var kindWords = [...]string{
	MajorSixth: "major", MinorSixth: "minor", DominantSeventh: "seventh", DominantSeventhFlatFive: "seven-flat-five",
}

// ParseScaleKind reads the word for a kind: major, minor, seventh or
// seven-flat-five.
func ParseScaleKind(s string) (ScaleKind, error) {
	for kind := MajorSixth; kind <= DominantSeventhFlatFive; kind++ {
		if kindWords[kind] == s {
			return kind, nil
		}
	}
	return 0, fmt.Errorf("%q is not a kind of scale: expected major, minor, seventh or seven-flat-five", s)
}

// Scale is a sixth-diminished scale on a spelled root. It is a value; the zero
// Scale is no scale.
type Scale struct {
	Kind ScaleKind
	Root tone.Name
}

// NewScale returns the scale of a kind on a root.
func NewScale(kind ScaleKind, root tone.Name) Scale { return Scale{Kind: kind, Root: root} }

// None reports whether there is no scale.
func (s Scale) None() bool { return s.Kind == 0 }

// Tones returns the eight tones in scale order, spelled for reading: letters
// 1 2 3 4 5 6 6 7 for the sixth kinds and 1 2 3 4 5 6 7 7 for the dominant
// kinds, but never a double accidental. On the usual roots only the flat six,
// and the flat five of the flat five kind, ever need the plain note instead:
// in Db the flat six is A, not Bbb (common practice).
func (s Scale) Tones() [8]tone.Name {
	t := &scaleTable[s.Kind]
	var out [8]tone.Name
	for i := range out {
		out[i] = s.Root.Transpose(t.letters[i], t.semitones[i]).Plain()
	}
	return out
}

// Set returns the scale's eight pitch classes.
func (s Scale) Set() tone.Set { return s.Home() | s.Dim() }

// Home returns the pitch classes of the home half: degrees 1 3 5 6, or those
// of the dominant kinds.
func (s Scale) Home() tone.Set { return s.half(0) }

// Dim returns the pitch classes of the dim half, a diminished seventh chord.
func (s Scale) Dim() tone.Set { return s.half(1) }

func (s Scale) half(first int) tone.Set {
	var set tone.Set
	if s.None() {
		return set
	}
	for i := first; i < 8; i += 2 {
		set |= 1 << tone.ClassOf(int(s.Root.Class())+scaleTable[s.Kind].semitones[i])
	}
	return set
}

// Ruling says which half of the scale goes with a chord or a figure: that with more of its
// tones; both where they tie.
func (s Scale) Ruling(tones tone.Set) (home, dim bool) {
	h, d := (tones & s.Home()).Len(), (tones & s.Dim()).Len()
	return h >= d, d >= h
}

// Index returns the place of a pitch class in the scale, 0 to 7, even in the
// home half and odd in the dim half; ok is false for a class outside.
func (s Scale) Index(c tone.Class) (i int, ok bool) {
	if s.None() {
		return 0, false
	}
	above := int(tone.ClassOf(int(c) - int(s.Root.Class())))
	i = slices.Index(scaleTable[s.Kind].semitones[:], above)
	return max(i, 0), i >= 0
}

// Label returns the degree label of a place in the scale, 0 to 7: "1", "b6".
func (s Scale) Label(i int) string { return scaleTable[s.Kind].labels[i] }

// String prints the whole name: "Bb major sixth-diminished".
func (s Scale) String() string {
	if s.None() {
		return ""
	}
	return s.Root.String() + " " + scaleTable[s.Kind].name
}

// Short prints the name as a screen shows it: "Bb6 dim", "Dm6 dim".
func (s Scale) Short() string {
	if s.None() {
		return ""
	}
	return s.Root.String() + scaleTable[s.Kind].short
}

// HomeChord returns the scale's home chord: C6, Cm6, C7 or C7b5.
func (s Scale) HomeChord() Chord {
	return Chord{Root: s.Root, Bass: s.Root, Formula: [...]Formula{
		MajorSixth:              FormulaOf(One, Three, Five, Six),
		MinorSixth:              FormulaOf(One, FlatThree, Five, Six),
		DominantSeventh:         FormulaOf(One, Three, Five, FlatSeven),
		DominantSeventhFlatFive: FormulaOf(One, Three, FlatFive, FlatSeven),
	}[s.Kind]}
}

// ParseScale reads a whole name as String prints it: "Bb major sixth-diminished". The
// empty name is no scale.
func ParseScale(name string) (Scale, error) {
	if name == "" {
		return Scale{}, nil
	}
	root, rest, ok := tone.CutName(name)
	for kind := MajorSixth; ok && kind <= DominantSeventhFlatFive; kind++ {
		if rest == " "+scaleTable[kind].name {
			return NewScale(kind, root), nil
		}
	}
	return Scale{}, fmt.Errorf("%q is no sixth-diminished scale: expected a name like Bb major sixth-diminished", name)
}

// MarshalText writes the whole name.
func (s Scale) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// UnmarshalText reads what MarshalText writes.
func (s *Scale) UnmarshalText(text []byte) (err error) {
	*s, err = ParseScale(string(text))
	return err
}
