package harmony

import (
	"fmt"
	"slices"

	"shedlight/analyse/tone"
)

const (
	// familySteps is the number of steps of a family: the eight tones of the
	// scale, after which the voicing stands an octave higher.
	familySteps = 8
	// minVoices and maxVoices bound a voicing.
	minVoices, maxVoices = 2, 8
)

// Half says which half of the scale a chord of the family is made of.
type Half uint8

const (
	HomeHalf Half = iota + 1
	DimHalf
	MixedHalves
)

// String prints the half as the contract names it: "home", "dim" or "mixed".
func (h Half) String() string { return [...]string{"", "home", "dim", "mixed"}[h] }

// Step is one chord of a family.
type Step struct {
	Keys  []uint8     // ascending
	Tones []tone.Name // of each key, spelled from the scale
	Set   tone.Set
	Bass  tone.Class // of the lowest key
	Half  Half
}

// Family is what a voicing becomes when every voice moves up the scale step by
// step.
type Family struct {
	Scale Scale
	// Steps are the eight chords, one on each tone of the scale that the bass
	// passes; the first is the voicing itself.
	Steps []Step
	// Size says when the family closes: the number of different sets among the
	// steps, 8, 4, 2 or 1. Step n+Size holds the same pitch classes as step n,
	// over another bass: the home chord's family has size 2 and shows both of
	// its chords in four inversions.
	Size int
}

// Expand moves a voicing of 2 to 8 keys up the scale, every voice to the next
// tone of the scale at each step, until each voice has passed all eight. The
// order of the keys does not matter.
//
// It refuses a note that is not in the scale, by name; a key twice; and a
// voicing whose last step would rise above key 127.
//
// Whether a set comes back before the eighth step is a matter of the voicing's
// pattern in scale steps (mod 8): of the ten patterns of four tones one, 1-3-1-3,
// has size 4 and one, 2-2-2-2, size 2; the others have size 8.
func Expand(s Scale, keys []uint8) (Family, error) {
	if s.None() {
		return Family{}, fmt.Errorf("no scale to move the voicing in")
	}
	if len(keys) < minVoices || len(keys) > maxVoices {
		return Family{}, fmt.Errorf("a voicing of %d notes: expected %d to %d", len(keys), minVoices, maxVoices)
	}
	places := make([]int, len(keys))
	for i, key := range keys {
		place, err := s.place(key)
		if err != nil {
			return Family{}, err
		}
		places[i] = place
	}
	slices.Sort(places)
	for i := 1; i < len(places); i++ {
		if places[i] == places[i-1] {
			return Family{}, fmt.Errorf("%s stands twice in the voicing", s.pitch(places[i]))
		}
	}
	top := places[len(places)-1]
	if key := s.key(top + familySteps - 1); key > tone.MaxKey {
		return Family{}, fmt.Errorf("starting with %s on top the family would rise to key %d, above the highest, %d: expected a lower voicing",
			s.pitch(top), key, tone.MaxKey)
	}
	f := Family{Scale: s, Steps: make([]Step, familySteps), Size: familySteps}
	for n := range f.Steps {
		f.Steps[n] = s.step(places, n)
	}
	for f.Size > 1 && f.Steps[f.Size/2].Set == f.Steps[0].Set {
		f.Size /= 2
	}
	return f, nil
}

// step makes the chord whose voices stand n places above the given ones.
func (s Scale) step(places []int, n int) Step {
	st := Step{Keys: make([]uint8, len(places)), Tones: make([]tone.Name, len(places))}
	names := s.Tones()
	home := 0
	for i, place := range places {
		st.Keys[i] = uint8(s.key(place + n))
		st.Tones[i] = names[(place+n)%familySteps]
		st.Set |= 1 << s.class(place+n)
		if (place+n)%2 == 0 {
			home++
		}
	}
	st.Bass = s.class(places[0] + n)
	switch home {
	case len(places):
		st.Half = HomeHalf
	case 0:
		st.Half = DimHalf
	default:
		st.Half = MixedHalves
	}
	return st
}

// A place counts the tones of the scale on the keyboard upwards: place 8 is
// the lowest root on the keys, the tones below it have the places before.

func (s Scale) place(key uint8) (int, error) {
	if key > tone.MaxKey {
		return 0, fmt.Errorf("key %d: expected 0 to %d", key, tone.MaxKey)
	}
	class := tone.ClassOf(int(key))
	index, ok := s.Index(class)
	if !ok {
		pitch, _ := s.chromatic(class).At(key)
		return 0, fmt.Errorf("%s is not in %s: expected notes from %s", pitch, s, s.list())
	}
	octave := (int(key) + 12 - int(s.Root.Class())) / 12
	return octave*familySteps + index, nil
}

func (s Scale) key(place int) int {
	return (place/familySteps-1)*12 + int(s.Root.Class()) + scaleTable[s.Kind].semitones[place%familySteps]
}

func (s Scale) class(place int) tone.Class {
	return tone.ClassOf(int(s.Root.Class()) + scaleTable[s.Kind].semitones[place%familySteps])
}

func (s Scale) pitch(place int) tone.Pitch {
	p, _ := s.Tones()[place%familySteps].At(uint8(s.key(place)))
	return p
}

// list prints the eight tones, for messages.
func (s Scale) list() string {
	text := ""
	for i, n := range s.Tones() {
		if i > 0 {
			text += " "
		}
		text += n.String()
	}
	return text
}

// Spell returns the step's tones as they are written when the step is called
// by a chord's name: E G# B D for E7 in C, where the scale alone has Ab. All of
// it is common practice.
//
// The tones that a chord is built of keep the letter that the chord gives them,
// F# A C# E# for F#m(maj7) in A, unless that takes a double accidental. A
// tension or an altered fifth on Cb, Fb, E# or B# is not worth it where the
// scale has the plain note, and the bass is written as in the name. A diminished
// chord, with whatever seventh, stays as the scale has it, because it is the dim
// half that is heard: Fdim(maj7) is F Ab B E in C, and F G# B E in A.
func (st Step) Spell(named Chord) []tone.Name {
	out := slices.Clone(st.Tones)
	if named.Formula.diminished() {
		return out
	}
	for i, n := range out {
		if n.Class() == named.Bass.Class() {
			out[i] = named.Bass
			continue
		}
		chordal, ok := named.Spell(n.Class())
		d, _ := named.Formula.at(int(tone.ClassOf(int(n.Class()) - int(named.Root.Class()))))
		built := named.Formula.built().Has(d) && chordal.Plain() == chordal
		if ok && (built || chordal.Easy() == chordal) {
			out[i] = chordal
		}
	}
	return out
}
