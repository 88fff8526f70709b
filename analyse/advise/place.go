package advise

import (
	"slices"

	"shedlight/analyse"
	"shedlight/analyse/changes"
	"shedlight/analyse/material"
	"shedlight/analyse/song"
	"shedlight/analyse/tone"
)

// Over which bars the chords of a family are played is common practice, no source: those
// of the home half over I, those of the dim half over V, either over ii. A chord with more
// tones in one half is of that half; one with two in each goes over all.
//
//   - Two bars one after the other, the second chord where its half rules; first for the
//     chord that is missing and the first of the family, then for it and its neighbours.
//   - Else one bar, half of it for each: over the same chord, which is no ii, the first of
//     the two may be of the other half, for the second takes it home.
//   - Else no bar is named.

// Place says over which bars of a chart the chords of a family are to be played, of those
// that were played over. What names no family, and no notes, is left as it is.
func Place(all []Suggestion, s *analyse.Summary, line *changes.Timeline) {
	if line == nil {
		return
	}
	for i := range all {
		if a := &all[i]; a.Kind == Untouched && len(a.Play.Notes) > 0 {
			p := placer{of: a.Subject, line: line, view: s.View, played: barsWhere(chartOf(s), func(*over) bool { return true })}
			p.place(&a.Play)
		}
	}
}

// placer finds bars for two chords of a family.
type placer struct {
	of     Subject
	line   *changes.Timeline
	view   song.View
	played []int
}

// place puts the missing chord, which is the first that is to be played, over bars.
func (p *placer) place(e *Exercise) {
	pairs := p.pairs(e)
	for _, bars := range []int{2, 1} {
		for _, pair := range pairs {
			for bar := 1; bar+bars-1 <= len(p.line.Bars); bar++ {
				if p.fits(pair, bar, bar+bars-1) {
					e.Bar, e.ToBar, e.Notes, e.Then = bar, bar+bars-1, pair[0], pair[1]
					return
				}
			}
		}
	}
}

// pairs are the chords that may be played one after the other: the missing one and that
// which the exercise has behind it, then the missing one and its neighbours, either way.
func (p *placer) pairs(e *Exercise) (out [][2][]string) {
	out = [][2][]string{{e.Notes, e.Then}}
	below, above := p.moved(e.Notes, -1), p.moved(e.Notes, 1)
	return append(out, [][2][]string{{below, e.Notes}, {above, e.Notes}, {e.Notes, below}, {e.Notes, above}}...)
}

// moved moves a chord of the family by steps of its scale.
func (p *placer) moved(names []string, by int) (out []string) {
	tones := p.of.Scale.Tones()
	for _, class := range Classes(names) {
		i, _ := p.of.Scale.Index(class) // it is of the scale
		out = append(out, tones[(i+by+len(tones))%len(tones)].String())
	}
	return out
}

// fits reports whether two chords of the family go over two bars, or over the halves of
// one.
func (p *placer) fits(pair [2][]string, from, to int) bool {
	g := material.Given{Tones: Classes(pair[0]), Then: Classes(pair[1]), Bar: from, ToBar: to}
	first, second := p.slots(from), p.slots(to)
	if !p.ours(slices.Concat(first, second)) {
		return false
	}
	if !slices.Contains(p.played, from) || !slices.Contains(p.played, to) {
		return false
	}
	switch {
	case from != to:
		return p.rule(g.Tones, first) && p.rule(g.Then, second) && g.Stands(p.line)
	case len(first) > 1:
		return p.rule(g.Tones, first[:len(first)-1]) && p.rule(g.Then, first[len(first)-1:]) && g.Stands(p.line)
	}
	home, dim := p.of.Scale.Ruling(first[0].Chord.Set())
	return home != dim && p.rule(g.Then, first) && g.Stands(p.line)
}

// slots are the chords of a bar.
func (p *placer) slots(bar int) []changes.Slot {
	b := &p.line.Bars[bar-1]
	from := p.line.SlotAt(b.Start, 0)
	return p.line.Slots[from : p.line.SlotAt(b.Start+b.Meter.Bar()-1, from)+1]
}

// ours reports whether the family's scale is that of some chords: of the key over all of
// them, or of one of them.
func (p *placer) ours(slots []changes.Slot) bool {
	if p.view == song.ChordView {
		return slices.ContainsFunc(slots, func(s changes.Slot) bool { return s.Own == p.of.Scale })
	}
	return !slices.ContainsFunc(slots, func(s changes.Slot) bool {
		return s.Key != p.of.Scale || s.Centre.String() != p.of.Centre
	})
}

// rule reports whether tones are of the half of the family's scale that rules over each of
// some chords.
func (p *placer) rule(tones []tone.Class, slots []changes.Slot) bool {
	home, dim := p.of.Scale.Ruling(tone.SetOf(tones...))
	return !slices.ContainsFunc(slots, func(s changes.Slot) bool {
		homeRules, dimRules := p.of.Scale.Ruling(s.Chord.Set())
		return !(home && homeRules || dim && dimRules)
	})
}

// Classes are the classes of the tones that an exercise names.
func Classes(names []string) (out []tone.Class) {
	for _, text := range names {
		name, _, _ := tone.CutName(text)
		out = append(out, name.Class())
	}
	return out
}
