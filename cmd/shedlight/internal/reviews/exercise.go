package reviews

import (
	"fmt"
	"slices"

	"shedlight/analyse/advise"
	"shedlight/analyse/changes"
	"shedlight/analyse/harmony"
	"shedlight/analyse/material"
	"shedlight/cmd/shedlight/internal/usage"
)

// Exercise writes what a suggestion of the review gives to play, by its number on the
// page. The error is a usage.Error where there is no such suggestion or it has no notes.
func (r *Report) Exercise(n int) (*advise.Suggestion, *material.Exercise, error) {
	all := r.Suggestions
	if len(all) == 0 {
		return nil, nil, usage.Errorf("--exercise %d: nothing is suggested of %s", n, r.File)
	}
	if n > len(all) {
		return nil, nil, usage.Errorf("--exercise %d: no such suggestion; the page has %d", n, len(all))
	}
	s := &all[n-1]
	if len(s.Play.Notes) == 0 {
		var with []string
		for i := range all {
			if len(all[i].Play.Notes) > 0 {
				with = append(with, fmt.Sprint(i+1))
			}
		}
		return nil, nil, usage.Errorf("--exercise %d: that suggestion names no notes; these do: %s", n, orNone(with))
	}
	e, err := given(s, r.setup.Timeline).Over(r.setup.Timeline)
	if err != nil {
		return nil, nil, fmt.Errorf("--exercise %d: %w", n, err)
	}
	return s, e, nil
}

// given is a suggestion as the maker of material takes it.
func given(s *advise.Suggestion, line *changes.Timeline) material.Given {
	p := &s.Play
	g := material.Given{
		Tones: advise.Classes(p.Notes), Then: advise.Classes(p.Then), Bar: p.Bar, ToBar: p.ToBar, Chord: p.Chord, Next: p.Next, Tempo: p.Tempo,
	}
	switch {
	case s.Kind == advise.HalfStep:
		g.Shape = material.Fall
	case s.Kind == advise.Hanging:
		g.Shape = material.Pairs
	case s.Kind == advise.Crossing:
		g.Shape, g.ToBar = material.Into, g.Bar // what it goes into may be round the form
	case s.Kind == advise.Unresolved && len(p.Then) > 0:
		g.Shape = material.Into
	case s.Kind == advise.OnBeat && len(s.Bars) > 0:
		g.Bar, g.ToBar = s.Bars[0], s.Bars[len(s.Bars)-1]
	case s.Kind == advise.Untouched:
		g.Chord = s.Scale.HomeChord().ChartSymbol()
	}
	if g.Next == "" && line != nil {
		g.Next = behind(line, g.Chord, g.Bar)
	}
	centre, err := changes.ParseCentre(s.Centre)
	if err == nil && g.Chord == "" {
		g.Chord = centre.Scale().HomeChord().ChartSymbol()
	}
	if g.Key = centre; err != nil {
		g.Key = centreOf(g.Chord)
	}
	return g
}

// behind is the symbol of the chord that follows one from a bar on, round the form.
func behind(line *changes.Timeline, symbol string, bar int) string {
	slots := line.Slots
	at := slices.IndexFunc(slots, func(s changes.Slot) bool { return s.Symbol == symbol && s.Bar >= bar })
	for i := range slots {
		if next := &slots[(max(at, 0)+i)%len(slots)]; next.Symbol != symbol {
			return next.Symbol
		}
	}
	return symbol
}

// centreOf is the key that a chord is written in by itself.
func centreOf(symbol string) changes.Centre {
	read, err := harmony.ParseSymbol(symbol)
	if err != nil {
		return changes.Centre{}
	}
	return material.KeyOf(read.Chord)
}
