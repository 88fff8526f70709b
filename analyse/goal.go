package analyse

import (
	"slices"

	"shedlight/analyse/phrase"
	"shedlight/analyse/song"
	"shedlight/analyse/tone"
)

// GoalKind is what a player can set out to do in each chorus.
type GoalKind uint8

const (
	NoGoal GoalKind = iota
	// NoSlip: nothing slips.
	NoSlip
	// ThirdOnChange: where the line goes over a change of chord, the third of the new
	// chord stands on it (phrase.OnChange).
	ThirdOnChange
	// FamilyChord: a chord of the centre's family is played, struck or as an arpeggio, as
	// figure.FamilyUse counts it.
	FamilyChord
)

// Goal is what each chorus is to bring; the zero Goal is none.
type Goal struct {
	Kind GoalKind
	Bars []bool     // the bars of the Timeline that it holds for, in its order
	On   tone.Class // FamilyChord: the tone of the scale that the chord stands on (figure.Finder.Watch)
}

// covers reports whether a bar of the timeline, -1 for none, is one of the goal's.
func (g *Goal) covers(bar int) bool { return bar >= 0 && g.Bars != nil && g.Bars[bar] }

// GoalCount is what a chorus brought to the goal. Tally counts its notes in the bars of
// the goal. A change is there where its second chord begins there, a chord where its first note
// lies there; both are counted in the chorus in which the note was struck that stands on the change,
// or that begins the chord.
type GoalCount struct {
	Tally
	Changes int64 `json:"changes,omitempty"` // ThirdOnChange: changes of chord that the line went over
	Thirds  int64 `json:"thirds,omitempty"`  // and those of them with the third of the new chord
	Chords  int64 `json:"chords,omitempty"`  // FamilyChord: how often the chord was played
}

// Met returns how far a goal was met in some choruses: on how many of the changes that the
// line went over, for ThirdOnChange; else in how many of the choruses in which something
// was played in its bars.
func (k GoalKind) Met(all []ChorusCount) (met, of int) {
	for i := range all {
		goal := &all[i].Goal
		switch {
		case k == ThirdOnChange:
			met, of = met+int(goal.Thirds), of+int(goal.Changes)
			continue
		case goal.Notes == 0:
			continue
		case k == FamilyChord && goal.Chords > 0, k == NoSlip && goal.Slips() == 0:
			met++
		}
		of++
	}
	return met, of
}

// goalSoFar is how far the goal was met without choruses that are forgotten, without the
// one that is played until its bars of the goal are over, and without one whose last notes
// may still be found to be the chord.
func (a *Analyser) goalSoFar(p *song.Position) (met, of int) {
	c := &a.counts
	for i := range c.choruses {
		one := &c.choruses[i]
		playing := one.Chorus == p.Chorus && p.BarRow >= 0 && slices.Contains(c.goal.Bars[p.BarRow:], true)
		open := c.goal.Kind == FamilyChord && one.Goal.Chords == 0 && a.melody.phrases.Figures.IsOpen(i)
		if playing || open || c.Forgotten(one.Chorus) {
			continue
		}
		m, o := c.goal.Kind.Met(c.choruses[i : i+1])
		met, of = met+m, of+o
	}
	return met, of
}

// watchGoal has told what the goal counts beside notes.
func (a *Analyser) watchGoal() {
	phrases, c := &a.melody.phrases, &a.counts
	switch c.goal.Kind {
	case ThirdOnChange:
		phrases.Changed = func(x phrase.OnChange) {
			if goal := c.goalOf(x.Chorus, x.Bar); goal != nil {
				goal.Changes += x.Changes
				goal.Thirds += x.Thirds
			}
		}
	case FamilyChord:
		phrases.Figures.Watch(c.goal.On, func(chorus, bar int) {
			if goal := c.goalOf(chorus, bar); goal != nil {
				goal.Chords++
			}
		})
	}
}

// goalOf is where something is counted in the row of a chorus that lies in a bar of the
// timeline; nil outside a chorus and the goal.
func (c *counts) goalOf(chorus, bar int) *GoalCount {
	if chorus < 0 || !c.goal.covers(bar) {
		return nil
	}
	return &c.choruses[chorus].Goal
}
