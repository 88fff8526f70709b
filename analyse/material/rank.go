package material

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"shedlight/analyse/harmony"
	"shedlight/analyse/tone"
)

// candidate is a line with what it is worth.
type candidate struct {
	*Exercise
	worth   float64
	opening string // what lines are told apart by
	ending  string
	kinds   string
}

// sign is the same for lines that differ by their pitch alone.
func (c *candidate) sign() string {
	var b strings.Builder
	for i, n := range c.Notes {
		fmt.Fprintf(&b, "%d,%d,%d;", n.Tick, n.Length, int(n.Key)-int(c.Notes[max(0, i-1)].Key))
	}
	return b.String()
}

// reason is what speaks for a line, or against it.
type reason struct {
	worth float64
	says  string
}

// rank says what a line is worth and why. The weights are a teacher's taste, set by
// hand: what is dull is ranked down (common practice).
func (m *lineMaker) rank(e *Exercise) *candidate {
	c := &candidate{Exercise: e}
	var all []reason
	for _, judge := range []func(*lineMaker, *Exercise) reason{
		ofLanding, ofBeats, ofShape, ofTop, ofLinks, ofRhythm, ofStart, ofSpice, ofSameness, ofZigzag, ofCircling,
	} {
		if r := judge(m, e); r.says != "" || r.worth != 0 {
			all = append(all, r)
			c.worth += r.worth
		}
	}
	slices.SortStableFunc(all, func(a, b reason) int { return cmp.Compare(b.worth, a.worth) })
	for _, r := range all {
		if r.says != "" {
			e.Why = append(e.Why, r.says)
		}
	}
	n := min(5, len(e.Notes)-1)
	for i := range n {
		c.opening += fmt.Sprint(int(e.Notes[i+1].Key)-int(e.Notes[i].Key), " ")
	}
	c.ending = e.Degree(len(e.Notes) - 1)
	for i := max(1, len(e.Notes)-2); i < len(e.Notes); i++ {
		c.ending += fmt.Sprint(" ", int(e.Notes[i].Key)-int(e.Notes[i-1].Key))
	}
	for _, f := range e.Figure {
		c.kinds += fmt.Sprint(f.Kind, f.Up, f.Set, " ")
	}
	return c
}

func ofLanding(_ *lineMaker, e *Exercise) reason {
	last := len(e.Notes) - 1
	degree := e.Degree(last)
	worth := map[string]float64{"3": 2, "9": 2, "6": 1.8, "7": 1.4, "5": 1.2, "1": 0}[degree]
	how := ""
	if last > 0 {
		switch apart := tone.Apart(int(e.Notes[last].Key), int(e.Notes[last-1].Key)); {
		case apart == 1:
			worth, how = worth+0.8, " by a half step"
		case apart == 2:
			worth, how = worth+0.4, " by a step"
		default:
			worth -= 0.5
		}
	}
	return reason{worth, fmt.Sprintf("It lands on %s%s.", spot(degree), how)}
}

func ofBeats(m *lineMaker, e *Exercise) reason {
	beats, chord := 0, 0
	for i := range e.Notes {
		if m.g.onBeat(&e.Notes[i]) {
			beats++
			if m.g.heardOver(&e.Notes[i]).tones.Has(e.Notes[i].class()) {
				chord++
			}
		}
	}
	share := float64(chord) / float64(max(1, beats))
	r := reason{worth: 4 * (share - 0.5)}
	if share >= 0.6 {
		r.says = fmt.Sprintf("Chord tones stand on %d of its %d beats.", chord, beats)
	}
	return r
}

func ofShape(_ *lineMaker, e *Exercise) reason {
	n, wide := turns(e.Notes), span(e.Notes)
	r := reason{}
	switch {
	case wide < fifth:
		r.worth -= 1.5
	case wide >= 9 && wide <= 19:
		r.worth += 0.7
	}
	const few = 10 // notes
	if len(e.Notes) < few {
		r.worth -= 0.4 * float64(few-len(e.Notes))
	}
	per := float64(n) / float64(len(e.Notes))
	switch {
	case n >= 2 && per <= 0.34:
		r.worth += 1.2
		r.says = fmt.Sprintf("It turns %s within %d semitones.", times(n), wide)
	case n == 1 && turns(e.Notes[:len(e.Notes)-1]) == 0: // up and one tone back
		r.worth -= 1
	case n == 1 && len(e.Notes) > 9:
		r.worth -= 0.6
	case per > 0.34:
		r.worth -= 10 * (per - 0.34)
	}
	return r
}

func times(n int) string {
	if words := [...]string{"", "once", "twice", "three times", "four times", "five times", "six times"}; n < len(words) {
		return words[n]
	}
	return fmt.Sprintf("%d times", n)
}

func ofTop(_ *lineMaker, e *Exercise) reason {
	top, struck, at := highest(e.Notes), 0, 0
	for i, n := range e.Notes {
		if n.Key == top {
			struck++
			at = i
		}
	}
	if struck == 1 && at > 1 && at < len(e.Notes)-1 {
		return reason{0.8, fmt.Sprintf("Its top, %s, comes once.", e.Pitch(at).Name)}
	}
	return reason{}
}

func ofLinks(_ *lineMaker, e *Exercise) reason {
	var before *Figure
	links, steps := 0, 0
	var chords []string
	for i := range e.Figure {
		f := &e.Figure[i]
		if before != nil && before.To == f.From && before.To < len(e.Notes) && f.Kind != Landing {
			links++
			if tone.Apart(int(e.Notes[f.From-1].Key), int(e.Notes[f.From].Key)) <= tone.WholeStep {
				steps++
			}
		}
		if f.Kind == Arpeggio {
			chords = append(chords, f.chordName())
		}
		before = f
	}
	r := reason{}
	if links > 0 {
		r.worth = 2 * (float64(steps)/float64(links) - 0.5)
	}
	distinct := slices.Compact(slices.Clone(chords))
	if a, b := e.neighbours(); a != nil {
		r.worth += 2.2
		r.says = fmt.Sprintf("%s and %s are neighbours of the family, one %s, one %s.", upperFirst(a.chordName()), b.chordName(), a.way(), b.way())
	} else if len(distinct) > 1 {
		r.worth += 1.2
		r.says = fmt.Sprintf("It links %s", listed(distinct))
		if steps == links {
			r.says += ", each by a step"
		}
		r.says += "."
	} else if len(chords) > 1 {
		r.worth -= 1
	}
	return r
}

// neighbours returns the first two chords, one behind the other, that lie a step apart in
// a scale and go different ways, joined by a step.
func (e *Exercise) neighbours() (a, b *Figure) {
	for i := 1; i < len(e.Figure); i++ {
		a, b := &e.Figure[i-1], &e.Figure[i]
		if a.Kind != Arpeggio || b.Kind != Arpeggio || a.Scale != b.Scale || a.Up == b.Up || !a.plain() || !b.plain() ||
			tone.Apart(int(e.Notes[b.From-1].Key), int(e.Notes[b.From].Key)) > tone.WholeStep {
			continue
		}
		from, _ := a.Scale.Index(a.Bass)
		to, _ := a.Scale.Index(b.Bass)
		if apart := tone.Apart(from, to); apart == 1 || apart == rungs-1 {
			return a, b
		}
	}
	return nil, nil
}

// plain reports whether an arpeggio is of one half of its scale or stands in thirds.
func (f *Figure) plain() bool {
	return f.Set == f.Scale.Home() || f.Set == f.Scale.Dim() || inThirds(f.Set, f.Bass)
}

func ofRhythm(m *lineMaker, e *Exercise) reason {
	kinds := map[int64]bool{}
	for _, n := range e.Notes[:len(e.Notes)-1] {
		kinds[n.Length] = true
	}
	switch {
	case len(kinds) > 1:
		return reason{1, "Its rhythm is more than eighths."}
	case m.Level >= cadenceLevel:
		return reason{-0.5, ""}
	}
	return reason{}
}

func ofStart(m *lineMaker, e *Exercise) reason {
	first := e.Notes[0].Tick
	bar := first % (barEighths * eighth)
	switch {
	case bar == 0:
		return reason{-0.4, ""}
	case bar%(2*eighth) != 0:
		return reason{0.6, fmt.Sprintf("It starts off the beat, after %d.", bar/(2*eighth)+1)}
	}
	return reason{0.2, fmt.Sprintf("It starts on beat %d.", bar/(2*eighth)+1)}
}

func ofSpice(m *lineMaker, e *Exercise) reason {
	if m.Level < MaxLevel || !e.substitutes() {
		return reason{}
	}
	through := reason{}
	for _, f := range e.Figure {
		s := e.slot(e.Notes[f.From])
		switch {
		case f.Scale.None() || f.Scale == s.Own || f.Scale == s.Key:
		case f.Kind == Arpeggio:
			return reason{2, fmt.Sprintf("Over %s it breaks %s, of %s.", s.Symbol, f.chordName(), f.Scale.Short())}
		case through.worth == 0:
			through = reason{0.8, fmt.Sprintf("Over %s it goes through %s.", s.Symbol, f.Scale.Short())}
		}
	}
	return through
}

// ofSameness ranks down what comes twice: the same tones, or bars of one shape.
func ofSameness(m *lineMaker, e *Exercise) reason {
	r := reason{}
	const pattern = 4
	for i := range len(e.Notes) - pattern {
		for j := i + pattern; j+pattern <= len(e.Notes); j++ {
			same := true
			for k := range pattern {
				same = same && e.Notes[i+k].Key == e.Notes[j+k].Key
			}
			if same {
				r.worth = -2
			}
		}
	}
	shapes := map[int]string{}
	for i := 1; i < len(e.Notes); i++ {
		shapes[m.g.places[e.Notes[i].Tick/eighth].bar] += fmt.Sprint(cmp.Compare(e.Notes[i].Key, e.Notes[i-1].Key))
	}
	for bar, s := range shapes {
		if len(s) >= 6 && shapes[bar+1] == s {
			r.worth -= 1.5
		}
	}
	count := map[uint8]int{}
	for _, n := range e.Notes {
		count[n.Key]++
		if count[n.Key] > max(3, len(e.Notes)/5) {
			r.worth -= 0.6
		}
	}
	return r
}

// ofZigzag ranks down lines that leap here and there outside their arpeggios.
func ofZigzag(_ *lineMaker, e *Exercise) reason {
	leaps := 0
	for i := 2; i < len(e.Notes); i++ {
		a, b, c := int(e.Notes[i-2].Key), int(e.Notes[i-1].Key), int(e.Notes[i].Key)
		if tone.Apart(a, b) > tone.WholeStep && tone.Apart(b, c) > tone.WholeStep && (b > a) != (c > b) {
			leaps++
		}
	}
	return reason{worth: -0.7 * float64(leaps)}
}

// ofCircling ranks down lines that stay on the spot.
func ofCircling(_ *lineMaker, e *Exercise) reason {
	return reason{worth: -0.8 * float64(circles(e.Notes))}
}

// circles counts where five notes lie within a minor third.
func circles(notes []Note) (n int) {
	const few, narrow = 5, 3
	for i := few; i <= len(notes); i++ {
		if span(notes[i-few:i]) <= narrow {
			n++
		}
	}
	return n
}

// choose takes the best, and of those that are alike in their beginning, in their
// end or in their figures the later ones at a discount.
func choose(all []*candidate, n int) (out []*Exercise) {
	const again = 0.7 // for each thing that another has already
	seen := map[string]int{}
	for len(out) < n && len(all) > 0 {
		best, worth := 0, 0.0
		for i, c := range all {
			w := c.worth - again*float64(2*seen["o"+c.opening]+seen["e"+c.ending]+2*seen["k"+c.kinds])
			if i == 0 || w > worth {
				best, worth = i, w
			}
		}
		c := all[best]
		all = slices.Delete(all, best, best+1)
		seen["o"+c.opening]++
		seen["e"+c.ending]++
		seen["k"+c.kinds]++
		out = append(out, c.Exercise)
	}
	return out
}

// chordName names an arpeggio's chord, by the tone it is known by in its family where
// no musician has a name for it.
func (f *Figure) chordName() string {
	if f.Set == f.Scale.Dim() {
		return "the dim chord"
	}
	if c, ok := harmony.NameChordIn(f.Set, f.Bass, harmony.RootsIn(f.Scale)); ok && c.Root == c.Bass && !strings.ContainsAny(strings.ReplaceAll(c.Symbol(), "(maj7)", ""), "(,") {
		return c.Symbol()
	}
	return "the chord on " + named(f.Scale, f.Bass)
}

// idea says in a sentence what a line is made of.
func (e *Exercise) idea() string {
	var parts []string
	for _, f := range e.Figure {
		name := func(i int) string { return e.Pitch(i).Name.String() }
		way := f.way()
		switch f.Kind {
		case Run:
			notes := e.Notes[f.From:f.To]
			if f.To == len(e.Notes)-1 { // it ends in the last note
				notes = e.Notes[f.From:]
			}
			switch i := slices.IndexFunc(notes, func(n Note) bool { return n.Key == highest(notes) }); {
			case turns(notes) == 0:
				parts = append(parts, fmt.Sprintf("scale %s from %s", way, name(f.From)))
			case i > 0 && i < len(notes)-1:
				parts = append(parts, fmt.Sprintf("scale up from %s and back from %s", name(f.From), name(f.From+i)))
			default:
				i = slices.IndexFunc(notes, func(n Note) bool { return n.Key == lowestOf(notes) })
				parts = append(parts, fmt.Sprintf("scale down from %s and back from %s", name(f.From), name(f.From+i)))
			}
		case Arpeggio, Triplet:
			parts = append(parts, fmt.Sprintf("%s %s from %s", f.chordName(), way, name(f.From)))
		case Approach:
			parts = append(parts, fmt.Sprintf("%s into %s", name(f.To-1), name(f.To)))
		case Enclosure:
			parts = append(parts, fmt.Sprintf("%s and %s round %s", name(f.From), name(f.From+1), name(f.To)))
		case Landing:
			parts = append(parts, "to "+spot(e.Degree(f.From)))
		}
	}
	return upperFirst(strings.Join(parts, ", ") + ".")
}

func upperFirst(text string) string { return strings.ToUpper(text[:1]) + text[1:] }

func (f *Figure) way() string {
	if f.Up {
		return "up"
	}
	return "down"
}

func lowestOf(notes []Note) uint8 {
	return slices.MinFunc(notes, func(a, b Note) int { return int(a.Key) - int(b.Key) }).Key
}

// listed joins words as a sentence does.
func listed(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	last := len(words) - 1
	return strings.Join(words[:last], ", ") + " and " + words[last]
}
