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
	return func(yield func(*analyse.Finding) bool) {
		var open []analyse.Finding // notes of which something is still to be said, or one before them
		first := int64(0)          // the number of the first of them
		stopped := false
		tell := func(done func(*analyse.Finding) bool) {
			for !stopped && len(open) > 0 && done(&open[0]) {
				stopped = !yield(&open[0])
				open, first = open[1:], first+1
			}
		}
		_, _ = r.play(r.setup, func(_ *analyse.Analyser, news []analyse.Finding) bool {
			for i := range news {
				if f := &news[i]; f.Stage == analyse.Heard {
					open = append(open, *f)
				} else {
					open[f.N-first].Fold(f)
				}
			}
			latest := first + int64(len(open)) - 1
			tell(func(f *analyse.Finding) bool {
				return f.N <= latest-analyse.FarBack && f.Fate != fate.Pending && f.Role != analyse.NoRole
			})
			return !stopped
		})
		tell(func(*analyse.Finding) bool { return true })
	}
}

// Phrases are the phrases in their order, whole, as they stand once the slips that
// were meant are out of their counts.
func (r *Report) Phrases() iter.Seq[*phrase.Phrase] {
	return func(yield func(*phrase.Phrase) bool) {
		setup := r.setup
		setup.Whole = true
		told, going := int64(0), true
		tell := func(a *analyse.Analyser, until int64) {
			for going && told < until {
				told++
				p, _ := a.Phrase(told)
				r.takeMeant(&p)
				going = r.forgot(p.Chorus) || yield(&p)
			}
		}
		a, err := r.play(setup, func(a *analyse.Analyser, _ []analyse.Finding) bool {
			tell(a, a.PhrasesOver()-phrase.Kept+1) // as late as can be, so that its fates are settled
			return going
		})
		if err == nil {
			tell(a, a.PhrasesOver())
		}
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
