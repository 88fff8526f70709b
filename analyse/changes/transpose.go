package changes

import (
	"strings"

	"shedlight/analyse/harmony"
	"shedlight/analyse/tone"
)

// maxSignature is the most accidentals a key signature has.
const maxSignature = 7

// Transpose returns the chart moved so that its key is on the tonic to; major,
// minor or blues stays. A tonic no key signature writes (G# major) is spelled
// as its enharmonic (Ab). Roots and basses are spelled for the new key: double
// accidentals, Cb, Fb, E# and B# stand only where the key has them (common
// practice). A chart without a key is moved from the centre that holds longest.
func (c *Chart) Transpose(to tone.Name) *Chart {
	from := c.InKey()
	out := c.clone()
	out.Key, out.HasKey = spelled(Centre{Tonic: to, Mode: from.Mode}), true
	m := mover{
		key:       out.Key,
		letters:   int(out.Key.Tonic.Letter) - int(from.Tonic.Letter),
		semitones: int(out.Key.Tonic.Class()) - int(from.Tonic.Class()),
	}
	if out.Key == from {
		return out
	}
	for i := range out.Sections {
		for _, bar := range out.Sections[i].Bars {
			for j := range bar.Stays {
				m.stay(&bar.Stays[j])
			}
		}
	}
	return out
}

// Up returns the chart moved up by some semitones, 0 to 11, in the key that Up names;
// by 0 it is the chart itself.
func (c *Chart) Up(semitones int) *Chart {
	if semitones == 0 {
		return c
	}
	return c.Transpose(Up(c.InKey(), semitones).Tonic)
}

// Up returns a centre moved up by some semitones, 0 to 11, on the tonic whose signature has
// the fewest accidentals (common practice); of two with as many on that which
// tone.Class.Name writes.
func Up(c Centre, semitones int) Centre {
	to := tone.ClassOf(int(c.Tonic.Class()) + semitones)
	best := Centre{Tonic: to.Name(), Mode: c.Mode}
	for _, name := range [...]tone.Name{to.Flat(), to.Sharp()} {
		if other := (Centre{Tonic: name, Mode: c.Mode}); abs(signature(other)) < abs(signature(best)) {
			best = other
		}
	}
	return best
}

// InKey returns the key that the chart is in: the one that it names, else the centre that
// holds longest.
func (c *Chart) InKey() Centre {
	if c.HasKey {
		return c.Key
	}
	return c.home()
}

// home returns the centre that holds longest over the chart, the first of
// several.
func (c *Chart) home() Centre {
	t, err := c.Unroll()
	if err != nil {
		return Centre{}
	}
	held := map[Centre]int64{}
	var home Centre
	for _, s := range t.Centres {
		held[s.Centre] += s.End - s.Start
	}
	for _, s := range t.Centres {
		if held[s.Centre] > held[home] {
			home = s.Centre
		}
	}
	return home
}

// mover moves chords by one interval into one key.
type mover struct {
	key                Centre
	letters, semitones int
}

func (m mover) stay(s *Stay) {
	if s.Forced {
		s.Centre = spelled(Centre{Tonic: s.Centre.Tonic.Transpose(m.letters, m.semitones), Mode: s.Centre.Mode})
	}
	if s.Chord.None() {
		return
	}
	s.Chord.Root, s.Chord.Bass = m.name(s.Chord.Root), m.name(s.Chord.Bass)
	s.Symbol = movedSymbol(s.Symbol, s.Chord)
}

// name moves one name and spells it for the key.
func (m mover) name(n tone.Name) tone.Name {
	moved := n.Transpose(m.letters, m.semitones)
	if inKey(m.key, moved) {
		return moved
	}
	return moved.Easy()
}

// movedSymbol writes a moved chord the way the player wrote it, with the new
// root and bass; where that is not understood, in the usual form.
func movedSymbol(old string, chord harmony.Chord) string {
	_, rest, _ := tone.CutName(old)
	if i := strings.LastIndexByte(rest, '/'); i >= 0 {
		if _, err := tone.ParseName(rest[i+1:]); err == nil {
			rest = rest[:i+1] + chord.Bass.String()
		}
	}
	text := chord.Root.String() + rest
	if s, err := harmony.ParseSymbol(text); err == nil && len(s.Alternate) == 0 {
		if s, _ = s.InChart(); s.Chord == chord {
			return text
		}
	}
	return chord.ChartSymbol()
}

// fifths returns a name's place on the line of fifths: C is 0, G 1, F -1.
func fifths(n tone.Name) int {
	return [7]int{0, 2, 4, -1, 1, 3, 5}[n.Letter] + 7*int(n.Alter)
}

// minorShift is how many places on the line of fifths a minor key's signature
// lies below that of the major key on its tonic.
const minorShift = 3

// signature returns a centre's key signature: sharps, or flats if negative.
// A blues is written as major.
func signature(c Centre) int {
	if c.Mode == Minor {
		return fifths(c.Tonic) - minorShift
	}
	return fifths(c.Tonic)
}

// spelled returns a centre on a tonic that a key signature writes, the same
// one if it is.
func spelled(c Centre) Centre {
	best := c
	for _, letters := range [...]int{1, 6} {
		n, ok := tone.NameOn(tone.Letter((int(c.Tonic.Letter)+letters)%7), c.Tonic.Class())
		other := Centre{Tonic: n, Mode: c.Mode}
		if ok && abs(signature(best)) > maxSignature && abs(signature(other)) < abs(signature(best)) {
			best = other
		}
	}
	return best
}

// inKey reports whether a key has a name: the seven tones of its signature,
// and in minor the leading tone.
func inKey(c Centre, n tone.Name) bool {
	const below, above = 1, 5 // the signature's tones around a major tonic
	at := fifths(n)
	if c.Mode == Minor && at == fifths(c.Tonic)+above {
		return true
	}
	return at >= signature(c)-below && at <= signature(c)+above
}

func abs(n int) int { return max(n, -n) }

// withSignature returns the centre of a mode that has a key signature.
func withSignature(c Centre, sharps int) Centre {
	for letter := tone.Letter(0); letter < 7; letter++ {
		for alter := int8(-1); alter <= 1; alter++ {
			c.Tonic = tone.Name{Letter: letter, Alter: alter}
			if signature(c) == sharps {
				return c
			}
		}
	}
	return Centre{Mode: c.Mode}
}
