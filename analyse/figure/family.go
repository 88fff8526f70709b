package figure

import (
	"fmt"
	"slices"

	"shedlight/analyse/harmony"
	"shedlight/analyse/song"
	"shedlight/analyse/tone"
)

const (
	scaleTones = 8 // of every sixth-diminished scale
	// voicingLeast and voicingMost bound the tones of a voicing whose family is
	// looked for: fewer than three make no arpeggio.
	voicingLeast, voicingMost = 3, scaleTones
)

// The voicings that players move through a scale first (common practice), as
// places of the scale: its home chord, and the chord with the major seventh in
// place of the sixth.
var (
	homeVoicing    = []int{0, 2, 4, 6}
	seventhVoicing = []int{0, 2, 4, 7}
)

// voicingsOf returns the voicings whose families are looked for in a scale:
// the player's own, or the home chord and, where that is a sixth chord, its
// major seventh.
func voicingsOf(own []int, scale harmony.Scale) [][]int {
	switch {
	case own != nil:
		return [][]int{own}
	case scale.Kind == harmony.MajorSixth || scale.Kind == harmony.MinorSixth:
		return [][]int{homeVoicing, seventhVoicing}
	}
	return [][]int{homeVoicing}
}

// CheckVoicing says what is wrong with the places of a voicing.
func CheckVoicing(places []int) error {
	if places == nil {
		return nil
	}
	if n := len(places); n < voicingLeast || n > voicingMost {
		return fmt.Errorf("a voicing of %d tones: expected %d to %d", n, voicingLeast, voicingMost)
	}
	seen := 0
	for i, p := range places {
		switch {
		case p < 0 || p >= scaleTones:
			return fmt.Errorf("tone %d of the voicing is on place %d of the scale: expected 0 to %d", i+1, p, scaleTones-1)
		case seen>>p&1 == 1:
			return fmt.Errorf("tone %d of the voicing, on place %d of the scale, stands in it already", i+1, p)
		}
		seen |= 1 << p
	}
	return nil
}

// chordSet is a set of the chords of a familyTable: bit i is chord i. There are
// ten at the most. writtenChord stands for the chord that is written, withNinth and
// withFlatNinth for that with a ninth that it is not written with.
type chordSet uint16

const (
	writtenChord chordSet = 1 << (15 - iota)
	withNinth
	withFlatNinth

	overWritten = writtenChord | withNinth | withFlatNinth
)

// familyTable is the chords that figures over one scale are matched to: those
// of one family or two. It is made before the first note of its scale and only
// its counts change.
type familyTable struct {
	centre  string
	scale   harmony.Scale
	chords  []familyChord
	steps   chordSteps
	written *familyTable // in another key than the chart's as written, the table there, by whose rows it is counted; else nil
}

// familyChord is one chord of a family.
type familyChord struct {
	set    tone.Set
	family string // the first chord of its family
	step   int    // from 1
	name   string
	row    int // in a tally
}

// newFamilyTable lists the chords of a scale's families. A family that closes
// early is listed as far as its first return: in a line an arpeggio has no bass,
// so that C6 and C6/E are one chord.
func newFamilyTable(centre string, scale harmony.Scale, voicing []int) *familyTable {
	t := &familyTable{centre: centre, scale: scale}
	if scale.None() {
		return t
	}
	roots := harmony.RootsIn(scale)
	for _, places := range voicingsOf(voicing, scale) {
		var family string
		for step := range scaleTones {
			set, bass := chordAt(scale, places, step)
			if step > 0 && set == t.chords[len(t.chords)-step].set {
				break
			}
			name := ChordName(set, bass, roots)
			if step == 0 {
				family = name
			}
			t.chords = append(t.chords, familyChord{set: set, family: family, step: step + 1, name: name})
		}
	}
	for i := range t.chords {
		t.steps.add(orderOf(t.chords[i].set), 1<<i)
	}
	return t
}

// chordAt returns the tones of a voicing moved up a scale, and its bass.
func chordAt(scale harmony.Scale, places []int, step int) (set tone.Set, bass tone.Class) {
	tones := scale.Tones()
	for _, p := range places {
		set |= 1 << tones[(p+step)%scaleTones].Class()
	}
	return set, tones[(places[0]+step)%scaleTones].Class()
}

// ChordName is the chord's symbol, or its notes where no musician has a name
// for it.
func ChordName(set tone.Set, bass tone.Class, roots harmony.RootSpelling) string {
	if chord, ok := harmony.NameChordIn(set, bass, roots); ok {
		return chord.Symbol()
	}
	return harmony.NoteNames(set, bass, roots)
}

// count counts one playing of each chord of a set.
func (t *familyTable) count(in *tally, played chordSet) {
	for i := range t.chords {
		if played>>i&1 == 1 {
			in.play(t.chords[i].row, 1)
		}
	}
}

// match returns the chord with exactly these tones. ok is false where the
// families have none.
func (t *familyTable) match(set tone.Set) (chord *familyChord, ok bool) {
	for i := range t.chords {
		if t.chords[i].set == set {
			return &t.chords[i], true
		}
	}
	return nil, false
}

// families holds the tables of a session: one for each scale of each centre,
// in the order in which the chart has them.
type families struct {
	voicing []int
	tables  []*familyTable
	chords  int          // in them all
	slots   []slotChords // of each context, by its row
}

// slotChords is what figures over one chord of the chart are matched to.
type slotChords struct {
	table *familyTable
	steps *chordSteps // of the table and of the written chord
	chord harmony.Chord
	runs  [sorts]tone.Set // what runs go through
	fours []four          // the chords of four tones that a broken arpeggio is of
}

// four is a chord of four tones.
type four struct {
	set    tone.Set
	chords chordSet
}

// newFamilies makes the tables of all contexts.
func newFamilies(voicing []int, contexts []song.Context) families {
	f := families{voicing: voicing}
	for i := range contexts {
		f.Extend(&contexts[i])
	}
	return f
}

// Extend gives the next context its table.
func (f *families) Extend(c *song.Context) {
	slot := slotChords{table: f.tableOf(c), chord: c.Chord, runs: [sorts]tone.Set{wholeScale: c.Set, ownSeven: c.Seven}}
	same := func(s slotChords) bool { return s.table == slot.table && s.chord == slot.chord }
	if before := slices.IndexFunc(f.slots, same); before >= 0 {
		slot.steps, slot.fours = f.slots[before].steps, f.slots[before].fours
	} else {
		steps := slot.table.steps
		steps.add(writtenOrder(slot.chord), writtenChord)
		for _, ninth := range ninthsOver(c) {
			steps.add(writtenOrder(ninth.chord), ninth.is)
		}
		slot.steps, slot.fours = &steps, foursOver(slot.table, c)
	}
	if c.Scale.Kind == harmony.MajorSixth || c.Scale.Kind == harmony.MinorSixth {
		slot.runs[withoutSix] = c.Set &^ tone.SetOf(c.Scale.Tones()[flatSix].Class())
	}
	f.slots = append(f.slots, slot)
}

// tableOf returns the table of a context. In another key than the chart's as written the
// chords have other names, and are counted as those there.
func (f *families) tableOf(c *song.Context) *familyTable {
	var written *familyTable
	if c.Moved != 0 {
		written = f.slots[c.Written().Row].table
	}
	same := func(t *familyTable) bool { return t.centre == c.Centre && t.scale == c.Scale && t.written == written }
	if i := slices.IndexFunc(f.tables, same); i >= 0 {
		return f.tables[i]
	}
	t := newFamilyTable(c.Centre, c.Scale, f.voicing)
	t.written = written
	for i := range t.chords {
		if written != nil {
			t.chords[i].row = written.chords[i].row
			continue
		}
		t.chords[i].row = f.chords
		f.chords++
	}
	f.tables = append(f.tables, t)
	return t
}

// flatSix is the place of the flat six in every scale.
const flatSix = 5

// foursOver lists the chords of four tones that a broken arpeggio over a chord can be
// of: the family's, the written one's first four, and those from its third to its
// ninth.
func foursOver(t *familyTable, c *song.Context) (out []four) {
	add := func(set tone.Set, chords chordSet) {
		if set.Len() != brokenNotes {
			return
		}
		for i := range out {
			if out[i].set == set {
				out[i].chords |= chords
				return
			}
		}
		out = append(out, four{set: set, chords: chords})
	}
	for i := range t.chords {
		add(t.chords[i].set, 1<<i)
	}
	plain, ninth := c.Chord, c.Chord
	plain.Formula &^= ninths
	ninth.Bass = ninth.Root
	add(writtenTones(plain), writtenChord)
	add(ninth.Set()&^tone.SetOf(c.Chord.Root.Class()), writtenChord)
	for _, n := range ninthsOver(c) {
		add(writtenTones(n.chord)&^tone.SetOf(c.Chord.Root.Class()), n.is)
	}
	return out
}

// Uses lists how often each chord was played: every chord, in the order of the
// chart, then of the family.
func (f *Finder) Uses() []FamilyUse {
	out, all := []FamilyUse{}, f.Total()
	for _, t := range f.tables {
		if t.written != nil {
			continue
		}
		for _, c := range t.chords {
			out = append(out, FamilyUse{
				Centre: t.centre, Scale: t.scale, Family: c.family, Step: c.step, Name: c.name, Times: all.played(c.row),
			})
		}
	}
	return out
}

// FamilyUse says how often one chord of a family was played, struck or as an
// arpeggio; an arpeggio that fits several is counted for each. There is a row for
// every chord, touched or not, of a family that closes early as far as its first
// return.
type FamilyUse struct {
	Centre string        `json:"centre"`
	Scale  harmony.Scale `json:"scale"`
	Family string        `json:"family"`
	Step   int           `json:"step"`
	Name   string        `json:"name"`
	Times  int64         `json:"times"`
}
