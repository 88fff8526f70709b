package material

import (
	"fmt"
	"strings"

	"shedlight/analyse/changes"
	"shedlight/analyse/harmony"
	"shedlight/analyse/tone"
)

// role is what a chord is in its key.
type role uint8

const (
	asTonic  role = iota // I, or i with a sixth
	asSecond             // ii: a minor seventh or a half-diminished chord
	asFifth              // V: a dominant, a suspended, an augmented or a diminished chord
)

// setting is the key that a chord stands in and what it is there.
type setting struct {
	chord harmony.Chord
	role  role
	key   changes.Centre
}

// settingOf hears a chord where it is played most (common practice): a major chord and
// a minor sixth are at home, a minor seventh is the ii and a half-diminished chord the
// ii of minor, a dominant is the V: of minor where it has an altered fifth or ninth.
func settingOf(c harmony.Chord) setting {
	in := func(r role, letters, semitones int, minor bool) setting {
		s := setting{chord: c, role: r, key: changes.Centre{Tonic: c.Root.Transpose(letters, semitones).Easy()}}
		if minor {
			s.key.Mode = changes.Minor
		}
		return s
	}
	altered := c.Formula & harmony.FormulaOf(harmony.FlatNine, harmony.SharpNine, harmony.SharpFive, harmony.FlatThirteen)
	switch c.Kind() {
	case harmony.KindMinor:
		return in(asSecond, -1, -2, false)
	case harmony.KindHalfDiminished:
		return in(asSecond, -1, -2, true)
	case harmony.KindDominant, harmony.KindSuspended, harmony.KindAugmented:
		return in(asFifth, 3, 5, altered != 0)
	case harmony.KindDiminished:
		return in(asFifth, 1, 1, true)
	case harmony.KindMinorSixth:
		return in(asTonic, 0, 0, true)
	}
	return in(asTonic, 0, 0, false)
}

// KeyOf returns the key that a chord is played in most.
func KeyOf(c harmony.Chord) changes.Centre { return settingOf(c).key }

// chordOn returns a chord of the key by its degree's place: letters and semitones over
// the tonic.
func (s *setting) chordOn(letters, semitones int, suffix string) harmony.Chord {
	read, err := harmony.ParseSymbol(s.key.Tonic.Transpose(letters, semitones).Plain().String() + suffix)
	if err != nil {
		panic(err) // the suffixes are below
	}
	return read.Chord
}

func (s *setting) minor() bool { return s.key.Mode == changes.Minor }

// cadence returns ii, V and I of the key, with the chord in its own role.
func (s *setting) cadence() (ii, v, i harmony.Chord) {
	ii, v, i = s.chordOn(1, 2, "m7"), s.chordOn(4, 7, "7"), s.chordOn(0, 0, "6")
	if s.minor() {
		ii, v, i = s.chordOn(1, 2, "m7b5"), s.chordOn(4, 7, "7b9"), s.chordOn(0, 0, "m6")
	}
	switch s.role {
	case asTonic:
		i = s.chord
	case asSecond:
		ii = s.chord
	case asFifth:
		v = s.chord
	}
	return ii, v, i
}

// others returns the other chords of the key that lines are tried over: iii, IV and vi,
// in minor III, iv and VI.
func (s *setting) others() []harmony.Chord {
	if s.minor() {
		return []harmony.Chord{s.chordOn(2, 3, "maj7"), s.chordOn(3, 5, "m6"), s.chordOn(5, 8, "maj7")}
	}
	return []harmony.Chord{s.chordOn(2, 4, "m7"), s.chordOn(3, 5, "maj7"), s.chordOn(5, 9, "m7")}
}

// bars returns what a line of so many bars stands over, a text for each bar: the chord
// alone up to level 3, a V with its I behind it, from level 4 on a two-five-one.
func (s *setting) bars(n, level int) []string {
	ii, v, i := s.cadence()
	out := make([]string, n)
	fill := func(from, to int, c harmony.Chord) {
		for b := from; b < to; b++ {
			out[b] = c.ChartSymbol()
		}
	}
	switch {
	case level < cadenceLevel && s.role == asFifth && n == 1:
		out[0] = v.ChartSymbol() + " " + i.ChartSymbol()
	case level < cadenceLevel && s.role == asFifth:
		fill(0, n-1, v)
		fill(n-1, n, i)
	case level < cadenceLevel:
		fill(0, n, s.chord)
	case n == 2:
		out[0] = ii.ChartSymbol() + " " + v.ChartSymbol()
		fill(1, n, i)
	default:
		each := 1
		if n > 4 {
			each = 2
		}
		fill(0, each, ii)
		fill(each, 2*each, v)
		fill(2*each, n, i)
	}
	return out
}

// cadenceLevel is the level from which on lines go over a two-five-one.
const cadenceLevel = 4

// over returns the changes of some bars in the setting's key.
func (s *setting) over(bars []string) *changes.Timeline {
	text := fmt.Sprintf("key: %s\n{%s} | %s |", s.key, s.key, strings.Join(bars, " | "))
	chart, err := changes.Parse(strings.NewReader(text))
	if err != nil {
		panic(fmt.Sprintf("material: %v in %q", err, text)) // what ChartSymbol writes a chart reads
	}
	t, err := chart.Unroll()
	if err != nil {
		panic(err)
	}
	return &t
}

// setScale puts a scale in place of a chord's own.
func (s *setting) setScale(t *changes.Timeline, scale harmony.Scale) {
	if scale.None() {
		return
	}
	for i := range t.Slots {
		if t.Slots[i].Chord.Set() == s.chord.Set() {
			t.Slots[i].Own = scale
		}
	}
}

// spot is what a degree is called in a sentence.
func spot(degree string) string {
	switch degree {
	case "1":
		return "the root"
	case "3", "b3", "maj3":
		return "the 3rd"
	}
	return "the " + degree + "th"
}

// named returns the name of a class over a chord of a scale.
func named(s harmony.Scale, class tone.Class) string {
	return s.Spell(class, harmony.Chord{}, false).String()
}
