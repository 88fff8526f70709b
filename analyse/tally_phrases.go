package analyse

// PhrasesOver returns how many phrases are over.
func (a *Analyser) PhrasesOver() int64 {
	if a.phrases.playing {
		return a.phrases.number - 1
	}
	return a.phrases.number
}

// PhrasesKept is how many phrases back Phrase reaches.
const PhrasesKept = keptPhrases - 1

// Phrase returns a phrase by its number, from 1, while it is one of the last
// PhrasesKept that are over; ok is false for others. What became of its outside
// notes is complete once its Open is 0.
func (a *Analyser) Phrase(number int64) (p Phrase, ok bool) {
	over := a.PhrasesOver()
	if number < 1 || number > over || number <= over-PhrasesKept {
		return p, false
	}
	return a.phrases.at(number).report(), true
}
