package analyse

import (
	"shedlight/analyse/fate"
	"shedlight/analyse/song"
)

// settle tells what became of a note and counts it.
func (a *Analyser) settle(n int64, rows *song.Rows, v fate.Verdict) {
	a.counts.settled(rows, v)
	playing, number := a.melody.phrases.Playing()
	if !playing {
		number = 0
	}
	a.page.settled(n, v.Fate, number)
	a.out = append(a.out, Finding{Stage: Settled, N: n, Fate: v.Fate, By: v.By, HeardScale: v.Scale})
}

// settleOpen tells what became of a note that was open, and its phrase of it.
func (a *Analyser) settleOpen(o *fate.Open, v fate.Verdict) {
	a.settle(o.N, &o.Rows, v)
	if o.Voice == fate.Melody {
		a.melody.phrases.Settled(o.N, v.Fate == fate.Unresolved)
	}
}
