package harmony

import (
	"math/bits"
	"strings"
)

// suffix is a spelling that needs no brackets, and the chord it stands for.
type suffix struct {
	text    string
	formula Formula
}

// suffixes are the canonical spellings, the more usual first. Whatever has none
// is written as the nearest of them and its differences in brackets.
var suffixes = [...]suffix{
	{"", FormulaOf(One, Three, Five)},
	{"m", FormulaOf(One, FlatThree, Five)},
	{"7", FormulaOf(One, Three, Five, FlatSeven)},
	{"maj7", FormulaOf(One, Three, Five, Seven)},
	{"m7", FormulaOf(One, FlatThree, Five, FlatSeven)},
	{"m7b5", FormulaOf(One, FlatThree, FlatFive, FlatSeven)},
	{"dim7", FormulaOf(One, FlatThree, FlatFive, DoubleFlatSeven)},
	{"6", FormulaOf(One, Three, Five, Six)},
	{"m6", FormulaOf(One, FlatThree, Five, Six)},
	{"m(maj7)", FormulaOf(One, FlatThree, Five, Seven)},
	{"9", FormulaOf(One, Three, Five, FlatSeven, Nine)},
	{"maj9", FormulaOf(One, Three, Five, Seven, Nine)},
	{"m9", FormulaOf(One, FlatThree, Five, FlatSeven, Nine)},
	{"m9b5", FormulaOf(One, FlatThree, FlatFive, FlatSeven, Nine)},
	{"m(maj9)", FormulaOf(One, FlatThree, Five, Seven, Nine)},
	{"6/9", FormulaOf(One, Three, Five, Six, Nine)},
	{"m6/9", FormulaOf(One, FlatThree, Five, Six, Nine)},
	{"m11", FormulaOf(One, FlatThree, Five, FlatSeven, Nine, Four)},
	{"m11b5", FormulaOf(One, FlatThree, FlatFive, FlatSeven, Nine, Four)},
	{"13", FormulaOf(One, Three, Five, FlatSeven, Nine, Six)},
	{"maj13", FormulaOf(One, Three, Five, Seven, Nine, Six)},
	{"maj11", FormulaOf(One, Three, Five, Seven, Nine, Four)},
	{"m13", FormulaOf(One, FlatThree, Five, FlatSeven, Nine, Four, Six)},
	{"7b5", FormulaOf(One, Three, FlatFive, FlatSeven)},
	{"7#5", FormulaOf(One, Three, SharpFive, FlatSeven)},
	{"9b5", FormulaOf(One, Three, FlatFive, FlatSeven, Nine)},
	{"9#5", FormulaOf(One, Three, SharpFive, FlatSeven, Nine)},
	{"13b5", FormulaOf(One, Three, FlatFive, FlatSeven, Nine, Six)},
	{"13#5", FormulaOf(One, Three, SharpFive, FlatSeven, Nine, Six)},
	{"maj7b5", FormulaOf(One, Three, FlatFive, Seven)},
	{"maj7#5", FormulaOf(One, Three, SharpFive, Seven)},
	{"maj9b5", FormulaOf(One, Three, FlatFive, Seven, Nine)},
	{"maj9#5", FormulaOf(One, Three, SharpFive, Seven, Nine)},
	{"m7#5", FormulaOf(One, FlatThree, SharpFive, FlatSeven)},
	{"dim", FormulaOf(One, FlatThree, FlatFive)},
	{"dim9", FormulaOf(One, FlatThree, FlatFive, DoubleFlatSeven, Nine)},
	{"dim(maj7)", FormulaOf(One, FlatThree, FlatFive, Seven)},
	{"dim(maj9)", FormulaOf(One, FlatThree, FlatFive, Seven, Nine)},
	{"dim7(maj7)", FormulaOf(One, FlatThree, FlatFive, DoubleFlatSeven, Seven)},
	{"aug", FormulaOf(One, Three, SharpFive)},
	{"sus4", FormulaOf(One, Four, Five)},
	{"sus2", FormulaOf(One, Nine, Five)},
	{"sus24", FormulaOf(One, Nine, Four, Five)},
	{"7sus4", FormulaOf(One, Four, Five, FlatSeven)},
	{"9sus4", FormulaOf(One, Nine, Four, Five, FlatSeven)},
	{"13sus4", FormulaOf(One, Nine, Four, Five, Six, FlatSeven)},
	{"7sus2", FormulaOf(One, Nine, Five, FlatSeven)},
	{"maj7sus4", FormulaOf(One, Four, Five, Seven)},
	{"maj9sus4", FormulaOf(One, Nine, Four, Five, Seven)},
	{"maj7sus2", FormulaOf(One, Nine, Five, Seven)},
	{"6sus4", FormulaOf(One, Four, Five, Six)},
	{"5", FormulaOf(One, Five)},
}

// alteredSet is the whole altered set: a name of its own, with nothing beside it.
var alteredSet = suffix{"7alt", FormulaOf(One, FlatNine, SharpNine, Three, FlatFive, SharpFive, FlatSeven)}

// What a difference from a canonical spelling costs the reader; the spelling
// with the least wins. The scale is this project's own.
const (
	costTension  = 2 // a tension beside: 7(b9) and not 9(b9), 7(b9,b13)
	costExchange = 1 // more, where it takes a plain one's place: 13(b9) and not 7(b9,13)
	costMissing  = 4 // something left out: 7(no5)
	costForeign  = 6 // a second third, fifth or seventh
)

// groups are the degrees that one number of a symbol takes in, with the number
// a no is written with, in the order in which differences are written.
var groups = [...]struct {
	degrees Formula
	no      string
}{
	{1 << One, "no1"},
	{thirds, "no3"},
	{fifths, "no5"},
	{sevenths, "no7"},
	{ninths, "no9"},
	{elevenths, "no11"},
	{sixths, "no13"},
}

// Symbol prints the chord in its one canonical spelling, in ASCII: "Bbmaj7",
// "C7(b9,b13)", "F#m7b5/C", "N.C.". It is total: a formula without a usual name
// is the nearest one with its differences written out, "C7(no5)". ParseSymbol
// reads it back as the same chord.
func (c Chord) Symbol() string {
	if c.None() {
		return "N.C."
	}
	var b strings.Builder
	b.WriteString(c.Root.String())
	s := nearestSuffix(c.Formula)
	if s.text == "5" && (c.Root.Alter == 2 || c.Root.Alter == -2) {
		s = suffixes[0] // Bbb5 is Bb with a flat five
	}
	b.WriteString(s.text)
	s.differences(&b, c.Formula)
	if c.Bass != c.Root {
		b.WriteByte('/')
		b.WriteString(c.Bass.String())
	}
	return b.String()
}

// nearestSuffix returns the canonical spelling that needs the least beside it.
func nearestSuffix(f Formula) suffix {
	if f == alteredSet.formula {
		return alteredSet
	}
	for i := range suffixes {
		if suffixes[i].formula == f {
			return suffixes[i]
		}
	}
	best, least := suffixes[0], suffixes[0].cost(f)
	for _, s := range suffixes[1:] {
		if c := s.cost(f); c < least {
			best, least = s, c
		}
	}
	return best
}

// cost returns what writing f as this spelling and differences costs.
func (s suffix) cost(f Formula) int {
	total := 0
	for _, g := range groups {
		here, want := s.formula&g.degrees, f&g.degrees
		missing, extra := bits.OnesCount16(uint16(here&^want)), bits.OnesCount16(uint16(want&^here))
		switch {
		case s.exchanges(f, g.degrees):
			total += costExchange + costTension*extra
		case g.degrees == thirds || g.degrees == fifths || g.degrees == sevenths:
			total += costMissing*missing + costForeign*extra
		default:
			total += costMissing*missing + costTension*extra
		}
	}
	return total
}

// exchanges reports whether f differs from the spelling within a group by an
// alteration alone, which takes the plain degree's place when it is read.
func (s suffix) exchanges(f, group Formula) bool {
	const plain = Formula(1<<Five | 1<<Nine | 1<<Four | 1<<Six)
	here, want := s.formula&group, f&group
	switch {
	case group&plain == 0, here == 0, here&^plain != 0, want == 0, want&plain != 0:
		return false
	case group == ninths: // stacked, not added as in 6/9 nor in place of the third
		return s.formula&sevenths != 0 && s.formula&(thirds|1<<Four) != 0
	case group == elevenths:
		return s.formula&thirds != 0
	case group == sixths:
		return s.formula.Has(Nine) && s.formula&sevenths != 0
	}
	return true
}

// differences writes in brackets what f has and has not beside the spelling.
func (s suffix) differences(b *strings.Builder, f Formula) {
	bracket := byte('(')
	write := func(parts ...string) {
		b.WriteByte(bracket)
		bracket = ','
		for _, p := range parts {
			b.WriteString(p)
		}
	}
	seventh := s.formula&(sevenths|1<<Six) != 0
	for _, g := range groups {
		here, want := s.formula&g.degrees, f&g.degrees
		exchanged := s.exchanges(f, g.degrees)
		omitted := here&^want != 0 && !exchanged
		if omitted {
			write(g.no)
			here = 0
		}
		for d := One; d < degrees; d++ {
			if !(want &^ here).Has(d) {
				continue
			}
			tension := g.degrees == ninths || g.degrees == elevenths || g.degrees == sixths
			switch {
			case exchanged, tension && here == 0 && seventh && !omitted:
				write(d.String())
			case d == FlatSeven:
				write("addb7")
			case d == Seven:
				write("addmaj7")
			case d == FlatThirteen && s.formula&sevenths == 0:
				write("addb6")
			case d == Six && s.formula&sevenths == 0:
				write("add6")
			default:
				write("add", d.String())
			}
		}
	}
	if bracket == ',' {
		b.WriteByte(')')
	}
}
