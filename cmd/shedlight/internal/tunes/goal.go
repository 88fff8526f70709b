package tunes

import (
	"slices"
	"strings"

	"shedlight/analyse"
	"shedlight/analyse/changes"
	"shedlight/analyse/harmony"
	"shedlight/analyse/song"
	"shedlight/analyse/tone"
	"shedlight/cmd/shedlight/internal/settings"
	"shedlight/cmd/shedlight/internal/usage"
)

// setGoal finds the bars of the goal: those of a section, else by their numbers.
func (t *Tune) setGoal() error {
	if t.over.Goal == "" {
		return nil
	}
	said, err := settings.ParseGoal(t.over.Goal)
	if err != nil {
		return usage.Errorf("--goal%w", err)
	}
	bars := t.Setup.Timeline.Bars
	from, to, unnumbered := settings.BarRange(said.Place)
	section := slices.ContainsFunc(bars, func(b changes.Bar) bool { return b.Section == said.Place })
	goal := analyse.Goal{Kind: said.Kind, Bars: make([]bool, len(bars)), On: said.On.Class()}
	for i, b := range bars {
		goal.Bars[i] = said.Place == "" || section && b.Section == said.Place ||
			!section && unnumbered == nil && from <= b.Number && b.Number <= to
	}
	if !slices.Contains(goal.Bars, true) {
		return usage.Errorf("--goal %s: what is played has no bars and no section %s", t.over.Goal, said.Place)
	}
	t.Setup.Goal = goal
	if said.Kind == analyse.FamilyChord {
		return t.checkFamily(said.On)
	}
	return nil
}

// checkFamily says on which tones the scales in the bars of the goal, of the view that the
// session begins in, have a chord of their families, where none has one on this.
func (t *Tune) checkFamily(on tone.Name) error {
	line := t.Setup.Timeline
	var names [tone.Octave]string
	for i := range line.Slots {
		slot := &line.Slots[i]
		first, last := line.BarAt(slot.Start, 0), line.BarAt(slot.End-1, 0)
		scale := t.scaleOf(slot)
		if scale.None() || !slices.Contains(t.Setup.Goal.Bars[first:last+1], true) {
			continue
		}
		for _, name := range scale.Tones() {
			names[name.Class()] = name.String()
		}
	}
	if names[on.Class()] != "" {
		return nil
	}
	there := slices.DeleteFunc(names[:], func(name string) bool { return name == "" })
	return usage.Errorf("--goal %s: no scale of what is played has a chord on %s: expected one on %s", t.over.Goal, on, strings.Join(there, " "))
}

// scaleOf is the scale of a slot in the view that the session begins in.
func (t *Tune) scaleOf(slot *changes.Slot) harmony.Scale {
	if t.Setup.View == song.ChordView {
		return slot.Own
	}
	return slot.Key
}

// FirstTones are those of the first scale that is played over, on each of which its
// families have a chord; none without a chart.
func (t *Tune) FirstTones() []tone.Name {
	if t.Setup.Timeline == nil {
		return nil
	}
	for i := range t.Setup.Timeline.Slots {
		if scale := t.scaleOf(&t.Setup.Timeline.Slots[i]); !scale.None() {
			tones := scale.Tones()
			return tones[:]
		}
	}
	return nil
}
