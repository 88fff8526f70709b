package reviews

import (
	"iter"
	"slices"

	"shedlight/analyse"
	"shedlight/analyse/fate"
	"shedlight/analyse/phrase"
)

// What a review tells of each note and of each phrase is not kept: the take is judged
// again while it is told, and what was told is forgotten. The same events give the same
// findings, so that the lists go with what the take came to.

// play runs the events of the take through an analyser and hands over what each of
// them brought, until told says that it is enough. A setup that was taken once is
// taken again.
func (r *Report) play(setup analyse.Setup, told func(*analyse.Analyser, []analyse.Finding) bool) (*analyse.Analyser, error) {
	a, err := analyse.New(setup)
	if err != nil {
		return nil, err
	}
	for e := range r.take.Events {
		if !told(a, a.Add(e)) {
			return a, nil
		}
	}
	told(a, a.Finish(r.take.End))
	return a, nil
}

// Findings are the notes in their order, each with all that was said of it. One is
// valid until the next.
func (r *Report) Findings() iter.Seq[*analyse.Finding] {
	return func(yield func(*analyse.Finding) bool) { r.tell(yield, nil) }
}

// Phrases are the phrases in their order, whole, as they stand once the slips that
// were meant are out of their counts.
func (r *Report) Phrases() iter.Seq[*phrase.Phrase] {
	return func(yield func(*phrase.Phrase) bool) { r.tell(nil, yield) }
}

// FindingsBeside is Findings, and hands over the phrases meanwhile, of which it costs
// less to tell here than to judge the take again for them.
func (r *Report) FindingsBeside(over func(*phrase.Phrase)) iter.Seq[*analyse.Finding] {
	return func(yield func(*analyse.Finding) bool) {
		r.tell(yield, func(p *phrase.Phrase) bool {
			over(p)
			return true
		})
	}
}

// tell tells the notes and the phrases, each until it has enough; nil wants none.
func (r *Report) tell(note func(*analyse.Finding) bool, over func(*phrase.Phrase) bool) {
	setup := r.setup
	setup.Whole = over != nil
	notes, phrases := noteTeller{yield: note, going: note != nil}, phraseTeller{report: r, yield: over, going: over != nil}
	a, err := r.play(setup, func(a *analyse.Analyser, news []analyse.Finding) bool {
		notes.take(news)
		phrases.tell(a, a.PhrasesOver()-phrase.Kept+1) // as late as can be, so that its fates are settled
		return notes.going || phrases.going
	})
	if err == nil {
		notes.tell(func(*analyse.Finding) bool { return true })
		phrases.tell(a, a.PhrasesOver())
	}
}

// noteTeller puts together what is said of each note.
type noteTeller struct {
	open  []analyse.Finding // notes of which something is still to be said, or one before them
	first int64             // the number of the first of them
	yield func(*analyse.Finding) bool
	going bool
}

func (t *noteTeller) take(news []analyse.Finding) {
	if !t.going {
		return
	}
	for i := range news {
		if f := &news[i]; f.Stage == analyse.Heard {
			t.open = append(t.open, *f)
		} else {
			t.open[f.N-t.first].Fold(f)
		}
	}
	latest := t.first + int64(len(t.open)) - 1
	t.tell(func(f *analyse.Finding) bool {
		return f.N <= latest-analyse.FarBack && f.Fate != fate.Pending && f.Role != analyse.NoRole
	})
}

func (t *noteTeller) tell(done func(*analyse.Finding) bool) {
	for t.going && len(t.open) > 0 && done(&t.open[0]) {
		t.going = t.yield(&t.open[0])
		t.open, t.first = t.open[1:], t.first+1
	}
}

// phraseTeller tells the phrases that are over.
type phraseTeller struct {
	report *Report
	told   int64 // so many
	yield  func(*phrase.Phrase) bool
	going  bool
}

func (t *phraseTeller) tell(a *analyse.Analyser, until int64) {
	for t.going && t.told < until {
		t.told++
		p, _ := a.Phrase(t.told)
		t.report.takeMeant(&p)
		t.going = t.report.forgot(p.Chorus) || t.yield(&p)
	}
}

// forgot reports whether the player has let go of a chorus.
func (r *Report) forgot(chorus int) bool { return slices.Contains(r.Forgotten, chorus) }

// remembered are the slips but for those of choruses that the player has let go of.
func (r *Report) remembered(slips iter.Seq[*analyse.Finding]) iter.Seq[*analyse.Finding] {
	return func(yield func(*analyse.Finding) bool) {
		for f := range slips {
			if !r.forgot(f.Chorus) && !yield(f) {
				return
			}
		}
	}
}

func (r *Report) takeMeant(p *phrase.Phrase) {
	for i := range r.meant {
		if f := &r.meant[i]; f.Role == analyse.Line && p.First <= f.N && f.N <= p.Last {
			p.TakeMeant(f.Fate == fate.Unresolved)
		}
	}
}

func (r *Report) slipsAgain(yield func(*analyse.Finding) bool) {
	_, _ = r.play(r.setup, toldSlips(yield))
}

// toldSlips is what to give to play to be told each slip, until yield has enough.
func toldSlips(yield func(*analyse.Finding) bool) func(*analyse.Analyser, []analyse.Finding) bool {
	found := NewSlips()
	return func(_ *analyse.Analyser, news []analyse.Finding) bool {
		for i := range news {
			if slip := found.Add(&news[i]); slip != nil && !yield(slip) {
				return false
			}
		}
		return true
	}
}
