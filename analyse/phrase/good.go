package phrase

import (
	"slices"

	"shedlight/analyse/harmony"
)

// goodPhrases is how many good ones are kept, goodLeast how many notes one has at
// least: fewer say nothing. goodBars is how many bars it lasts at most, from its first
// onset to its last release; more than one it lasts too, so that it is told as one of
// two to four.
const goodPhrases, goodLeast, goodBars = 3, 4, 4

// goodDegrees are what a good phrase ends on over its chord (common practice): not the
// root, which is dull, nor what wants to go on.
var goodDegrees = [...]string{"3", "5", "6", "9", "13"}

// bestPhrases is good phrases, the earliest first.
type bestPhrases struct {
	list [goodPhrases]phrase
	n    int
}

// consider keeps a phrase that is over if it is a good one: of two to four bars, all of
// it resolved, ended on the 3rd, 5th, 6th or 9th, with a rest behind it. Within that
// length is no merit; the earliest are kept. Whether it fits with the changes is known
// to the judge.
func (p *Finder) consider(at *phrase) {
	if at.open > 0 || at.unresolved+at.against > 0 || at.notes < goodLeast || !at.endsWell() {
		return
	}
	p.Of(at.chorus).good.add(at)
}

func (b *bestPhrases) add(at *phrase) {
	row := b.n
	for row > 0 && at.number < b.list[row-1].number {
		row--
	}
	if row == goodPhrases {
		return
	}
	b.n = min(b.n+1, goodPhrases)
	copy(b.list[row+1:], b.list[row:b.n-1])
	b.list[row] = *at
}

// drop takes a phrase out that is no good one after all.
func (b *bestPhrases) drop(number int64) {
	for i := range b.list[:b.n] {
		if b.list[i].number == number {
			copy(b.list[i:], b.list[i+1:b.n])
			b.n--
			return
		}
	}
}

func (b *bestPhrases) include(other *bestPhrases) {
	for i := range other.list[:other.n] {
		b.add(&other.list[i])
	}
}

// endsWell reports whether a phrase has the length, the last tone and the rest of a good
// one.
func (at *phrase) endsWell() bool {
	length := at.end - at.began
	if at.leapt || length <= at.bar || length > goodBars*at.bar || at.landing == NoLanding || at.landing == LeftHanging {
		return false
	}
	return slices.Contains(goodDegrees[:], harmony.DegreeOver(at.to.context.Chord, at.to.class()))
}
