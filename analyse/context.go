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
	set, home tone.Set      // of the scale
	blue      tone.Set      // the blue notes that this chord allows
	heard     []heardScale  // in the chord view: what the chord can be heard in; else none
	changes   harmony.Chord // what is written, to see where it changes
	kind      string        // of the chord
	from, to  int64         // song ticks of its stay: slots in a row with one chord are one
	tally     int           // index of the centre in the running counts
}

func newContext(symbol string, chord harmony.Chord, centre changes.Centre, scale harmony.Scale) context {
	c := context{
		chord: symbol, centre: centre.String(), scale: scale,
		scaleName: scale.String(), name: scale.Spelling(chord), chordTone: chord.Set(),
		changes: chord, kind: chord.Kind(), set: scale.Set(), home: scale.Home(), blue: blueNotes(centre, chord),
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
		c := newContext(slot.Symbol, slot.Chord, slot.Centre, scale)
		c.tally = seen[name]
		if s.View == ChordView {
			c.heard = heardScales(scale, slot.Admitted)
		}
		c.from, c.to = slot.Start, slot.End
		contexts = append(contexts, c)
	}
	joinStays(contexts, s.Timeline.Slots)
	return contexts, centres
}

// joinStays makes one stay of the slots in a row that have the same chord and
// scale, as a chord written over several bars is one chord.
func joinStays(contexts []context, slots []changes.Slot) {
	same := func(i, j int) bool { return slots[i].Chord == slots[j].Chord && slots[i].Own == slots[j].Own }
	for i := 1; i < len(contexts); i++ {
		if same(i-1, i) {
			contexts[i].from = contexts[i-1].from
		}
	}
	for i := len(contexts) - 2; i >= 0; i-- {
		if same(i, i+1) {
			contexts[i].to = contexts[i+1].to
		}
	}
}

// lone is the context of playing without a chart: the centre's home chord
// stands for the chord that sounds.
func lone(centre *changes.Centre) context {
	if centre == nil {
		c := newContext("", harmony.Chord{}, changes.Centre{}, harmony.Scale{})
		c.centre = ""
		return c
	}
	scale := centre.Scale()
	chord := scale.HomeChord()
	return newContext(chord.Symbol(), chord, *centre, scale)
}

// blueNotes are the flat third, flat fifth and flat seventh of the tonic, over
// tonic and subdominant harmony, and over every chord of a blues (common
// practice).
func blueNotes(centre changes.Centre, chord harmony.Chord) tone.Set {
	const flatThird, flatFifth, flatSeventh, fourth = 3, 6, 10, 5 // semitones
	tonic := centre.Tonic.Class()
	root := chord.Root.Class()
	if centre.Mode != changes.Blues && root != tonic && root != tone.ClassOf(int(tonic)+fourth) {
		return 0
	}
	return tone.SetOf(flatThird, flatFifth, flatSeventh).Transpose(int(tonic))
}

func centreNames(centre *changes.Centre) []string {
	if centre == nil {
		return nil
	}
	return []string{centre.String()}
}
