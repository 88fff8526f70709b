package harmony

// interval is a distance upwards as it is written.
type interval struct{ letters, semitones int }

var (
	unison        = interval{0, 0}
	semitone      = interval{1, 1}
	minorThird    = interval{2, 3}
	majorThird    = interval{2, 4}
	fourth        = interval{3, 5}
	fifth         = interval{4, 7}
	minorSixth    = interval{5, 8}
	minorSeventh  = interval{6, 10}
	dimFourth     = interval{3, 4}
	dimMinorSixth = interval{5, 7}
)

// diminishedRoots are the roots of the scales whose dim half is a diminished
// seventh, above its root: a semitone above each of its tones, spelled on the
// flat side (arithmetic).
var diminishedRoots = [...]interval{semitone, dimFourth, dimMinorSixth, minorSeventh}

// What a rule rests on.
const (
	published      = "published on pages that teach jazz harmony"
	publishedHalf  = "common practice; that the chords are the same is published on pages that teach jazz harmony"
	commonPractice = "common practice"
	arithmetic     = "arithmetic"
)

// scaleRule is a scale over a chord: its kind, and how far its root lies above
// the chord's.
type scaleRule struct {
	kind   ScaleKind
	above  interval
	reason string
	status string
}

// The scales that dominants admit besides their default where they resolve, in
// order (common practice). All hold the third and the seventh; on the natural
// fifth, and on tensions that the symbol does not name, they differ.
var (
	onFifth = scaleRule{MinorSixth, fifth,
		"the minor sixth on the fifth: the dominant as ninth or thirteenth", commonPractice}
	onTonic = scaleRule{MajorSixth, fourth,
		"the scale of the major tonic: its dim half is the dominant with flat nine", published}
	onMinorTonic = scaleRule{MinorSixth, fourth,
		"the scale of the minor tonic: its dim half is the dominant with flat nine", commonPractice}
	altered = scaleRule{MinorSixth, semitone,
		"the minor sixth a semitone above: the tritone substitute's fifth, for altered tensions", commonPractice}
	// alteredAnyway is altered over a natural fifth that the symbol keeps. The
	// third and the seventh are what must be there; the fifth is left out.
	alteredAnyway = scaleRule{MinorSixth, semitone,
		"the minor sixth a semitone above, for altered tensions; the natural fifth is left out", commonPractice}
)

func dominant(first scaleRule) []scaleRule {
	return []scaleRule{first, onFifth, onTonic, onMinorTonic, altered}
}

// chordRule is one kind of chord: the degrees it has, of which it has one at
// least (if any are named), and which it has not.
type chordRule struct {
	kind    string
	has     Formula
	any     Formula
	not     Formula
	scales  []scaleRule
	toMinor []scaleRule // instead of scales where it leads to a minor chord
}

func (r *chordRule) matches(f Formula) bool {
	return f&r.has == r.has && f&r.not == 0 && (r.any == 0 || f&r.any != 0)
}

var (
	dominantChord = FormulaOf(Three, FlatSeven)
	alteredFifth  = FormulaOf(FlatFive, SharpFive)
	anyThird      = FormulaOf(FlatThree, Three)
	anySeventh    = FormulaOf(DoubleFlatSeven, FlatSeven, Seven)
	alterations   = FormulaOf(FlatNine, SharpNine, SharpEleven, FlatFive, SharpFive, FlatThirteen)
)

// chordRules is the table of chords and scales, read from the top: the first
// rule that matches counts. Diminished chords stand apart (diminishedChoices).
// Where the usual scale lacks a tone that the symbol names, a rule of its own
// stands before the usual one.
var chordRules = []chordRule{
	// Dominants, from the most altered to the plain.
	{kind: "7 with flat nine and altered fifth", has: dominantChord | FormulaOf(FlatNine), any: alteredFifth, scales: dominant(altered)},
	{kind: "7 with sharp nine and altered fifth", has: dominantChord | FormulaOf(SharpNine), any: alteredFifth, scales: dominant(altered)},
	{kind: "7b9#9", has: dominantChord | FormulaOf(FlatNine, SharpNine), scales: dominant(alteredAnyway)},
	{kind: "7b9#11", has: dominantChord | FormulaOf(FlatNine, SharpEleven), scales: dominant(alteredAnyway)},
	{kind: "7#9b13", has: dominantChord | FormulaOf(SharpNine, FlatThirteen), scales: dominant(alteredAnyway)},
	{kind: "9#11b13", has: dominantChord | FormulaOf(Nine, SharpEleven, FlatThirteen), scales: dominant(onFlatFive)},
	{kind: "7#11b13", has: dominantChord | FormulaOf(SharpEleven, FlatThirteen), scales: dominant(alteredAnyway)},
	{kind: "13b5", has: dominantChord | FormulaOf(Nine, FlatFive, Six), scales: dominant(onFifth)},
	{kind: "9b5, 9#5", has: dominantChord | FormulaOf(Nine), any: alteredFifth, scales: dominant(onFlatFive)},
	{kind: "7b5, 7#5", has: dominantChord, any: alteredFifth, scales: dominant(altered)},
	{kind: "7b9b13", has: dominantChord | FormulaOf(FlatNine, FlatThirteen), scales: dominant(onMinorTonic)},
	{kind: "13b9", has: dominantChord | FormulaOf(FlatNine, Six), scales: dominant(onTonic)},
	{kind: "7b9", has: dominantChord | FormulaOf(FlatNine), scales: dominant(onTonic), toMinor: dominant(onMinorTonic)},
	{kind: "9b13", has: dominantChord | FormulaOf(Nine, FlatThirteen), scales: dominant(scaleRule{DominantSeventh, unison,
		"the dominant seventh scale on the root: it holds the nine and the flat thirteen", commonPractice})},
	{kind: "7b13", has: dominantChord | FormulaOf(FlatThirteen), scales: dominant(onMinorTonic)},
	{kind: "11 with its third", has: dominantChord | FormulaOf(Four), scales: dominant(onTonic)},
	{kind: "13, 7#11", has: dominantChord, any: FormulaOf(Six, SharpEleven), scales: dominant(onFifth)},
	{kind: "7#9", has: dominantChord | FormulaOf(SharpNine), scales: dominant(onFifth), toMinor: dominant(alteredAnyway)},
	{kind: "7, 9", has: dominantChord, scales: dominant(onFifth), toMinor: dominant(onMinorTonic)},

	// Major chords.
	{kind: "maj7#5#11", has: FormulaOf(Three, SharpFive), any: FormulaOf(SharpEleven, FlatFive), not: FormulaOf(FlatNine, SharpNine),
		scales: []scaleRule{{MajorSixth, majorThird, "the major sixth on the third: it holds the sharp eleven and the sharp five", arithmetic}}},
	{kind: "maj7#11, 6/9#11", has: FormulaOf(Three), any: FormulaOf(SharpEleven, FlatFive), not: FormulaOf(FlatNine, SharpNine),
		scales: []scaleRule{{MajorSixth, fifth, "the major sixth on the fifth: it holds the sharp eleven, the one on the root does not", commonPractice}}},
	{kind: "6", has: FormulaOf(Three, Six), not: FormulaOf(FlatNine, SharpNine, Seven),
		scales: []scaleRule{{MajorSixth, unison, "its home half is the chord", published}}},
	{kind: "maj7, maj9, maj7#5, major triads", has: FormulaOf(Three), not: FormulaOf(FlatNine, SharpNine),
		scales: []scaleRule{{MajorSixth, unison, "played as a sixth chord; the seventh is in the dim half", commonPractice}}},

	// Minor chords.
	{kind: "m7b5b9", has: FormulaOf(FlatThree, FlatFive, FlatSeven, FlatNine), not: FormulaOf(Five),
		scales: []scaleRule{
			{MinorSixth, minorSeventh, "the tonic of the minor two-five-one: it holds the flat nine", commonPractice},
			{MinorSixth, minorThird, "the minor sixth on the third: the same tones as the chord", publishedHalf},
		}},
	{kind: "m7b5, m9b5, m11b5", has: FormulaOf(FlatThree, FlatFive, FlatSeven), not: FormulaOf(Five),
		scales: []scaleRule{
			{MinorSixth, minorThird, "the minor sixth on the third: the same tones as the chord", publishedHalf},
			{MinorSixth, minorSeventh, "the tonic of the minor two-five-one, a whole step below", commonPractice},
		}},
	{kind: "m7b9", has: FormulaOf(FlatThree, FlatSeven, FlatNine),
		scales: []scaleRule{
			{MajorSixth, minorSixth, "the major sixth on the flat six: it holds the flat nine, the one on the third does not", arithmetic},
			relativeMajor,
		}},
	{kind: "m13, m7#11", has: FormulaOf(FlatThree, FlatSeven), any: FormulaOf(Six, SharpEleven),
		scales: []scaleRule{
			{MajorSixth, minorSeventh, "the key it is the second of: it holds the thirteenth, the major sixth on the third does not", arithmetic},
			relativeMajor, dorianSixth,
		}},
	{kind: "m7, m9, m11", has: FormulaOf(FlatThree, FlatSeven), scales: []scaleRule{relativeMajor, dorianSixth}},
	{kind: "m6, m6/9, m(maj7)", has: FormulaOf(FlatThree), any: FormulaOf(Six, Seven), not: FormulaOf(FlatNine),
		scales: []scaleRule{{MinorSixth, unison, "the tonic minor, a minor sixth chord", commonPractice}}},
	{kind: "minor triads", has: FormulaOf(FlatThree), not: FormulaOf(FlatNine, SharpEleven),
		scales: []scaleRule{{MinorSixth, unison, "the tonic minor, played as a minor sixth chord", commonPractice}, relativeMajor}},

	// Chords without a third.
	{kind: "7sus4b9, 13sus4b9", has: FormulaOf(Four, FlatSeven, FlatNine), not: anyThird | alterations&^FormulaOf(FlatNine),
		scales: []scaleRule{{MinorSixth, minorSeventh, "the minor sixth a whole step below: it holds the four and the flat nine", commonPractice}}},
	{kind: "7sus4, 9sus4, 13sus4, 7sus2", has: FormulaOf(FlatSeven), any: FormulaOf(Four, Nine), not: anyThird | alterations,
		scales: []scaleRule{{MajorSixth, minorSeventh, "the major sixth a whole step below: the minor seventh on the fifth over this bass", commonPractice}}},
	{kind: "7 without its third", has: FormulaOf(FlatSeven), not: anyThird | alterations, scales: dominant(onFifth)},
	{kind: "maj7sus4, 6sus4, sus2", any: FormulaOf(Six, Seven, Nine), not: anyThird | alterations,
		scales: []scaleRule{{MajorSixth, unison, "played as a sixth chord on the root", arithmetic}}},
	{kind: "sus4", has: FormulaOf(Four), not: anyThird | anySeventh | alterations,
		scales: []scaleRule{{MajorSixth, minorSeventh, "read as a seventh chord with suspended fourth", commonPractice}}},
	{kind: "5", not: ^FormulaOf(One, Five),
		scales: []scaleRule{
			{MajorSixth, unison, "the third is open: the major sixth", commonPractice},
			{MinorSixth, unison, "the third is open: the minor sixth", commonPractice},
		}},
}

var (
	relativeMajor = scaleRule{MajorSixth, minorThird, "the major sixth on the third: the same tones as the chord", published}
	dorianSixth   = scaleRule{MinorSixth, unison,
		"the minor sixth on the root: the Dorian sixth, also the scale of the dominant a fourth up", commonPractice}
	onFlatFive = scaleRule{DominantSeventhFlatFive, unison,
		"the seventh flat five scale on the root: it holds the nine and the altered fifth", commonPractice}
)
