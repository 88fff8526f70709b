package analyse

import (
	"shedlight/analyse/fate"
	"shedlight/analyse/song"
	"shedlight/analyse/tone"
)

// settle tells what became of a note and counts it.
func (a *Analyser) settle(n int64, rows *song.Rows, v fate.Verdict) {
	a.counts.settled(rows, v)
	a.page.settled(n, &v, a.phraseNow())
	a.out = append(a.out, Finding{Stage: Settled, N: n, Fate: v.Fate, By: v.By, HeardScale: v.Scale, Colour: v.Colour})
}

// settleOpen tells what became of a note that was open, and its phrase of it.
func (a *Analyser) settleOpen(o *fate.Open, v fate.Verdict) {
	a.settle(o.N, &o.Rows, v)
	if o.Against() && v.Fate != fate.Unresolved { // else it is a slip already
		group, _ := GroupOf(v.Fate)
		a.countFought(o, group)
	}
	if o.Voice == fate.Melody {
		a.melody.phrases.Settled(o.N, v.Fate == fate.Unresolved)
	}
}

// fought tells that a note is held against its chord: a slip, in the scale or out of
// it. One that is outside is counted when its fate is settled.
func (a *Analyser) fought(o *fate.Open) {
	if o.Inside {
		a.countFought(o, InScale)
	}
	a.page.fought(o.N, a.phraseNow())
	a.out = append(a.out, Finding{Stage: Fought, N: o.N, Against: o.Fights})
}

func (a *Analyser) countFought(o *fate.Open, group Group) {
	c := o.Context
	own := tone.ClassOf(int(o.Class) - 1)
	fight := Fight{Chord: c.Symbol, Name: o.Named[o.Class], Is: o.Fights, Own: c.Name[own], Times: 1}
	a.counts.against(&o.Rows, group, fight)
	if o.Voice == fate.Melody {
		a.page.fight, a.page.fightOf = fight, o.N
		a.melody.phrases.Fought(o.N)
	}
}

// phraseNow is the number of the phrase that is being played; 0 for none.
func (a *Analyser) phraseNow() int64 {
	playing, number := a.melody.phrases.Playing()
	if !playing {
		return 0
	}
	return number
}
