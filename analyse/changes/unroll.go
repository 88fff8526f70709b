package changes

import (
	"errors"
	"fmt"
	"slices"

	"shedlight/analyse/changes/centre"
	"shedlight/analyse/harmony"
)

// ErrTooLong says that a form unrolls to more than MaxBars bars.
var ErrTooLong = fmt.Errorf("the unrolled form has more than %d bars", MaxBars)

// playedBar is a written bar where the form plays it.
type playedBar struct {
	*WrittenBar
	section string
	begins  bool // a pass of the section begins with it, a repeat too
	opens   bool // the form goes on with a section that has a name
}

// order returns the bars of one chorus as they are played.
func (c *Chart) order() ([]playedBar, error) {
	form := c.Form
	if form == nil {
		for i := range c.Sections {
			form = append(form, c.Sections[i].Name)
		}
	}
	var out []playedBar
	for _, name := range form {
		s, ok := c.section(name)
		if !ok {
			return nil, fmt.Errorf("the form names a section %s that the chart lacks", quote(name))
		}
		first := len(out)
		var err error
		if out, err = s.play(out); err != nil {
			return nil, err
		}
		if len(out) > first {
			out[first].opens = name != ""
		}
	}
	if len(out) == 0 {
		return nil, errors.New("the chart has no bars")
	}
	return out, nil
}

// play appends the section's bars as they are played, repeats and endings
// written out.
func (s *Section) play(out []playedBar) ([]playedBar, error) {
	for i := 0; i < len(s.Bars); {
		runs, next := []run{{i, i + 1}}, i+1
		if s.Bars[i].RepeatStart {
			runs, next = s.passes(i)
		}
		for _, r := range runs {
			for j := r.from; j < r.to; j++ {
				if len(out) == MaxBars {
					return nil, ErrTooLong
				}
				out = append(out, playedBar{WrittenBar: &s.Bars[j], section: s.Name, begins: j == 0})
			}
		}
		i = next
	}
	return out, nil
}

// run is a stretch of written bars, to exclusive.
type run struct{ from, to int }

// passes returns the runs that a repeat from bar start plays, and the bar that
// follows them. Without endings the repeat is played twice, or as often as it
// says; with endings each pass plays the body and the ending that bears its
// number.
func (s *Section) passes(start int) (runs []run, next int) {
	var endings []run
	end := start
	for ; end < len(s.Bars); end++ {
		bar := &s.Bars[end]
		if end > start && bar.RepeatStart {
			break
		}
		if bar.Endings != nil {
			endings = append(endings, run{from: end})
		}
		if n := len(endings); n > 0 {
			endings[n-1].to = end + 1
		} else if bar.RepeatEnd {
			for range max(bar.Times, 2) {
				runs = append(runs, run{start, end + 1})
			}
			return runs, end + 1
		}
	}
	for _, e := range endings {
		for range s.Bars[e.from].Endings {
			runs = append(runs, run{start, endings[0].from}, e)
		}
	}
	if endings == nil {
		runs = []run{{start, end}}
	}
	return runs, end
}

// Unroll returns one chorus of the chart: the form expanded, repeats and
// endings played out, with the key centre and the scales of every chord. It
// fails on a chart without bars, one whose form names a section it lacks, and
// one of more than MaxBars bars; a chart that Parse returned never fails.
func (c *Chart) Unroll() (Timeline, error) {
	played, err := c.order()
	if err != nil {
		return Timeline{}, err
	}
	t := Timeline{Title: c.Title, Pickup: c.Pickup, Tempo: c.MicrosPerQuarter(), Straight: slices.ContainsFunc(c.Others, Header.straight)}
	tune := centre.Tune{Key: c.Key.Tonic, HasKey: c.HasKey}
	forced := make([]override, 0, len(played))
	for i, bar := range played {
		if bar.begins {
			tune.Sections = append(tune.Sections, centre.Section{Name: bar.section, Start: t.Length})
		}
		t.Bars = append(t.Bars, Bar{Start: t.Length, Number: i + 1, Meter: bar.Meter, Quarter: bar.Quarter, Section: bar.section, Opens: bar.opens})
		for _, stay := range bar.Stays {
			t.Slots = append(t.Slots, Slot{
				Start: t.Length, End: t.Length + stay.Ticks, Bar: i + 1, Symbol: stay.Symbol, Chord: stay.Chord,
			})
			forced = append(forced, override{centre: stay.Centre, on: stay.Forced})
			t.Length += stay.Ticks
		}
	}
	own := t.setCentres(tune, forced)
	t.setScales(own)
	return t, nil
}

// setCentres finds the key centres, puts the player's overrides on top, and
// tells every slot its centre, what passes there, and the scale of the key view;
// own says which slots take their own scale there instead.
func (t *Timeline) setCentres(tune centre.Tune, forced []override) (own []bool) {
	tune.Chords, tune.Length = make([]centre.Chord, len(t.Slots)), t.Length
	for i := range t.Slots {
		s := &t.Slots[i]
		tune.Chords[i] = centre.Chord{Start: s.Start, End: s.End, Bar: s.Bar, Chord: s.Chord}
	}
	found := centre.Find(tune)
	t.Moves = slices.DeleteFunc(found.Moves, func(m centre.Move) bool {
		for i := range t.Slots {
			if s := &t.Slots[i]; forced[i].on && s.Start < m.End && s.End > m.Start {
				return true // the player has named the centre there
			}
		}
		return false
	})
	own = make([]bool, len(t.Slots))
	at := 0
	for i := range t.Slots {
		s := &t.Slots[i]
		for at+1 < len(found.Stretches) && found.Stretches[at+1].Start <= s.Start {
			at++
		}
		here := centre.Stretch{Start: s.Start, End: s.End, Centre: found.Stretches[at].Centre, Why: found.Stretches[at].Why}
		sense := found.Senses[i]
		if forced[i].on {
			here.Centre, here.Why = forced[i].centre, "the chart says so"
			sense = centre.Sense{Scale: here.Centre}
		}
		s.Centre, s.Passing, s.Passes = here.Centre, sense.Passing, sense.Passes
		if !s.Chord.None() {
			s.Key, own[i] = sense.Scale.Scale(), sense.Own
		}
		if n := len(t.Centres); n > 0 && t.Centres[n-1].Centre == here.Centre {
			t.Centres[n-1].End = here.End
			continue
		}
		t.Centres = append(t.Centres, here)
	}
	return own
}

// setScales fills in the scale of each chord, for the chord view and where own
// says so for the key view as well. The scale of a chord can depend
// on the chord it leads to, the next one with another root: after the last comes
// the first. Each pair is looked up once; slots share the admitted scales.
func (t *Timeline) setScales(own []bool) {
	type pair struct{ chord, next harmony.Chord }
	known := map[pair][]harmony.Scale{}
	next := t.following()
	for i := range t.Slots {
		s := &t.Slots[i]
		if s.Chord.None() {
			continue
		}
		at := pair{s.Chord, next[i]}
		scales, ok := known[at]
		if !ok {
			for _, choice := range harmony.ScalesFor(s.Chord, next[i]) {
				scales = append(scales, choice.Scale)
			}
			known[at] = scales
		}
		s.Own, s.Admitted = scales[0], scales[1:]
		s.Resolves = harmony.Resolves(s.Chord, next[i])
		if own[i] {
			s.Key = s.Own
		}
	}
}

// following returns for each slot the next chord with another root, past the end of
// the chorus into the next; its own where none comes before the chord falls silent.
func (t *Timeline) following() []harmony.Chord {
	n := len(t.Slots)
	out := make([]harmony.Chord, n)
	var after, next harmony.Chord // the one that comes after, and what it leads to
	for i := 2*n - 1; i >= 0; i-- {
		here := t.Slots[i%n].Chord
		if here.None() || after.None() || here.Root.Class() != after.Root.Class() {
			next = after
		}
		after = here
		if i < n {
			out[i] = next
			if next.None() {
				out[i] = here
			}
		}
	}
	return out
}

// Loop returns the stretch from bar from to bar to, both included, as a chorus
// of its own that begins at song tick 0. Bars keep their numbers; chords keep
// the centres and scales they have in the whole form, and its last leads to its
// first. It fails where the bars are not in the form.
func (t *Timeline) Loop(from, to int) (Timeline, error) {
	first, last := t.Bars[0].Number, t.Bars[len(t.Bars)-1].Number
	if from < first || to > last || from > to {
		return Timeline{}, fmt.Errorf("bars %d-%d are not in the form: expected a stretch of bars %d-%d", from, to, first, last)
	}
	start, end := t.Bars[from-first].Start, t.Length
	if to < last {
		end = t.Bars[to-first+1].Start
	}
	out := Timeline{Title: t.Title, Tempo: t.Tempo, Straight: t.Straight, Length: end - start}
	if from == first {
		out.Pickup = t.Pickup
	}
	if quarter := t.Bars[from-first].Quarter; quarter != 0 {
		out.Tempo = quarter
	}
	for _, b := range t.Bars[from-first : to-first+1] {
		b.Start -= start
		out.Bars = append(out.Bars, b)
	}
	for _, s := range t.Slots {
		if s.Start >= start && s.Start < end {
			s.Start, s.End = s.Start-start, s.End-start
			out.Slots = append(out.Slots, s)
		}
	}
	for _, c := range t.Centres {
		if c.Start < end && c.End > start {
			c.Start, c.End = max(c.Start, start)-start, min(c.End, end)-start
			out.Centres = append(out.Centres, c)
		}
	}
	for _, m := range t.Moves {
		if m.Start < end && m.End > start {
			m.Start, m.End = max(m.Start, start)-start, min(m.End, end)-start
			out.Moves = append(out.Moves, m)
		}
	}
	out.closeLoop()
	return out, nil
}

// closeLoop sees to what depends on the chord that comes next, as it is played.
func (t *Timeline) closeLoop() {
	for i, next := range t.following() {
		s := &t.Slots[i]
		if s.Chord.None() {
			continue
		}
		s.Resolves, s.Admitted = harmony.Resolves(s.Chord, next), []harmony.Scale{}
		choices := harmony.ScalesFor(s.Chord, next)
		for _, c := range choices {
			if len(choices) > 1 && c.Scale.Set() != s.Own.Set() {
				s.Admitted = append(s.Admitted, c.Scale)
			}
		}
	}
}
