package harmony

import (
	"slices"

	"shedlight/analyse/tone"
)

// Choice is a scale that goes with a chord.
type Choice struct {
	Scale   Scale
	Reason  string   // in a few words, why
	Status  string   // published with its source, common practice, or arithmetic
	Missing tone.Set // tones of the chord that the scale does not hold; often none
}

// ScalesFor returns the scales that go with a chord: first the default, then
// the others it admits in table order, none twice. next is the chord that
// follows, the chord itself where nothing else does, or the zero Chord where
// that is not known; it decides the scale of a diminished seventh and of a
// dominant that may lead to a minor chord. A dominant that does not resolve
// admits its default alone. No chord (N.C.) has no scale; every other chord has
// one at least.
//
// The rules are chordRules, read from the top; the chord's formula decides, with
// a slash bass that is no tone of the chord counted as a tension. A chord that
// no rule knows gets the scale that holds most of its tones.
func ScalesFor(c, next Chord) []Choice {
	if c.None() {
		return nil
	}
	f := c.matching()
	if f.diminished() {
		return diminishedChoices(c, next)
	}
	var out []Choice
	for _, r := range chordRules {
		if !r.matches(f) {
			continue
		}
		rules := r.scales
		if r.toMinor != nil && leadsToMinor(c, next) {
			rules = r.toMinor
		}
		if r.has.Has(Three) && r.has.Has(FlatSeven) && !Resolves(c, next) {
			rules = rules[:1]
		}
		for _, rule := range rules {
			out = admit(out, c, rule)
		}
		return out
	}
	return []Choice{bestFit(c)}
}

// matching returns the formula that the rules look at. A foreign bass counts
// as a tension; a sharp nine without a third is a minor third, and a minor
// third beside a major one a sharp nine; an altered ninth without any sixth or
// seventh makes a dominant, as E(b9) is read for E7b9 (common practice).
func (c Chord) matching() Formula {
	f := c.Formula
	above := tone.ClassOf(int(c.Bass.Class()) - int(c.Root.Class()))
	if !c.degreeSet().Has(c.Bass.Class()) {
		f |= FormulaOf(bassDegree[above])
	}
	switch {
	case f.Has(Three) && f.Has(FlatThree):
		f = f&^FormulaOf(FlatThree) | FormulaOf(SharpNine)
	case f.Has(SharpNine) && !f.hasAny(Three, FlatThree):
		f = f&^FormulaOf(SharpNine) | FormulaOf(FlatThree)
	}
	if f.Has(Three) && f.hasAny(FlatNine, SharpNine) && !f.hasAny(Six, FlatSeven, Seven) {
		f |= FormulaOf(FlatSeven)
	}
	return f
}

// bassDegree is what a bass above the root counts as where the chord does not
// name it.
var bassDegree = [12]Degree{
	One, FlatNine, Nine, SharpNine, Three, Four, SharpEleven, Five, FlatThirteen, Six, FlatSeven, Seven,
}

// diminished reports whether the formula is a diminished triad or seventh,
// with or without added tones: a minor third and a flat fifth, and neither a
// natural fifth nor a minor seventh.
func (f Formula) diminished() bool {
	return f.Has(FlatThree) && f.Has(FlatFive) && !f.hasAny(Three, Five, FlatSeven)
}

// leadsToMinor reports whether the next chord stands a fifth below and has a
// minor third.
func leadsToMinor(c, next Chord) bool {
	return next.Formula.Has(FlatThree) && rootsUp(c, next) == fourth.semitones
}

// Resolves reports whether a dominant goes where dominants go: a fifth or a
// semitone down. Where the next chord is not known it may.
func Resolves(c, next Chord) bool {
	const semitoneBelow = 11
	up := rootsUp(c, next)
	return next.None() || up == fourth.semitones || up == semitoneBelow
}

// rootsUp returns the semitones from one root up to the next, 0 to 11.
func rootsUp(c, next Chord) int {
	return int(tone.ClassOf(int(next.Root.Class()) - int(c.Root.Class())))
}

// admit appends the scale of a rule over a chord, unless it is there already.
func admit(out []Choice, c Chord, r scaleRule) []Choice {
	s := Scale{Kind: r.kind, Root: scaleRoot(c.Root, r)}
	if slices.ContainsFunc(out, func(o Choice) bool { return o.Scale.Set() == s.Set() }) {
		return out
	}
	return append(out, Choice{Scale: s, Reason: r.reason, Status: r.status, Missing: c.Set() &^ s.Set()})
}

// scaleRoot spells the root of a scale over a chord's root by the interval,
// and then as players name keys (common practice): never a double accidental,
// E#, B#, Cb or Fb; Gb minor is F# minor; A# is Bb, and D# and G# are Eb and Ab
// but in minor. The chord's own root stays as it is written.
func scaleRoot(chordRoot tone.Name, r scaleRule) tone.Name {
	n := chordRoot.Transpose(r.above.letters, r.above.semitones).Easy()
	switch {
	case r.kind == MinorSixth && n == gFlat:
		n = fSharp
	case n == aSharp, r.kind != MinorSixth && (n == dSharp || n == gSharp):
		n = n.Class().Name()
	}
	return n
}

var (
	gFlat  = tone.Name{Letter: 4, Alter: -1}
	fSharp = tone.Name{Letter: 3, Alter: 1}
	dSharp = tone.Name{Letter: 1, Alter: 1}
	gSharp = tone.Name{Letter: 4, Alter: 1}
	aSharp = tone.Name{Letter: 5, Alter: 1}
)

// diminishedChoices returns all scales whose dim half is the diminished seventh
// on the chord's root, fourteen different sets, and that hold its other tones
// if any do. The default follows from the next chord: the scale that goes with
// it by itself, if that is among them, since the diminished seventh is then the
// other half of the chord it leads to; else the one that holds most tones of
// the next chord. Ties, and a next chord that is not known, go by the order of
// the table: the major sixth kind first, its root a semitone above the chord's,
// so that Bdim7 belongs to C (common practice; the rest is arithmetic).
func diminishedChoices(c, next Chord) []Choice {
	var all []Choice
	for kind := MajorSixth; kind <= DominantSeventhFlatFive; kind++ {
		for _, above := range diminishedRoots {
			all = admit(all, c, scaleRule{kind, above, "its dim half is this diminished seventh", arithmetic})
		}
	}
	lacking := func(o Choice) bool { return o.Missing != 0 }
	if whole := slices.DeleteFunc(slices.Clone(all), lacking); len(whole) > 0 {
		all = whole
	}
	at, chosen := 0, all[0]
	chosen.Reason = "the diminished seventh as leading tone chord: a semitone below the root"
	if !next.None() && next != c {
		at, chosen = followed(all, next)
	}
	chosen.Status = commonPractice
	return slices.Insert(slices.Delete(all, at, at+1), 0, chosen)
}

// followed picks from the scales of a diminished seventh by the chord that
// follows, and says where it stood.
func followed(all []Choice, next Chord) (at int, chosen Choice) {
	own := ScalesFor(next, Chord{})[0].Scale
	most := -1
	for i, o := range all {
		if o.Scale.Set() == own.Set() {
			o.Scale = own
			o.Reason = "the scale of the chord that follows: this is its dim half"
			return i, o
		}
		if held := (next.Set() & o.Scale.Set()).Len(); held > most {
			most, at, chosen = held, i, o
		}
	}
	chosen.Reason = "of the scales with this dim half the one nearest to the chord that follows"
	return at, chosen
}

// bestFit returns the scale that holds most of the chord's tones; ties go to
// the root nearest above the chord's, then to the order of the kinds.
func bestFit(c Chord) Choice {
	var best Choice
	most := -1
	for semitones, letters := range outsideLetters {
		for kind := MajorSixth; kind <= DominantSeventhFlatFive; kind++ {
			r := scaleRule{kind, interval{letters, semitones}, "no rule of the trade: the scale that holds most of its tones", arithmetic}
			o := admit(nil, c, r)[0]
			if held := (c.Set() & o.Scale.Set()).Len(); held > most {
				most, best = held, o
			}
		}
	}
	return best
}
