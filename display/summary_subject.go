package display

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"shedlight/analyse"
	"shedlight/analyse/advise"
)

// mostBars is how many bars are named that are no one stretch.
const mostBars = 5

// overChord says where a chord stands: "bars 13-14, over C7".
func (s speller) overChord(bar, to int, symbol string) string {
	return stretchOfBars(bar, to) + ", over " + s.symbol(symbol)
}

func stretchOfBars(bar, to int) string {
	if to <= bar {
		return fmt.Sprintf("bar %d", bar)
	}
	return fmt.Sprintf("bars %d-%d", bar, to)
}

// barList names bars: "bars 2, 4, 9", some of them if there are many.
func barList(bars []int) string {
	if len(bars) == 1 {
		return stretchOfBars(bars[0], bars[0])
	}
	var texts []string
	for _, b := range bars[:min(len(bars), mostBars)] {
		texts = append(texts, fmt.Sprint(b))
	}
	if len(bars) > mostBars {
		texts = append(texts, ellipsis)
	}
	return "bars " + strings.Join(texts, ", ")
}

// subject says what a suggestion points at.
func (s speller) subject(a *advise.Suggestion) string {
	switch a.Kind {
	case advise.Unresolved:
		if a.Chord != "" {
			return s.overChord(a.Bar, a.ToBar, a.Chord)
		}
		return "over " + s.centre(a.Centre)
	case advise.OnBeat:
		return "on the beat over " + s.text(a.ChordKind) + " chords"
	}
	return fmt.Sprintf("the chord on %s of the %s family", s.bass(a.Scale, a.Step), s.symbol(a.Family))
}

// suggestion says what a suggestion points at and what backs it.
func (s speller) suggestion(a *advise.Suggestion) string {
	out := s.subject(a)
	switch a.Kind {
	case advise.Unresolved:
		out += fmt.Sprintf(": %d of %d notes unresolved", a.Part, a.Whole)
		if len(a.Bars) > 0 {
			out += ", " + barList(a.Bars)
		}
	case advise.OnBeat:
		out += fmt.Sprintf(": %d of %d chord tones", a.Whole-a.Part, a.Whole)
		if len(a.Bars) > 0 {
			out += ", " + barList(a.Bars)
		}
		out += "; a half step put in shifts a line"
	case advise.Untouched:
		if a.Name != "" {
			out += " (" + s.familyChord(a.Name) + ")"
		}
		out += " not touched"
		if a.Choruses > 0 {
			out += " in " + count(int64(a.Choruses), "chorus")
		}
		out += fmt.Sprintf("; its other chords %s", times(a.Whole))
	}
	return out
}

// met says what a suggestion said then and how it stands now.
func (s speller) met(m *advise.Met) string {
	if m.Now.Kind == advise.Untouched {
		return "met: " + s.subject(&m.Now) + " was played"
	}
	return fmt.Sprintf("met: %s, %d of %d -> %d of %d", s.subject(&m.Now), m.Then.Part, m.Then.Whole, m.Now.Part, m.Now.Whole)
}

// bass names the lowest tone of a chord of a family: a family moves up its
// scale from the root.
func (s speller) bass(scale string, step int) string {
	sc, ok := findScale(scale)
	if !ok {
		return s.text(scale)
	}
	tones := sc.Tones()
	if step < 1 || step > len(tones) {
		return s.text(scale)
	}
	return s.name(tones[step-1].String())
}

// familyUse is one family with what was played of it.
type familyUse struct {
	name, scale string
	played      int64
	untouched   []int // steps
}

// familiesOf gathers the families of a summary, the one played most first.
func familiesOf(s *analyse.Summary) []familyUse {
	type key struct{ centre, scale, family string }
	var out []familyUse
	rows := map[key]int{}
	for i := range s.Family {
		f := &s.Family[i]
		k := key{f.Centre, f.Scale, f.Family}
		row, ok := rows[k]
		if !ok {
			row = len(out)
			rows[k] = row
			out = append(out, familyUse{name: f.Family, scale: f.Scale})
		}
		out[row].played += f.Times
		if f.Times == 0 {
			out[row].untouched = append(out[row].untouched, f.Step)
		}
	}
	slices.SortStableFunc(out, func(a, b familyUse) int { return cmp.Compare(b.played, a.played) })
	return out
}

func (f familyUse) text(sp speller) string {
	var on []string
	for _, step := range f.untouched {
		on = append(on, sp.bass(f.scale, step))
	}
	word := "chord"
	if len(on) > 1 {
		word = "chords"
	}
	return fmt.Sprintf("%s family: the %s on %s", sp.symbol(f.name), word, strings.Join(on, ", "))
}
