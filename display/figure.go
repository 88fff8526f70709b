package display

import (
	"fmt"
	"strings"

	"shedlight/analyse"
	"shedlight/analyse/figure"
	"shedlight/analyse/harmony"
	"shedlight/analyse/phrase"
	"shedlight/analyse/song"
)

// mostNamed is how many chords or scales are named that fit equally well.
const mostNamed = 3

// figure says what a figure is: "run of 8 down, without the ♭6", "arpeggio of Dm7♭5
// down, 3 of 4 tones", "arpeggio of F7 up, 3-5-7-9", "cell 1-2-3-5 of C6", "enclosure of
// E", "chord Fmaj7", "leap up".
func (s speller) figure(g *figure.OfPhrase) string {
	text := g.Kind.String()
	chords := strings.Join(named(g.Chords, s.familyChord), " or ")
	switch g.Kind {
	case figure.Run:
		return fmt.Sprintf("%s of %d %s", text, g.Notes, g.Direction) + s.runThrough(g)
	case figure.StruckChord:
		return text + " " + s.familyChord(g.Chords[0])
	case figure.Arpeggio:
		text = strings.TrimSpace(text + " of " + chords + " " + g.Direction)
		switch {
		case g.Order != "":
			text += ", " + g.Order
		case g.Degrees != "":
			text += ", " + s.degrees(g.Degrees)
		case g.Tones < g.Of:
			text += fmt.Sprintf(", %d of %d tones", g.Tones, g.Of)
		}
		return text + putIn(g.HalfSteps)
	case figure.Cell:
		return text + " " + s.degrees(g.Degrees) + " of " + chords
	case figure.Enclosure:
		return text + " of " + s.name(g.Goal)
	case figure.Repeated:
		return s.name(g.Start) + " struck " + times(int64(g.Notes))
	case figure.Trill:
		return text + " on " + s.name(g.Start) + " and " + s.name(g.Goal)
	}
	return strings.TrimSpace(text + " " + g.Direction)
}

// runThrough says what a run goes through where that is not the whole scale.
func (s speller) runThrough(g *figure.OfPhrase) string {
	switch {
	case g.Without != "":
		return ", without the " + s.degree(g.Without)
	case len(g.Chords) > 0:
		return ", all of " + s.symbol(g.Chords[0])
	}
	return ""
}

// putIn says how many half steps are put into an arpeggio.
func putIn(n int) string {
	switch n {
	case 0:
		return ""
	case 1:
		return ", with a half step"
	}
	return fmt.Sprintf(", with %d half steps", n)
}

// degrees shows degrees joined by hyphens.
func (s speller) degrees(joined string) string {
	all := strings.Split(joined, "-")
	for i := range all {
		all[i] = s.degree(all[i])
	}
	return strings.Join(all, "-")
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

// figureFrom says also where it starts: "run of 6 down from the six half",
// "arpeggio of Dm7♭5 up from F, 3 of 4 tones", but for what tells its tones.
func (s speller) figureFrom(g *figure.Figure, kind harmony.ScaleKind) string {
	told := g.OfPhrase()
	switch {
	case g.Kind == figure.Run:
		through := s.runThrough(&told)
		told.Without, told.Chords = "", nil
		half := ""
		if g.Half == song.Home || g.Half == song.Dim {
			half = " from the " + placeWord(g.Half, kind) + " half"
		}
		return s.figure(&told) + half + through
	case g.Order != "" || g.Degrees != "" || g.HalfSteps > 0 || g.Kind == figure.Repeated:
		return s.figure(&told)
	}
	text, tones, is := strings.Cut(s.figure(&told), ", ")
	if is {
		tones = ", " + tones
	}
	return text + " from " + s.name(g.Start) + tones
}

// betweenFigures parts the figures of a phrase.
const betweenFigures = "; "

// madeOf lists the figures of a phrase in order. Leaps in a row are told together.
func (s speller) madeOf(label string, p *phrase.Phrase) list {
	out := list{label: label, between: betweenFigures, hang: width(label), behind: p.FigureCount - len(p.Figures)}
	isLeap := func(i int) bool { return i < len(p.Figures) && p.Figures[i].Kind == figure.Leap }
	for i, next := 0, 0; i < len(p.Figures); i = next {
		for next = i + 1; isLeap(i) && isLeap(next); {
			next++
		}
		text := s.figure(&p.Figures[i])
		if next-i > 1 {
			text = count(int64(next-i), figure.Leap.String())
		}
		out.texts, out.stands = append(out.texts, text), append(out.stands, next-i)
	}
	return out
}

// figuresIn lists the figures of a phrase in so many cells, as far as they go.
func (s speller) figuresIn(p *phrase.Phrase, room int) string {
	if room < minNews || len(p.Figures) == 0 {
		return ""
	}
	return s.madeOf("", p).on(1, room)[0]
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
	if more := len(all) - mostNamed; more > 0 {
		out = append(out, fmt.Sprintf("%d more", more))
	}
	return out
}
