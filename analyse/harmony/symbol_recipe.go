package harmony

// recipe is what the words of a symbol said, before they make a formula.
type recipe struct {
	quality      saying // 0, sayMinor, sayDiminished or sayHalfDim
	major        bool   // a sign for the major seventh was seen
	triangle     bool   // and it was a triangle
	seventh      bool   // a seventh is there without being stacked
	bothSevenths bool   // a diminished seventh and a major one: Cdim7(maj7)
	stack        uint8  // 5, 6, 7, 9, 11 or 13; 0 for none
	sus          Formula
	altered      Formula // take the place of their plain degree in the stack
	added        Formula // stand beside whatever is there
	omitted      Formula
	listed       Formula // tensions written without add: they expect a seventh
	doubts       uint32  // bit n is doubt n
}

// Degrees that share a number in a symbol.
const (
	thirds    = Formula(1<<FlatThree | 1<<Three)
	fifths    = Formula(1<<FlatFive | 1<<Five | 1<<SharpFive)
	sevenths  = Formula(1<<DoubleFlatSeven | 1<<FlatSeven | 1<<Seven)
	ninths    = Formula(1<<FlatNine | 1<<Nine | 1<<SharpNine)
	elevenths = Formula(1<<Four | 1<<SharpEleven)
	sixths    = Formula(1<<FlatThirteen | 1<<Six)

	majorTriad = Formula(1<<One | 1<<Three | 1<<Five)
	minorTriad = Formula(1<<One | 1<<FlatThree | 1<<Five)
	susTriad   = Formula(1<<One | 1<<Four | 1<<Five)
)

// doubt is a sign that musicians read in two ways.
type doubt uint8

const (
	doubtDim doubt = iota
	doubtSus
	doubtTwo
	doubtFour
	doubtTriangle
	doubtEleven
	doubtThirteen
	doubtMinorThirteen
	doubtFlatThirteen
	doubtTension
	doubtLydian
	doubtPlusNine
	doubtPlusAdd
	doubtPlusSix
	doubtMinusJoin
	doubtPlusJoin
	doubtRaised
	doubtLowerCase
)

// settled are the doubts in which players follow one reading and lose little by
// the other: the triangle, thirteenths with or without the 11, and a flat 13
// with its fifth.
const settled uint32 = 1<<doubtTriangle | 1<<doubtThirteen | 1<<doubtMinorThirteen | 1<<doubtFlatThirteen

// doubtTable says how to get the other reading from the chosen one.
var doubtTable = [...]struct{ drop, add Formula }{
	doubtDim:           {add: 1 << DoubleFlatSeven},                                  // Cdim: Cdim7
	doubtSus:           {add: 1<<Nine | 1<<FlatSeven},                                // Csus: C9sus4
	doubtTwo:           {drop: 1 << Three},                                           // C2: Csus2
	doubtFour:          {add: 1 << Three},                                            // C4: C(add11)
	doubtTriangle:      {drop: 1 << Seven},                                           // C^: the triad
	doubtEleven:        {add: 1 << Three},                                            // C11 with its third
	doubtThirteen:      {add: 1 << Four},                                             // C13 with its 11
	doubtMinorThirteen: {drop: 1 << Four},                                            // Cm13 without
	doubtFlatThirteen:  {drop: 1 << Five},                                            // C7b13 for C7#5
	doubtTension:       {add: 1 << FlatSeven},                                        // E(b9): E7(b9)
	doubtLydian:        {add: 1 << Seven},                                            // C(#11): Cmaj7(#11); Cmaj(9): Cmaj9
	doubtPlusNine:      {drop: 1<<SharpFive | 1<<Nine, add: 1<<Five | 1<<SharpNine},  // C+9: C7(#9)
	doubtPlusAdd:       {drop: 1<<SharpFive | 1<<FlatSeven, add: 1 << Five},          // C+9: C(add9)
	doubtPlusSix:       {drop: 1 << SharpFive, add: 1 << Five},                       // C+6: C6
	doubtMinusJoin:     {drop: 1 << Nine, add: 1 << FlatNine},                        // C6-9: C6(b9)
	doubtPlusJoin:      {drop: 1 << Nine, add: 1 << SharpNine},                       // C6+9: C6(#9)
	doubtRaised:        {drop: 1<<Seven | 1<<Five, add: 1<<FlatSeven | 1<<SharpFive}, // Cm+7: Cm7(#5)
	doubtLowerCase:     {drop: 1 << Three, add: 1 << FlatThree},                      // c: Cm
}

func (c *recipe) doubt(d doubt) { c.doubts |= 1 << d }

// formula builds the chord's degrees: the stack of thirds that quality and
// number ask for, then what replaces, leaves and joins it.
func (c *recipe) formula() Formula {
	minor := c.quality != 0
	stack := majorTriad
	switch {
	case c.quality == sayDiminished || c.quality == sayHalfDim:
		stack = 1<<One | 1<<FlatThree | 1<<FlatFive
	case minor:
		stack = minorTriad
	case c.stack == 5 || c.stack == 11 && !c.major:
		stack &^= thirds
	}
	if c.stack >= 7 || c.seventh {
		stack |= c.seventhDegrees()
	}
	switch c.stack {
	case 6:
		stack |= 1 << Six
	case 9:
		stack |= 1 << Nine
	case 11:
		stack |= 1<<Nine | 1<<Four
	case 13:
		stack |= 1<<Nine | 1<<Six
		if minor {
			stack |= 1 << Four
		}
	}
	for _, same := range [...]Formula{thirds, fifths, sevenths, ninths, elevenths, sixths} {
		if c.altered&same != 0 && !(same == sixths && c.stack == 6) {
			stack &^= same
		}
	}
	if c.sus != 0 {
		stack = stack&^thirds | c.sus
	}
	return (stack|c.altered)&^c.omitted | c.added
}

func (c *recipe) seventhDegrees() Formula {
	switch {
	case c.bothSevenths:
		return 1<<DoubleFlatSeven | 1<<Seven
	case c.major:
		return 1 << Seven
	case c.quality == sayDiminished:
		return 1 << DoubleFlatSeven
	}
	return 1 << FlatSeven
}

// question marks the doubts that show only in the finished chord.
func (c *recipe) question(f Formula) {
	switch {
	case f == FormulaOf(One, FlatThree, FlatFive) && c.quality == sayDiminished:
		c.doubt(doubtDim)
	case f == FormulaOf(One, Three, Five, Seven) && c.triangle && c.stack == 0:
		c.doubt(doubtTriangle)
	case c.stack == 11 && f&thirds == 0 && c.sus == 0:
		c.doubt(doubtEleven)
	case c.stack == 13 && c.altered|c.added|c.omitted|c.sus == 0 && c.quality != 0:
		c.doubt(doubtMinorThirteen)
	case c.stack == 13 && c.altered|c.added|c.omitted|c.sus == 0:
		c.doubt(doubtThirteen)
	case c.listed != 0 && seventhExpected(f&^c.listed):
		if !c.major {
			c.doubt(doubtTension)
		}
		if c.major || f.Has(SharpEleven) && f.Has(Three) {
			c.doubt(doubtLydian)
		}
	}
	if f.Has(FlatThirteen) && f.Has(Five) && f.Has(Three) && f.Has(FlatSeven) {
		c.doubt(doubtFlatThirteen)
	}
	if f != susTriad {
		c.doubts &^= 1 << doubtSus
	}
}

// seventhExpected reports whether f is a triad to which musicians add tensions
// only with a seventh, written or not.
func seventhExpected(f Formula) bool {
	return f == majorTriad || f == minorTriad || f == susTriad
}

// others returns the chord in its other readings, in the order of the table.
func (c *recipe) others(chord Chord) []Chord {
	var out []Chord
	for d := range doubtTable {
		if c.doubts>>d&1 == 1 {
			other := chord
			other.Formula = chord.Formula&^doubtTable[d].drop | doubtTable[d].add
			if other != chord {
				out = append(out, other)
			}
		}
	}
	return out
}
