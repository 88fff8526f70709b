package display

import (
	"fmt"
	"strings"

	"shedlight/analyse"
	"shedlight/analyse/figure"
	"shedlight/analyse/harmony"
	"shedlight/analyse/phrase"
)

// mostNamed is how many chords or scales are named that fit equally well.
const mostNamed = 3

// figure says what a figure is: "run up of 5", "arpeggio down of Dm7♭5 (3 of 4)",
// "chord Fmaj7", "leap up".
func (s speller) figure(g *figure.OfPhrase) string {
	text := g.Kind.String() + " " + g.Direction
	switch g.Kind {
	case figure.Run:
		return fmt.Sprintf("%s of %d", text, g.Notes)
	case figure.StruckChord:
		return g.Kind.String() + " " + s.familyChord(g.Chords[0])
	case figure.Arpeggio:
		text += " of " + strings.Join(named(g.Chords, s.familyChord), " or ")
		if g.Tones < g.Of {
			text += fmt.Sprintf(" (%d of %d)", g.Tones, g.Of)
		}
	}
	return text
}

// familyChord shows a chord of a family: its symbol, or its notes where it has none.
func (s speller) familyChord(t string) string {
	notes := strings.Fields(t)
	if len(notes) == 1 {
		return s.symbol(t)
	}
	for i := range notes {
		notes[i] = s.name(notes[i])
	}
	return strings.Join(notes, " ")
}

// figureFrom says also where it starts: "run down of 6 from the six half",
// "arpeggio up of Dm7♭5 (3 of 4) from F".
func (s speller) figureFrom(g *figure.Figure, kind harmony.ScaleKind) string {
	told := g.OfPhrase()
	text := s.figure(&told)
	if g.Kind == figure.Run {
		return text + " from the " + placeWord(g.Half, kind) + " half"
	}
	return text + " from " + s.name(g.Start)
}

// figures lists the figures of a phrase in order. Leaps in a row are counted.
func (s speller) figures(p *phrase.Phrase) []string {
	var out []string
	isLeap := func(i int) bool { return i < len(p.Figures) && p.Figures[i].Kind == figure.Leap }
	for i, next := 0, 0; i < len(p.Figures); i = next {
		for next = i + 1; isLeap(i) && isLeap(next); {
			next++
		}
		text := s.figure(&p.Figures[i])
		if next-i > 1 {
			text = count(int64(next-i), figure.Leap.String())
		}
		out = append(out, text)
	}
	if more := p.FigureCount - len(p.Figures); more > 0 {
		out = append(out, fmt.Sprintf("%d more", more))
	}
	return out
}

// figuresIn lists the figures of a phrase in so many cells, as far as they go.
func (s speller) figuresIn(p *phrase.Phrase, room int) string {
	texts := s.figures(p)
	if room < minNews || len(texts) == 0 {
		return ""
	}
	return flow("", ", ", room, 1, texts)[0]
}

// justPlayed is the figure that ended last: what is being outlined, or a run or an
// arpeggio of the last bars.
func (s speller) justPlayed(snap *analyse.Snapshot) string {
	last := &snap.Outlined
	for _, g := range []*figure.Figure{&snap.Run, &snap.Arpeggio} {
		if g.Notes > 0 && (last.Notes == 0 || g.End > last.End) {
			last = g
		}
	}
	if last.Notes == 0 {
		return ""
	}
	return s.figureFrom(last, snap.Scale.Kind)
}

// named names the first of several.
func named[T any](all []T, name func(T) string) (out []string) {
	for _, one := range all[:min(len(all), mostNamed)] {
		out = append(out, name(one))
	}
	if len(all) > mostNamed {
		out = append(out, ellipsis)
	}
	return out
}
