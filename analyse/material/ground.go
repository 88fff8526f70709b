package material

import (
	"slices"

	"shedlight/analyse/changes"
	"shedlight/analyse/harmony"
	"shedlight/analyse/timebase"
	"shedlight/analyse/tone"
)

// ground is what a line stands on: the changes, eighth by eighth, over as many
// choruses as are wanted.
type ground struct {
	line    *changes.Timeline // of all choruses
	places  []place           // one for each eighth, and one behind the last
	stays   []stay
	level   int
	compass Range
	leap    int
	pages   [][]option // for each figure that is under way in fill, to be used again
}

// place is one eighth of the form.
type place struct {
	stay int
	bar  int  // from 0
	beat bool // a beat begins here
	down bool // and a bar
}

// stay is the time on one chord.
type stay struct {
	from, to int // eighths
	slot     *changes.Slot
	chord    harmony.Chord
	silent   bool // N.C.
	enters   bool // another centre begins with it

	tones   tone.Set // of the chord
	guides  tone.Set // its third and seventh, or what stands for them
	allowed tone.Set // what a line may hold on to on the way: the chord's, its scales', and at the highest level a substitute's
	against tone.Set // what fights it
	hanging tone.Set // what stays open over it
	lands   tone.Set // where a phrase may end
	rests   tone.Set // where it may be ahead of the change: tones of the chord, home tones of its scales

	ladders []ladder   // the scales that a line may walk in, the chord's own first
	arps    []arpeggio // and the chords that it may break
}

// newGround lays out a timeline whose bars hold whole eighths.
func newGround(t *changes.Timeline, r Request) *ground {
	g := &ground{line: t, level: r.Level, compass: r.Range, leap: r.Leap}
	of := make([]int, len(t.Slots)) // the stay of each slot
	for i := range t.Slots {
		slot := &t.Slots[i]
		if n := len(g.stays); n > 0 && g.stays[n-1].goesOn(slot) {
			g.stays[n-1].to = int(slot.End / eighth)
		} else {
			g.stays = append(g.stays, newStay(t, i, r.Level))
		}
		of[i] = len(g.stays) - 1
	}
	at := 0
	for i, b := range t.Bars {
		beat := int64(timebase.Quarter)
		if b.Meter.Compound() {
			beat = b.Meter.Beat()
		}
		for tick := int64(0); tick < b.Meter.Bar(); tick += eighth {
			song := b.Start + tick
			at = t.SlotAt(song, at)
			g.places = append(g.places, place{stay: of[at], bar: i, beat: tick%beat == 0, down: tick == 0})
		}
	}
	g.places = append(g.places, place{stay: len(g.stays) - 1, bar: len(t.Bars) - 1, beat: true, down: true})
	return g
}

// goesOn reports whether a slot has the same chord, under the same scales.
func (s *stay) goesOn(slot *changes.Slot) bool {
	return s.chord == slot.Chord && s.slot.Own == slot.Own && s.slot.Key == slot.Key && s.slot.Resolves == slot.Resolves
}

func newStay(t *changes.Timeline, i, level int) stay {
	slot := &t.Slots[i]
	s := stay{from: int(slot.Start / eighth), to: int(slot.End / eighth), slot: slot, chord: slot.Chord, silent: slot.Chord.None()}
	s.enters = i > 0 && slot.Centre != t.Slots[i-1].Centre
	if s.silent {
		return s
	}
	s.tones, s.guides = s.chord.Set(), guideTones(s.chord)
	s.against, s.hanging = s.chord.Against(), s.chord.Hanging()
	own := newLadder(slot.Own)
	s.ladders = []ladder{own}
	if s.tones.Within(slot.Key.Set()) && slot.Key != slot.Own {
		s.ladders = append(s.ladders, newLadder(slot.Key))
	}
	if level == MaxLevel && slot.Resolves && s.chord.Kind() == harmony.KindDominant {
		for _, scale := range slot.Admitted {
			brightens := scale.Kind == harmony.MajorSixth && slot.Own == harmony.NewScale(harmony.MinorSixth, scale.Root)
			if scale != slot.Own && scale != slot.Key && !brightens {
				s.ladders = append(s.ladders, newLadder(scale))
			}
		}
	}
	s.rests = s.tones | slot.Own.Home() | slot.Key.Home()
	for j := range s.ladders {
		s.allowed |= s.ladders[j].scale.Set()
		s.arps = append(s.arps, s.arpeggios(&s.ladders[j], j == 0, level)...)
	}
	s.allowed |= s.tones
	s.lands = landings(s.chord) & s.allowed &^ s.hanging &^ s.against
	return s
}

// arpeggios lists the chords of a ladder's families that can be broken over a chord:
// those with three tones of it and its sixth or ninth, the home and the diminished half,
// over a chord that is at home in its own scale the whole family of the home chord with its
// seventh, and the home chord of a substitute. Stacks of thirds are heard as chords; what
// has a second or a fourth in it, like E G A D, is left out, and so is what belies the chord.
func (s *stay) arpeggios(l *ladder, own bool, level int) (out []arpeggio) {
	home, _ := s.ruling(l)
	tonic := own && home && !s.chord.Formula.Has(harmony.FlatSeven)
	substitute := l.scale != s.slot.Own && l.scale != s.slot.Key
	for _, p := range []pattern{homePattern, seventhPattern, minorPattern, dominantPattern} {
		for root := range rungs {
			if p == homePattern && root > 1 {
				break // the same tones again
			}
			a := newArpeggio(l, root, p)
			if s.minors(a.set) || s.belies(a.set) || p != homePattern && !inThirds(a.set, a.bass) {
				continue
			}
			strange := a.set &^ (s.tones | landings(s.chord))
			switch shared := (a.set & s.tones).Len(); {
			case shared == len(p):
				a.weight = 8
			case shared == len(p)-1 && (strange == 0 || p == homePattern):
				a.weight = 4
			case p == homePattern && substitute && root == 0:
				a.weight = 4
			case p == homePattern && tonic:
				a.weight = 3
			case p == homePattern:
				a.weight = 1
			case p == seventhPattern && tonic:
				a.weight = 1
				if level >= cadenceLevel {
					a.weight = 0.3
				}
			default:
				continue
			}
			if slices.ContainsFunc(s.arps, func(b arpeggio) bool { return b.set == a.set }) {
				continue // of a scale before
			}
			out = append(out, a)
		}
	}
	return out
}

// belies reports whether a broken chord says another chord than the one that it is over: it
// has a tone that fights it or, over a dominant, the tone that the third goes to, unless it
// is a diminished seventh, or the major third of the minor tonic behind.
func (s *stay) belies(set tone.Set) bool {
	if set&s.against != 0 {
		return true
	}
	if s.chord.Kind() != harmony.KindDominant {
		return false
	}
	above := func(d harmony.Degree) tone.Set {
		return tone.SetOf(s.chord.Root.Class()).Transpose(d.Semitones()) &^ s.tones
	}
	const third = 3 // semitones between the tones of a diminished seventh
	toMinor := s.slot.Own.Kind == harmony.MinorSixth && above(harmony.Four).Has(s.slot.Own.Root.Class())
	return set.Transpose(third) != set && set&above(harmony.Four) != 0 || toMinor && set&above(harmony.Six) != 0
}

// minors reports whether tones would make a minor chord of one with a major third: they
// have its minor third and not its own.
func (s *stay) minors(set tone.Set) bool {
	minor := tone.ClassOf(int(s.chord.Root.Class()) + harmony.FlatThree.Semitones())
	major := tone.ClassOf(int(s.chord.Root.Class()) + harmony.Three.Semitones())
	return s.chord.Formula.Has(harmony.Three) && set.Has(minor) && !set.Has(major) && !s.tones.Has(minor)
}

// guideTones returns the third and the seventh, or the fourth and the sixth where
// there is none.
func guideTones(c harmony.Chord) (s tone.Set) {
	first := func(among ...harmony.Degree) {
		for _, d := range among {
			if c.Formula.Has(d) {
				s |= 1 << tone.ClassOf(int(c.Root.Class())+d.Semitones())
				return
			}
		}
	}
	first(harmony.Three, harmony.FlatThree, harmony.Four)
	first(harmony.Seven, harmony.FlatSeven, harmony.DoubleFlatSeven, harmony.Six)
	return s
}

// landings returns where a phrase may end over a chord: the third, fifth, sixth and
// ninth; over a half-diminished chord, which has few of them, the seventh, too.
func landings(c harmony.Chord) tone.Set {
	var above tone.Set
	switch c.Kind() {
	case harmony.KindMajor, harmony.KindAugmented:
		above = tone.SetOf(2, 4, 7, 9)
	case harmony.KindMinor, harmony.KindMinorSixth:
		above = tone.SetOf(2, 3, 7, 9)
	case harmony.KindDominant: // a fifth that is altered is a fifth
		above = tone.SetOf(2, 4, 7, 9)
		if c.Formula.Has(harmony.FlatFive) {
			above |= 1 << 6
		}
		if c.Formula.Has(harmony.SharpFive) {
			above |= 1 << 8
		}
	case harmony.KindHalfDiminished:
		above = tone.SetOf(3, 6, 10)
	case harmony.KindSuspended:
		above = tone.SetOf(2, 5, 7, 9)
	default:
		return c.Set()
	}
	return above.Transpose(int(c.Root.Class())) & (c.Set() | tensions(c))
}

// tensions returns a chord's sixth and ninth where nothing in it is in their way.
func tensions(c harmony.Chord) tone.Set {
	f := c.Formula
	var above tone.Set
	if f&harmony.FormulaOf(harmony.FlatNine, harmony.SharpNine) == 0 {
		above |= 1 << 2
	}
	if f&harmony.FormulaOf(harmony.SharpFive, harmony.FlatThirteen) == 0 {
		above |= 1 << 9
	}
	return above.Transpose(int(c.Root.Class()))
}

// ruling says which half of a ladder is to be on the beat over a stay.
func (s *stay) ruling(l *ladder) (home, dim bool) { return l.scale.Ruling(s.tones) }
