package harmony

import (
	"cmp"
	"slices"

	"shedlight/analyse/tone"
)

// Weights among readings; common practice, as the weights of exact names.
const (
	// rootlessCost puts shells, where the root sounds, before rootless readings.
	rootlessCost = 2
	// colourBass: rootless voicings stand on their third or seventh; on another
	// tone they are less likely meant.
	colourBass = 2
	// rootlessSixth: F A B E is G13 before Dm6/9; a sixth without its root is
	// mostly another chord.
	rootlessSixth = 2
	// highestReading is where a reading that claims silent tones stops being
	// offered: D7#9#5 from four of its tones is still meant.
	highestReading = 6
	// highestFromThree: three tones have so many silent roots that only plain
	// chords are offered, on their third or seventh: Am7 from C E G, F7 from
	// Eb A C.
	highestFromThree = 3
)

// Readings returns the chords of which a set of sounding tones can be a shell
// or a rootless voicing, likeliest first. Each holds every sounding tone, and
// besides them only its root, its natural fifth or, where only root and seventh
// sound, its third. A shell keeps the sounding bass, a rootless chord stands on
// its silent root.
func Readings(set tone.Set, bass tone.Class, sp RootSpelling) []Naming {
	if !nameable(set, bass) {
		return nil
	}
	var found []reading
	for i := range 12 {
		root := tone.ClassOf(int(bass) + i)
		if set.Has(root) {
			found = append(found, shellsOn(set, bass, root)...)
		} else if r, ok := rootlessOn(set, bass, root); ok {
			found = append(found, r)
		}
	}
	slices.SortStableFunc(found, func(a, b reading) int { return cmp.Compare(a.cost, b.cost) })
	names := make([]Naming, 0, len(found))
	for _, r := range found {
		names = append(names, r.naming(bass, &sp))
	}
	return names
}

// reading is a candidate that claims tones which do not sound.
type reading struct {
	candidate
	kind   Reading
	silent Formula
}

func (r reading) naming(bass tone.Class, sp *RootSpelling) Naming {
	if r.kind == ReadRootless {
		bass = r.root
	}
	text := ""
	for _, s := range [...]struct {
		degrees Formula
		word    string
	}{{FormulaOf(One), "root"}, {thirds, "third"}, {FormulaOf(Five), "fifth"}} {
		if r.silent&s.degrees == 0 {
			continue
		}
		if text != "" {
			text += " and "
		}
		text += s.word
	}
	return Naming{Chord: r.spell(bass, sp), Reading: r.kind, Reason: text + " left out"}
}

// shellsOn reads a set with its root as a chord without fifth, or, where only
// root and seventh sound, without third and fifth.
func shellsOn(set tone.Set, bass, root tone.Class) []reading {
	intervals := set.Transpose(-int(root))
	if bass == root && set.Len() == 2 {
		switch intervals {
		case FormulaOf(One, FlatSeven).intervals():
			return []reading{
				shell(root, FormulaOf(One, FlatSeven), FormulaOf(Three, Five), plainChord),
				shell(root, FormulaOf(One, FlatSeven), FormulaOf(FlatThree, Five), secondChord),
			}
		case FormulaOf(One, Seven).intervals():
			return []reading{shell(root, FormulaOf(One, Seven), FormulaOf(Three, Five), plainChord)}
		}
		return nil
	}
	c := chordOn(set, bass, root)
	if c.formula == 0 || !c.formula.hasGuideTones() || c.formula.hasFifth() || c.cost > highestCost {
		return nil
	}
	return []reading{shell(root, c.formula, FormulaOf(Five), c.cost-noFifth)}
}

func shell(root tone.Class, sounding, silent Formula, cost int16) reading {
	return reading{candidate: candidate{root: root, formula: sounding | silent, cost: cost}, kind: ReadShell, silent: silent}
}

// hasGuideTones reports whether third and seventh, or third and sixth, are there.
func (f Formula) hasGuideTones() bool {
	return f.hasThird() && (f&sevenths != 0 || f.Has(Six))
}

// rootlessOn reads a set from a root that does not sound. Two tones are enough
// if they are a tritone, third and seventh of a dominant; otherwise it takes
// three.
func rootlessOn(set tone.Set, bass, root tone.Class) (reading, bool) {
	intervals := set.Transpose(-int(root))
	e := entries[intervals|1]
	if e.formula == 0 || !e.formula.hasGuideTones() {
		return reading{}, false
	}
	if set.Len() < 3 && intervals != FormulaOf(Three, FlatSeven).intervals() {
		return reading{}, false
	}
	r := reading{kind: ReadRootless, silent: FormulaOf(One)}
	r.candidate = candidate{root: root, formula: e.formula, cost: e.cost + rootlessCost}
	if !e.formula.hasFifth() {
		r.formula |= FormulaOf(Five)
		r.silent |= FormulaOf(Five)
		r.cost -= noFifth
	}
	d, _ := e.formula.at(int(tone.ClassOf(int(bass) - int(root))))
	if FormulaOf(d)&(thirds|sevenths) == 0 {
		r.cost += colourBass
	}
	if e.formula&sevenths == 0 {
		r.cost += rootlessSixth
	}
	if set.Len() <= 3 {
		return r, r.cost <= highestFromThree
	}
	return r, r.cost <= highestReading
}
