package analyse

import (
	"shedlight/analyse/changes"
	"shedlight/analyse/harmony"
	"shedlight/analyse/tone"
)

// Which centre is heard, where there is neither a chart nor a given one.
//
// Of the 24 scales of the major and minor centres the one that fits the window
// better than every other is the centre, once the window is full: four bars have
// passed since the first note of the line, or it holds 32 notes; and it must
// hold as many notes as a scale has tones. It stays until another has been the
// best, alone and without a break, for a whole window. Notes are judged by it
// from the next one on; what was said before stands.
//
// The rule is this project's own.

// HeardCentre is a centre that was heard where none was given.
type HeardCentre struct {
	Centre string `json:"centre"`
	From   int64  `json:"from"` // number of the first note that is judged by it
}

const noCentre = -1

// centreEar listens for the centre. Centres are numbered as in fitScales.
type centreEar struct {
	heard, rival int
	rivalFrom    int64             // tick since which the rival has been the best
	rivalNotes   int               // and for how many notes
	slots        [centreScales]int // of the context of each that was heard; 0: none yet
	list         []HeardCentre
}

// fits takes the next note of the line, or the first of a chord with its tones,
// into the window and listens for the centre.
func (a *Analyser) fits(p *played, classes tone.Set) {
	a.fit.add(p, classes, recentBars*p.position.barTicks)
	a.hearCentre(p)
}

// hearCentre listens to what is in the window already.
func (a *Analyser) hearCentre(p *played) {
	if a.setup.Timeline != nil || a.setup.Centre != nil {
		return
	}
	e := &a.ear
	span := recentBars * p.position.barTicks
	best, ok := a.fit.bestCentre()
	switch {
	case !ok || best == e.heard || !a.fit.full(p.tick, span):
		e.rival = noCentre
		return
	case e.heard == noCentre:
		a.listenIn(best)
		return
	case best != e.rival:
		e.rival, e.rivalFrom, e.rivalNotes = best, p.tick, 0
	}
	if e.rivalNotes++; e.rivalNotes >= recentShare || p.tick-e.rivalFrom >= span {
		a.listenIn(best)
	}
}

// listenIn judges what comes from now on by a centre.
func (a *Analyser) listenIn(best int) {
	e := &a.ear
	scale := fitScales[best].scale
	centre := changes.Centre{Tonic: scale.Root, Mode: changes.Major}
	if scale.Kind == harmony.MinorSixth {
		centre.Mode = changes.Minor
	}
	if e.slots[best] == 0 {
		c := lone(&centre)
		c.tally = len(a.centres)
		e.slots[best] = len(a.song.contexts)
		a.song.contexts = append(a.song.contexts, c)
		a.centres = append(a.centres, CentreCount{Centre: c.centre})
		a.figures.extend(&c)
	}
	a.song.lone = e.slots[best]
	e.heard, e.rival = best, noCentre
	e.list = append(e.list, HeardCentre{Centre: centre.String(), From: a.n})
}

// bestCentre returns the centre whose scale leaves less time outside than every
// other.
func (w *fitWindow) bestCentre() (best int, ok bool) {
	least := int64(never)
	for i := range centreScales {
		switch out := w.outside(fitScales[i].set); {
		case out < least:
			best, least, ok = i, out, true
		case out == least:
			ok = false
		}
	}
	return best, ok
}

// full reports whether the window has all it can hold, and notes enough to tell
// a scale by.
func (w *fitWindow) full(tick, span int64) bool {
	n := w.next - w.first
	return n == recentShare || n >= scaleTones && tick-w.began >= span
}
