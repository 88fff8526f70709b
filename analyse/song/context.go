package song

import (
	"shedlight/analyse/changes"
	"shedlight/analyse/harmony"
	"shedlight/analyse/tone"
)

// MaxReadings is how many scales one chord can be heard in: the default and what
// it admits. Diminished sevenths have the most.
const MaxReadings = 16

// Context is everything that is said about a pitch class over one chord, worked
// out before the first note so that judging is a look-up. It is never changed.
type Context struct {
	Symbol string // of the chord, as written
	Chord  harmony.Chord
	Kind   string // of the chord
	Centre string
	Scale  harmony.Scale
	Roots  harmony.RootSpelling // how chords that are held are spelled

	Place     [12]Place
	Degree    [12]string       // of the scale; empty outside and without one
	Name      harmony.Spelling // without octave, where the line falls or begins
	Rising    harmony.Spelling // and where it rises; they differ in what is outside
	ChordTone tone.Set
	Set, Home tone.Set  // of the scale
	Either    tone.Set  // of the scales of both views
	Settled   tone.Set  // the home tones of the scales of both views, and the tones of the chord: where a push may land
	Colours   tone.Set  // what may stand over the chord outside the scale
	Blue      tone.Set  // the blue notes that this chord allows
	Against   tone.Set  // what fights the chord where it is held on the beat
	Seven     tone.Set  // the chord's own seven tones, which runs go through; empty where it has none
	Hanging   tone.Set  // what stays open where it is held or ends a phrase
	Readings  []Reading // what the chord can be heard in, its own scale first; none where that is certain
	From, To  int64     // song ticks of its stay: slots in a row with one chord are one
	CentreRow int       // of the centre, in the order in which they first come
	Row       int       // of the context, in the order in which they were made: those of the view that the session began in come first
	View      View      // whose scale it is
	Assumed   bool      // nobody wrote the chord: the centre's home chord stands for it
	Key       string    // that the chorus is played in, where that changes: "F"
	Moved     int       // how far it is up from the chart as written, in semitones, 0 to 11

	written *Context // that of the same slot in the chart as written; nil where that is this one
}

// Reading is a scale that a chord can be heard in.
type Reading struct {
	Set   tone.Set
	Scale harmony.Scale
}

// newContext returns the context of a chord under a scale; other is the scale of the
// other view, and resolves says that the chord goes where dominants go.
func newContext(symbol string, chord harmony.Chord, centre changes.Centre, scale, other harmony.Scale, resolves bool) Context {
	c := Context{
		Symbol: symbol, Centre: centre.String(), Scale: scale,
		Name: scale.Spelling(chord, false), Rising: scale.Spelling(chord, true), ChordTone: chord.Set(),
		Chord: chord, Kind: chord.Kind(), Set: scale.Set(), Home: scale.Home(), Blue: blueNotes(centre, chord),
		Settled: scale.Home() | other.Home() | chord.Set(),
		Against: chord.Against(), Hanging: chord.Hanging(), Seven: chord.SevenTones(sevenOf(centre)),
	}
	if c.Either = scale.Set() | other.Set(); c.Either != 0 {
		c.Either |= centre.Scale().Set() // also where the key view has the chord's own
	}
	c.Colours = (chord.Colours(resolves) | c.Either) &^ c.Set
	if scale.None() {
		c.Roots = harmony.UsualRoots().Over(chord)
		return c
	}
	c.Roots = harmony.RootsIn(scale).Over(chord)
	for class := tone.Class(0); class < 12; class++ {
		i, ok := scale.Index(class)
		switch {
		case !ok:
			c.Place[class] = Outside
		case i%2 == 0:
			c.Place[class], c.Degree[class] = Home, scale.Label(i)
		default:
			c.Place[class], c.Degree[class] = Dim, scale.Label(i)
		}
	}
	return c
}

// contextsOf lists the contexts of a timeline, one for each of its slots, whose rows
// begin at one, and the names of its centres, in the order in which they first come.
func contextsOf(t *changes.Timeline, view View, row int) (contexts []Context, centres []string) {
	seen := map[string]int{}
	for i := range t.Slots {
		slot := &t.Slots[i]
		name := slot.Centre.String()
		if _, ok := seen[name]; !ok {
			seen[name] = len(centres)
			centres = append(centres, name)
		}
		scale, other := slot.Key, slot.Own
		if view == ChordView {
			scale, other = other, scale
		}
		if slot.Chord.None() {
			scale, other = harmony.Scale{}, harmony.Scale{}
		}
		c := newContext(slot.Symbol, slot.Chord, slot.Centre, scale, other, slot.Resolves)
		c.CentreRow, c.Row, c.View = seen[name], row+i, view
		if !slot.Chord.None() {
			c.Readings = readings(slot.Own, slot.Admitted)
		}
		c.From, c.To = slot.Start, slot.End
		contexts = append(contexts, c)
	}
	uniteStays(contexts, t.Slots)
	return contexts, centres
}

// uniteStays makes one stay of the slots in a row that have the same chord and
// scale, as a chord written over several bars is one chord.
func uniteStays(contexts []Context, slots []changes.Slot) {
	same := func(i, j int) bool { return slots[i].Chord == slots[j].Chord && slots[i].Own == slots[j].Own }
	for i := 1; i < len(contexts); i++ {
		if same(i-1, i) {
			contexts[i].From = contexts[i-1].From
		}
	}
	for i := len(contexts) - 2; i >= 0; i-- {
		if same(i, i+1) {
			contexts[i].To = contexts[i+1].To
		}
	}
}

// readings lists the scales of a chord, the default first.
func readings(own harmony.Scale, admitted []harmony.Scale) []Reading {
	if own.None() || len(admitted) == 0 {
		return nil
	}
	out := []Reading{{Set: own.Set(), Scale: own}}
	for _, s := range admitted[:min(len(admitted), MaxReadings-1)] {
		out = append(out, Reading{Set: s.Set(), Scale: s})
	}
	return out
}

// freeContext is the context of playing without a chart: the centre's home chord
// stands for the chord that sounds, but nobody wrote it and it spells no note.
// Without a centre nothing has a place.
func freeContext(centre *changes.Centre) Context {
	if centre == nil {
		c := newContext("", harmony.Chord{}, changes.Centre{}, harmony.Scale{}, harmony.Scale{}, false)
		c.Centre = ""
		return c
	}
	scale := centre.Scale()
	chord := scale.HomeChord()
	c := newContext(chord.Symbol(), chord, *centre, scale, scale, false)
	c.Name, c.Rising = scale.Spelling(harmony.Chord{}, false), scale.Spelling(harmony.Chord{}, true)
	c.Assumed, c.Seven = true, 0
	return c
}

// sevenOf are the tones of a centre's key signature; a blues has none (common
// practice).
func sevenOf(centre changes.Centre) tone.Set {
	switch centre.Mode {
	case changes.Major:
		return tone.SetOf(0, 2, 4, 5, 7, 9, 11).Transpose(int(centre.Tonic.Class()))
	case changes.Minor:
		return tone.SetOf(0, 2, 3, 5, 7, 8, 10).Transpose(int(centre.Tonic.Class()))
	}
	return 0
}

// blueNotes are the flat third and the flat seventh of the tonic, over tonic and
// subdominant harmony, and over every chord of a blues (common practice). The flat
// fifth passes; it does not stand.
func blueNotes(centre changes.Centre, chord harmony.Chord) tone.Set {
	const flatThird, flatSeventh, fourth = 3, 10, 5 // semitones
	tonic := centre.Tonic.Class()
	root := chord.Root.Class()
	if centre.Mode != changes.Blues && root != tonic && root != tone.ClassOf(int(tonic)+fourth) {
		return 0
	}
	return tone.SetOf(flatThird, flatSeventh).Transpose(int(tonic))
}

// BeatHalf is the half to be on the beat with: that with more tones of the chord.
// Where the halves tie it is neither.
func (c *Context) BeatHalf() Place {
	switch home, dim := (c.ChordTone & c.Home).Len(), (c.ChordTone & c.Set &^ c.Home).Len(); {
	case home > dim:
		return Home
	case dim > home:
		return Dim
	}
	return NoPlace
}
