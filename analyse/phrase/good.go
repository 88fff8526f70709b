package phrase

// goodPhrases is how many of the best are kept, goodLeast how many notes one has at
// least: fewer say nothing.
const goodPhrases, goodLeast = 3, 4

// bestPhrases is the best phrases, the best first.
type bestPhrases struct {
	list [goodPhrases]phrase
	n    int
}

// consider keeps a phrase that is over if it is one of the best: all of it
// resolved, landed on a tone of the chord, the more notes the better, the
// earlier one where they are even.
func (p *Finder) consider(at *phrase) {
	if at.open > 0 || at.unresolved+at.against > 0 || at.landing != LandedOnChord || at.notes < goodLeast {
		return
	}
	if at.chorus < p.choruses {
		p.best.add(at)
	} else {
		p.good.add(at)
	}
}

func (b *bestPhrases) add(at *phrase) {
	row := b.n
	for row > 0 && at.better(&b.list[row-1]) {
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

func (at *phrase) better(other *phrase) bool {
	if at.notes != other.notes {
		return at.notes > other.notes
	}
	return at.number < other.number
}
