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
	a.counts.against(&o.Rows, group, fightIn(o.Context.Written(), o.Context.Back(o.Class), o.Charted, o.Fights))
	if o.Voice == fate.Melody {
		a.page.fight, a.page.fightOf = fightIn(o.Context, o.Class, o.Named[o.Class], o.Fights), o.N
		a.melody.phrases.Fought(o.N)
	}
}

// fightIn tells of a class that is held against the chord of a context, by its name and
// what it is over that.
func fightIn(c *song.Context, class tone.Class, name, is string) Fight {
	return Fight{Chord: c.Symbol, Name: name, Is: is, Own: c.Name[tone.ClassOf(int(class)-1)], Times: 1}
}

// phraseNow is the number of the phrase that is being played; 0 for none.
func (a *Analyser) phraseNow() int64 {
	playing, number := a.melody.phrases.Playing()
	if !playing {
		return 0
	}
	return number
}
