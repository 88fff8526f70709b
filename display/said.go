package display

import (
	"fmt"

	"shedlight/analyse"
	"shedlight/analyse/phrase"
)

// saying is the one thing that is said large at a moment, in forms from the whole to
// the shortest, with the sentence and what else stands in the line below.
type saying struct {
	large    []string
	ink      ink
	sentence string
	told     bool // what is large says the sentence
	rest     string
}

// says chooses what is said: a banner for what has gone wrong; in the first bar of a chorus, or later on a quiet screen,
// how
// the last one went; in the rest after a phrase where the last bars would go better,
// else what was held against its chord in it, else how the phrase ended; and what it was
// made of; while one is played the last note
// with its place or its word, unless the player wants it quiet.
func (p *painter) says(f *Frame) saying {
	s, unicode := &f.Snapshot, p.speller
	unicode.ascii = false // the large alphabet has its own ASCII form
	over := p.chorus.news(f, p.speller)
	switch {
	case banner(f) != "":
		return saying{large: []string{banner(f)}, ink: reverse, sentence: over}
	case over != "":
		slips := count(s.Choruses[0].Slips(), "slip")
		return saying{large: []string{slips}, sentence: over}
	case !s.InPhrase && s.Fits.Claims():
		return saying{large: []string{off(&s.Fits)}, sentence: youAre(&s.Fits)}
	case !s.InPhrase && s.Phrase.Number > 0:
		return p.resting(s, unicode)
	}
	name, word, k := lastWord(f, unicode)
	if name == "" {
		return saying{}
	}
	one := saying{large: []string{name + "  " + word, name}, ink: k}
	if !f.keepsQuiet() {
		one.rest = p.speller.justPlayed(s)
	}
	return one
}

// resting is what is said of a phrase in the rest after it.
func (p *painter) resting(s *analyse.Snapshot, unicode speller) saying {
	one := saying{
		large: []string{unicode.landing(&s.Phrase), unicode.landed(&s.Phrase)}, sentence: capital(p.speller.landing(&s.Phrase)) + ".",
		told: s.Phrase.Landing != phrase.LeftHanging,
	}
	if f := &s.Fought; f.Times > 0 {
		one.large = []string{unicode.fought(f) + unicode.instead(f), unicode.fought(f)}
		one.sentence, one.told = p.speller.fought(f)+p.speller.instead(f)+".", false
	}
	one.rest = capital(inBar(&s.Phrase))
	if figures := p.speller.figuresIn(&s.Phrase, p.right()-p.margin()-width(one.sentence)-width(one.rest)-2*gap); figures != "" {
		one.rest += "  " + figures
	}
	return one
}

// explained is the share of the notes of the last bars that something explains; empty
// while it is not to be told.
func explained(f *Frame) string {
	r := &f.Snapshot.Recent
	if r.Notes == 0 || f.Snapshot.Scale.None() || f.keepsQuiet() || banner(f) != "" {
		return ""
	}
	return share(int64(r.Explained), int64(r.Notes))
}

// atRight is what stands large at the right, with its label: in how many choruses the
// goal was met, else the share of the last bars that is explained.
func (p *painter) atRight(f *Frame) (text, label string) {
	if goal := f.Status.Goal; goal != "" && banner(f) == "" {
		return fmt.Sprintf("%d of %d", f.Snapshot.GoalMet, f.Snapshot.GoalOf), p.speller.text(goal)
	}
	return explained(f), fmt.Sprintf("last %d bars", analyse.RecentBars)
}

// paintSaid writes large what is said, and at the right what atRight says. Where letters lack or there is no room for them it is plain.
func (p *painter) paintSaid(f *Frame, one saying) {
	at := p.at[spoken]
	if at.n == 0 {
		return
	}
	limit := p.right()
	if text, label := p.atRight(f); text != "" {
		art, ok := p.largest(at.n, limit-p.margin(), text)
		if !ok {
			art = []string{text}
		}
		p.block(limit-width(art[0]), at, art, plain|bold)
		limit -= width(art[0]) + gap
		p.c.putRight(limit, at.y+at.n-1, label, faint)
		limit -= width(label) + gap
	}
	if len(one.large) == 0 {
		return
	}
	art, ok := p.largest(at.n, limit-p.margin(), one.large...)
	if !ok {
		text := one.sentence
		if text == "" {
			text = one.large[0]
		}
		art = []string{cut(p.speller.lettered(text), max(limit-p.margin(), 0))}
	}
	p.block(p.margin(), at, art, one.ink|bold)
}

// largest writes the first form of a text that has room, in the largest letters that
// have room for any.
func (p *painter) largest(rows, cells int, forms ...string) (art []string, ok bool) {
	for _, size := range []int{2 * smallRows, smallRows} {
		for _, form := range forms {
			if size > rows {
				continue
			}
			if art, ok = p.scribe.lettering(form, size); ok && width(art[0]) <= cells {
				return art, true
			}
		}
	}
	return nil, false
}

// block writes rows of text one below the other, in the middle of a part.
func (p *painter) block(x int, at rows, art []string, k ink) {
	for i, row := range art {
		p.c.put(x, at.y+(at.n-len(art))/2+i, row, k)
	}
}

// paintLately writes the sentence of a rest, and what the line was made of. Where it
// has no line of its own the foot takes a sentence that is not told large.
func (p *painter) paintLately(one saying) {
	if at := p.at[lately]; at.n > 0 {
		p.line(p.margin(), p.right(), at.y, []piece{{one.sentence, plain}, {one.rest, faint}})
	}
}
