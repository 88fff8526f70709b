package analyse

import (
	"shedlight/analyse/changes"
	"shedlight/analyse/harmony"
	"shedlight/analyse/tone"
)

// context is everything the analyser says about a pitch class over one chord,
// worked out before the first note so that judging is a look-up.
type context struct {
	chord  string // as written
	centre string
	scale  harmony.Scale
	roots  harmony.RootSpelling // how chords that are held are spelled

	scaleName string
	place     [12]Place
	degree    [12]string
	name      [12]string
	chordTone tone.Set
	tally     int // index of the centre in the running counts
}

func newContext(symbol string, chord harmony.Chord, centre string, scale harmony.Scale) context {
	c := context{
		chord: symbol, centre: centre, scale: scale,
		scaleName: scale.String(), name: scale.Spelling(chord), chordTone: chord.Set(),
	}
	if scale.None() {
		c.roots = harmony.UsualRoots()
		return c
	}
	c.roots = harmony.RootsIn(scale)
	for class := tone.Class(0); class < 12; class++ {
		i, ok := scale.Index(class)
		switch {
		case !ok:
			c.place[class] = Outside
		case i%2 == 0:
			c.place[class], c.degree[class] = Home, scale.Label(i)
		default:
			c.place[class], c.degree[class] = Dim, scale.Label(i)
		}
	}
	return c
}

// contextsOf lists the contexts of a setup and the names of its centres, in
// the order in which they first come.
func contextsOf(s *Setup) (contexts []context, centres []string) {
	if s.Timeline == nil {
		return []context{lone(s.Centre)}, centreNames(s.Centre)
	}
	seen := map[string]int{}
	for i := range s.Timeline.Slots {
		slot := &s.Timeline.Slots[i]
		name := slot.Centre.String()
		if _, ok := seen[name]; !ok {
			seen[name] = len(centres)
			centres = append(centres, name)
		}
		scale := slot.Key
		if s.View == ChordView {
			scale = slot.Own
		}
		if slot.Chord.None() {
			scale = harmony.Scale{}
		}
		c := newContext(slot.Symbol, slot.Chord, name, scale)
		c.tally = seen[name]
		contexts = append(contexts, c)
	}
	return contexts, centres
}

// lone is the context of playing without a chart: the centre's home chord
// stands for the chord that sounds.
func lone(centre *changes.Centre) context {
	if centre == nil {
		return newContext("", harmony.Chord{}, "", harmony.Scale{})
	}
	scale := centre.Scale()
	chord := scale.HomeChord()
	return newContext(chord.Symbol(), chord, centre.String(), scale)
}

func centreNames(centre *changes.Centre) []string {
	if centre == nil {
		return nil
	}
	return []string{centre.String()}
}
