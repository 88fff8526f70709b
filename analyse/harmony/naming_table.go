package harmony

import "shedlight/analyse/tone"

// Weights of a name. A name's cost is the weight of its kind of chord, of each
// tension, and of its bass; the cheapest name is said first. Only the order
// matters. The unit is one tension that every player stacks without being
// asked. All weights are common practice put into numbers: each states the
// choice it was set for, and the tables in the tests hold those choices.
const (
	usual  = 1 // 9 and 13 over a dominant, 9 over a minor seventh: part of the sound
	added  = 2 // an 11 put into a minor triad: named, but it is an addition
	colour = 3 // #11 or #9 in a plain triad: a name, yet the ear hears a clash
	dark   = 4 // an 11 against a major third, a b13 on a minor seventh: names of last resort
	rare   = 6 // a b13 in a plain triad, a 9 on a diminished seventh: mostly another chord inverted

	plainChord   = 0 // triads, sixths, dominant and major sevenths
	secondChord  = 1 // minor and half-diminished sevenths: C6/E before Am7/E, Fm6/C before Dm7b5/C
	alteredChord = 2 // an altered fifth, or a fourth for the third
	strangeChord = 5 // m7#5, maj7sus4: almost always something else inverted

	noFifth    = 2 // C7(no5) in root position before anything inverted
	noFifthSus = 3 // without third and fifth little is left: F(add9)/G before G9sus4(no5)
	noThird    = 7 // G A D F is Dm(add11)/G before G9(no3)

	bassThird   = 3 // inversions of a complete chord before strange root positions
	bassFifth   = 3
	bassSeventh = 4 // C7b5/E before Gb7b5/E
	bassTension = 4 // F(add9)/G before the plain triad over a foreign bass, F/G
	bassAltered = 5 // Dm/Ab before Dm(add#11)/G#
	bassNoFifth = 2 // an inversion without its fifth is hard to hear: C6(no3) before Am7(no5)/C
	foreignBass = 7 // a triad or seventh chord over a tone it lacks

	// highestCost is where names stop helping: above it a player would rather
	// be told the notes.
	highestCost = 9
)

// Semitones above a root, named by the tension that sounds there.
const (
	atFlatNine     = 1
	atNine         = 2
	atSharpNine    = 3
	atEleven       = 5
	atSharpEleven  = 6
	atFlatThirteen = 8
	atThirteen     = 9
	atSeven        = 11
)

// tensionDegree says how a tone that is not in the core of a chord is counted.
var tensionDegree = [12]Degree{
	atFlatNine: FlatNine, atNine: Nine, atSharpNine: SharpNine,
	atEleven: Four, atSharpEleven: SharpEleven,
	atFlatThirteen: FlatThirteen, atThirteen: Six, atSeven: Seven,
}

// clashes are tensions that no one stacks in one chord: two kinds of ninth of
// which one is the plain ninth, two kinds of eleventh, two of thirteenth.
var clashes = [...]tone.Set{
	1<<atFlatNine | 1<<atNine,
	1<<atNine | 1<<atSharpNine,
	1<<atEleven | 1<<atSharpEleven,
	1<<atFlatThirteen | 1<<atThirteen,
}

// adds gives the weight of each tension a kind of chord takes; nought is a
// tension that it does not take.
type adds [12]int

// quality is a kind of chord: the tones it is known by and what may be added.
type quality struct {
	core Formula
	cost int
	most int // most tensions it takes
	adds adds
}

// allTensions is the bound of chords that take as many tensions as fit.
const allTensions = 12

// qualities is every kind of chord that has a name here, with its tensions:
// common practice. A set that fits two kinds takes the cheaper one, the earlier
// of equals.
var qualities = [...]quality{
	// Triads.
	{core: FormulaOf(One, Three, Five), cost: plainChord, most: 2, adds: adds{
		atNine: usual, atSharpNine: colour, atSharpEleven: colour, atFlatNine: dark, atEleven: dark, atFlatThirteen: rare}},
	{core: FormulaOf(One, Three), cost: noFifth, most: 1, adds: adds{atNine: usual}},
	{core: FormulaOf(One, FlatThree, Five), cost: plainChord, most: 2, adds: adds{
		atNine: usual, atEleven: added, atSharpEleven: colour, atFlatNine: dark, atFlatThirteen: rare}},
	{core: FormulaOf(One, FlatThree), cost: noFifth, most: 1, adds: adds{atNine: usual, atEleven: added}},
	{core: FormulaOf(One, FlatThree, FlatFive), cost: secondChord, most: 2, adds: adds{
		atNine: added, atEleven: added, atFlatThirteen: rare}},
	{core: FormulaOf(One, Three, SharpFive), cost: secondChord, most: 1, adds: adds{atNine: added}},
	{core: FormulaOf(One, Three, FlatFive), cost: alteredChord},
	{core: FormulaOf(One, Four, Five), cost: alteredChord, most: 1, adds: adds{
		atNine: usual, atFlatNine: dark, atThirteen: dark}},
	{core: FormulaOf(One, Nine, Five), cost: alteredChord, most: 1, adds: adds{
		atSharpEleven: dark, atThirteen: rare}}, // G7sus4/F before Fsus2(add6)
	{core: FormulaOf(One, Five), cost: plainChord},

	// Sixth chords. Without a fifth a sixth is a triad inverted, unless a ninth
	// is there too.
	{core: FormulaOf(One, Three, Five, Six), cost: plainChord, most: 2, adds: adds{
		atNine: usual, atSharpEleven: usual, atSharpNine: dark, atEleven: dark}},
	{core: FormulaOf(One, Three, Six, Nine), cost: noFifth + usual},
	{core: FormulaOf(One, FlatThree, Five, Six), cost: plainChord, most: 2, adds: adds{
		atNine: usual, atEleven: usual, atSharpEleven: dark}},
	{core: FormulaOf(One, FlatThree, Six, Nine), cost: noFifth + usual},

	// Major sevenths.
	{core: FormulaOf(One, Three, Five, Seven), cost: plainChord, most: allTensions, adds: adds{
		atNine: usual, atSharpEleven: usual, atThirteen: usual, atSharpNine: dark, atEleven: dark, atFlatThirteen: dark}},
	{core: FormulaOf(One, Three, Seven), cost: noFifth, most: 2, adds: adds{
		atNine: usual, atThirteen: colour, atEleven: dark}},
	{core: FormulaOf(One, Three, FlatFive, Seven), cost: alteredChord, most: 2, adds: adds{
		atNine: usual, atThirteen: usual}},
	{core: FormulaOf(One, Three, SharpFive, Seven), cost: alteredChord, most: 2, adds: adds{
		atNine: usual, atSharpEleven: usual}},

	// Dominants.
	{core: FormulaOf(One, Three, Five, FlatSeven), cost: plainChord, most: allTensions, adds: adds{
		atFlatNine: usual, atNine: usual, atSharpNine: usual, atSharpEleven: usual,
		atFlatThirteen: usual, atThirteen: usual, atEleven: dark}},
	{core: FormulaOf(One, Three, FlatSeven), cost: noFifth, most: allTensions, adds: adds{
		atFlatNine: usual, atNine: usual, atSharpNine: usual, atThirteen: usual, atEleven: dark}},
	{core: FormulaOf(One, Three, FlatFive, FlatSeven), cost: alteredChord, most: allTensions, adds: adds{
		atFlatNine: usual, atNine: usual, atSharpNine: usual, atThirteen: usual}},
	{core: FormulaOf(One, Three, SharpFive, FlatSeven), cost: alteredChord, most: allTensions, adds: adds{
		atFlatNine: usual, atNine: usual, atSharpNine: usual}},
	{core: FormulaOf(One, Three, FlatFive, SharpFive, FlatSeven), cost: alteredChord + usual, most: allTensions, adds: adds{
		atFlatNine: usual, atNine: usual, atSharpNine: usual}},

	// Suspended dominants.
	{core: FormulaOf(One, Four, Five, FlatSeven), cost: alteredChord, most: allTensions, adds: adds{
		atFlatNine: usual, atNine: usual, atThirteen: usual, atFlatThirteen: colour}},
	{core: FormulaOf(One, Four, FlatSeven), cost: alteredChord + noFifthSus, most: allTensions, adds: adds{
		atFlatNine: usual, atNine: usual, atThirteen: usual}},
	{core: FormulaOf(One, Four, Five, Seven), cost: strangeChord, most: 2, adds: adds{
		atNine: usual, atThirteen: usual}},

	// Minor sevenths.
	{core: FormulaOf(One, FlatThree, Five, FlatSeven), cost: secondChord, most: allTensions, adds: adds{
		atNine: usual, atEleven: usual, atThirteen: added, atSharpEleven: colour, atFlatNine: dark, atFlatThirteen: dark}},
	{core: FormulaOf(One, FlatThree, FlatSeven), cost: secondChord + noFifth, most: allTensions, adds: adds{
		atNine: usual, atEleven: usual, atThirteen: colour, atFlatNine: dark}},
	{core: FormulaOf(One, FlatThree, SharpFive, FlatSeven), cost: strangeChord, most: 1, adds: adds{atEleven: usual}},
	{core: FormulaOf(One, FlatThree, Five, Seven), cost: secondChord, most: allTensions, adds: adds{
		atNine: usual, atEleven: usual, atThirteen: usual, atSharpEleven: dark, atFlatThirteen: dark}},
	{core: FormulaOf(One, FlatThree, Seven), cost: secondChord + noFifth, most: 2, adds: adds{
		atNine: usual, atEleven: usual, atThirteen: colour}},

	// Half-diminished and diminished. A diminished seventh with one tone a
	// whole step above its own is a 7b9 inverted, but for the tone that would
	// put the b9 in the bass.
	{core: FormulaOf(One, FlatThree, FlatFive, FlatSeven), cost: secondChord, most: 2, adds: adds{
		atNine: usual, atEleven: usual, atFlatNine: dark, atFlatThirteen: dark}},
	{core: FormulaOf(One, FlatThree, FlatFive, DoubleFlatSeven), cost: plainChord, most: 2, adds: adds{
		atSeven: colour, atNine: rare, atEleven: rare, atFlatThirteen: rare}},
	{core: FormulaOf(One, FlatThree, FlatFive, Seven), cost: alteredChord, most: 2, adds: adds{
		atNine: added, atEleven: added, atFlatThirteen: dark}},

	// Without a third.
	{core: FormulaOf(One, Five, FlatSeven), cost: noThird, most: 2, adds: adds{
		atNine: usual, atFlatNine: added, atThirteen: added}},
	{core: FormulaOf(One, Five, Seven), cost: noThird, most: 2, adds: adds{
		atNine: usual, atThirteen: added, atSharpEleven: added}},
	{core: FormulaOf(One, Five, Six), cost: noThird},
}

// entry is how a set of intervals above a root is read; an entry without a
// formula has no name from that root.
type entry struct {
	formula Formula
	cost    int16
	plain   bool // an ordinary triad, sixth or seventh without tensions: can stand over a foreign bass
}

// entries answers for each set of intervals above a root, as a 12-bit set with
// bit 0 the root. It is made once from qualities and never written again.
var entries = func() (table [tone.All + 1]entry) {
	for set := tone.Set(1); set <= tone.All; set += 2 { // bit 0, the root, always sounds
		table[set] = readQualities(set)
	}
	return table
}()

// readQualities reads a set of intervals by trying every quality.
func readQualities(set tone.Set) entry {
	var best entry
	for i := range qualities {
		e := qualities[i].read(set)
		if e.formula != 0 && (best.formula == 0 || e.cost < best.cost) {
			best = e
		}
	}
	return best
}

func (q *quality) read(set tone.Set) entry {
	core := q.core.intervals()
	if !core.Within(set) {
		return entry{}
	}
	tensions := set &^ core
	if tensions.Len() > q.most {
		return entry{}
	}
	for _, clash := range clashes {
		if clash.Within(tensions) {
			return entry{}
		}
	}
	e := entry{formula: q.core, cost: int16(q.cost), plain: tensions == 0 && q.ordinary()}
	for _, interval := range tensions.Classes() {
		if q.adds[interval] == 0 {
			return entry{}
		}
		e.formula |= FormulaOf(tensionDegree[interval])
		e.cost += int16(q.adds[interval])
	}
	if e.cost > highestCost {
		return entry{}
	}
	return e
}

// ordinary reports whether the core has a third and a fifth and nothing altered.
func (q *quality) ordinary() bool {
	return q.core.hasThird() && q.core.hasFifth() && q.cost <= secondChord
}

func (f Formula) hasThird() bool { return f&thirds != 0 }
func (f Formula) hasFifth() bool { return f&fifths != 0 }

// intervals returns the semitones above the root that the formula holds.
func (f Formula) intervals() tone.Set {
	var set tone.Set
	for d := One; d < degrees; d++ {
		if f.Has(d) {
			set |= 1 << d.Semitones()
		}
	}
	return set
}

// at returns the formula's degree that sounds so many semitones above the root.
func (f Formula) at(semitones int) (Degree, bool) {
	for d := One; d < degrees; d++ {
		if f.Has(d) && d.Semitones() == semitones {
			return d, true
		}
	}
	return One, false
}

// bassCost weighs a degree of the chord in the bass.
var bassCost = [degrees]int16{
	FlatThree: bassThird, Three: bassThird,
	FlatFive: bassFifth, Five: bassFifth, SharpFive: bassFifth,
	DoubleFlatSeven: bassSeventh, FlatSeven: bassSeventh, Seven: bassSeventh,
	Nine: bassTension, Four: bassTension,
	FlatNine: bassAltered, SharpNine: bassAltered, SharpEleven: bassAltered,
	FlatThirteen: bassAltered, Six: bassAltered,
}
