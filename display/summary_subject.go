package display

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"shedlight/analyse"
	"shedlight/analyse/advise"
	"shedlight/analyse/harmony"
)

// mostStretches is how many stretches of bars are named.
const mostStretches = 5

// overChord says where a chord stands: "bars 13-14, over C7".
func (s speller) overChord(bar, to int, symbol string) string {
	return stretchOfBars(bar, to) + ", over " + s.symbol(symbol)
}

func stretchOfBars(bar, to int) string {
	if to <= bar {
		return "bar " + bareStretch(bar, to)
	}
	return "bars " + bareStretch(bar, to)
}

func bareStretch(bar, to int) string {
	if to <= bar {
		return fmt.Sprint(bar)
	}
	return fmt.Sprintf("%d-%d", bar, to)
}

// barList names bars that are in order: "bars 2, 4-6, 9", the first of them if
// there are many.
func barList(bars []int) string {
	var texts []string
	for i := 0; i < len(bars); {
		from := i
		for i++; i < len(bars) && bars[i] == bars[i-1]+1; i++ {
		}
		if i-from == len(bars) {
			return stretchOfBars(bars[from], bars[i-1])
		}
		if len(texts) == mostStretches {
			texts = append(texts, ellipsis)
			break
		}
		texts = append(texts, bareStretch(bars[from], bars[i-1]))
	}
	return "bars " + strings.Join(texts, ", ")
}

// subject says what a suggestion points at.
func (s speller) subject(a *advise.Suggestion) string {
	switch a.Kind {
	case advise.Elsewhere:
		if a.Bar == 0 {
			return "the whole take"
		}
		return stretchOfBars(a.Bar, a.ToBar)
	case advise.Unresolved:
		switch {
		case a.Bar > 0:
			return s.overChord(a.Bar, a.ToBar, a.Chord)
		case a.Chord != "":
			return "over " + s.symbol(a.Chord)
		case a.ChordKind != "":
			return "over " + s.text(a.ChordKind) + " chords"
		}
		return "over " + s.centre(a.Centre)
	case advise.OnBeat:
		return "on the beat over " + s.text(a.ChordKind) + " chords"
	}
	if a.Step == 0 {
		return "the " + s.symbol(a.Family) + " family"
	}
	return fmt.Sprintf("the chord on %s of the %s family", s.bass(a.Scale, a.Step), s.symbol(a.Family))
}

// suggestion says what a suggestion points at and what backs it.
func (s speller) suggestion(a *advise.Suggestion) string {
	out := s.subject(a)
	switch a.Kind {
	case advise.Elsewhere:
		return out + s.offThere(a)
	case advise.Unresolved:
		out += fmt.Sprintf(": %d slips in %d notes", a.Part, a.Whole)
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
		if a.Step == 0 {
			return s.littlePlayed(a)
		}
		if a.Name != "" {
			out += " (" + s.familyChord(a.Name) + ")"
		}
		out += " not touched" + inChoruses(a) + fmt.Sprintf("; its other chords %s", times(a.Whole))
	}
	return out
}

// offThere says how a line was off, and what to play there.
func (s speller) offThere(a *advise.Suggestion) string {
	out := ": " + movedBy(a.Move, a.HalfStep)
	if a.Bar > 0 {
		out += fmt.Sprintf(" in %d of %s", a.Part, count(a.Whole, "chorus"))
	}
	if a.HalfStep != 0 {
		return out + "; play the chord tones alone, from beat 1, four choruses"
	}
	return out + "; play just the roots and thirds, two choruses"
}

// littlePlayed says how much of a family was played.
func (s speller) littlePlayed(a *advise.Suggestion) string {
	out := fmt.Sprintf("%s of %s played%s", chordsPlayed(a), s.subject(a), inChoruses(a))
	if len(a.Bars) > 0 {
		out += ", " + barList(a.Bars)
	}
	return out
}

func chordsPlayed(a *advise.Suggestion) string {
	n := "none"
	if a.Part < a.Whole {
		n = fmt.Sprint(a.Whole - a.Part)
	}
	return n + " of the " + count(a.Whole, "chord")
}

func inChoruses(a *advise.Suggestion) string {
	if a.Choruses == 0 {
		return ""
	}
	return " in " + count(int64(a.Choruses), "chorus")
}

// met says of each suggestion that was met what it said then and how it stands
// now.
func (s speller) met(all []advise.Met) (texts []string) {
	for i := range all {
		then, now := &all[i].Then, &all[i].Now
		switch {
		case now.Kind == advise.Untouched && now.Step == 0:
			texts = append(texts, fmt.Sprintf("%s of %s -> %d", chordsPlayed(then), s.subject(now), now.Whole-now.Part))
		case now.Kind == advise.Untouched:
			texts = append(texts, s.subject(now)+" was played")
		default:
			texts = append(texts, fmt.Sprintf("%s, %d of %d -> %d of %d", s.subject(now), then.Part, then.Whole, now.Part, now.Whole))
		}
	}
	return texts
}

// bass names the lowest tone of a chord of a family: a family moves up its
// scale from the root.
func (s speller) bass(scale harmony.Scale, step int) string {
	tones := scale.Tones()
	if step < 1 || step > len(tones) {
		return s.short(scale)
	}
	return s.name(tones[step-1].String())
}

// familyUse is one family with what was played of it.
type familyUse struct {
	name               string
	scale              harmony.Scale
	played             int64
	touched, untouched []int // steps
}

// familiesOf gathers the families of a summary, the one played most first.
func familiesOf(s *analyse.Summary) []familyUse {
	type key struct {
		centre, family string
		scale          harmony.Scale
	}
	var out []familyUse
	rows := map[key]int{}
	for i := range s.Family {
		f := &s.Family[i]
		k := key{centre: f.Centre, family: f.Family, scale: f.Scale}
		row, ok := rows[k]
		if !ok {
			row = len(out)
			rows[k] = row
			out = append(out, familyUse{name: f.Family, scale: f.Scale})
		}
		out[row].played += f.Times
		if f.Times == 0 {
			out[row].untouched = append(out[row].untouched, f.Step)
		} else {
			out[row].touched = append(out[row].touched, f.Step)
		}
	}
	slices.SortStableFunc(out, func(a, b familyUse) int { return cmp.Compare(b.played, a.played) })
	return out
}

// text says which chords of a family were not played: "F6 family: the chord on G"; of
// one of which few were, which those are.
func (f familyUse) text(sp speller) string {
	steps, but := f.untouched, ""
	if len(f.touched) < len(f.untouched) {
		steps, but = f.touched, "all but "
	}
	var on []string
	for _, step := range steps {
		on = append(on, sp.bass(f.scale, step))
	}
	word := "chord"
	if len(on) > 1 {
		word = "chords"
	}
	return fmt.Sprintf("%s family: %sthe %s on %s", sp.symbol(f.name), but, word, strings.Join(on, ", "))
}
