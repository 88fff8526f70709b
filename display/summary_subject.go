package display

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"shedlight/analyse"
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

// barList names bars that are in order: "bars 2, 4-6, 9", of many the first
// "and 3 more".
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
			return fmt.Sprintf("bars %s and %d more", strings.Join(texts, ", "), len(bars)-from)
		}
		texts = append(texts, bareStretch(bars[from], bars[i-1]))
	}
	return "bars " + strings.Join(texts, ", ")
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
