package material

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"shedlight/analyse/harmony"
)

// eighths in a bar of four, which all lines stand in.
const barEighths = 8

// Lines makes lines from a chord, the best first. scale is the one to move it up; the
// zero Scale is the one that goes with it. No two are alike, not even moved to another
// pitch; there are fewer than were asked for where there are no more. The error says
// what of the request cannot be.
func Lines(chord harmony.Chord, scale harmony.Scale, r Request) ([]*Exercise, error) {
	r, err := r.filled()
	if err != nil {
		return nil, err
	}
	if r.Bars == 0 {
		r.Bars = 2
		if r.Level >= cadenceLevel {
			r.Bars = 3
		}
	}
	least := 1
	if r.Level > 2 {
		least = 2
	}
	if r.Bars < least || r.Bars > MaxLineBars {
		return nil, fmt.Errorf("a line of %d bars: expected %d to %d at level %d", r.Bars, least, MaxLineBars, r.Level)
	}
	set := settingOf(chord)
	t := set.over(set.bars(r.Bars, r.Level))
	set.setScale(t, scale)
	m := lineMaker{Request: r, setting: set, g: newGround(t, r), r: rand.New(rand.NewPCG(r.Seed, uint64(r.Level)))}
	const (
		tries, each  = 400, 40 // lines that are tried, and for each that is wanted
		enough, more = 60, 3   // and that are there to choose from
	)
	var all []*candidate
	seen := map[string]bool{}
	for range tries + each*r.Count {
		if len(all) >= enough+more*r.Count {
			break
		}
		e, ok := m.make()
		if !ok {
			continue
		}
		c := m.rank(e)
		if sign := c.sign(); !seen[sign] {
			seen[sign] = true
			all = append(all, c)
		}
	}
	return choose(all, r.Count), nil
}

// lineMaker makes lines of one request.
type lineMaker struct {
	Request
	setting
	g *ground
	r *rand.Rand
}

// make makes one line; ok is false where chance came to nothing.
func (m *lineMaker) make() (*Exercise, bool) {
	e := &Exercise{Level: m.Level, Seed: m.Seed, Line: m.g.line, Key: m.key}
	units := []int{m.Bars}
	if m.Level < cadenceLevel && m.Bars > 2 { // phrases of two bars
		units = nil
		if m.Bars%2 == 1 {
			units = []int{1}
		}
		for range m.Bars / 2 {
			units = append(units, 2)
		}
	}
	bar := 0
	for _, bars := range units {
		h, ok := m.hole(bar, bars)
		if !ok {
			return nil, false
		}
		if n := len(e.Notes); n > 0 {
			h.before = int(e.Notes[n-1].Key)
		}
		notes, figs, ok := m.g.fill(m.r, h)
		if !ok {
			return nil, false
		}
		for _, f := range figs {
			f.From, f.To = f.From+len(e.Notes), f.To+len(e.Notes)
			e.Figure = append(e.Figure, f)
		}
		e.Notes = append(e.Notes, notes...)
		bar += bars
	}
	if m.Density > 0 && len(e.Notes) > m.Density*m.Bars || !m.allowedHere(e) || !m.g.keeps(e.Notes, true) {
		return nil, false
	}
	e.Idea = e.idea()
	return e, true
}

// hole lays out a phrase of some bars.
func (m *lineMaker) hole(bar, bars int) (h hole, ok bool) {
	first, last := bar*barEighths, (bar+bars-1)*barEighths // its first eighth, and that of its last bar
	if m.Level >= cadenceLevel {                           // it lands with the I
		last = m.g.stays[len(m.g.stays)-1].from
		if home := bars - last/barEighths; home > 1 {
			last += barEighths * m.r.IntN(home)
		}
	}
	switch {
	case m.Level >= cadenceLevel:
		h.from = first + pick(m.r, 1, 1, 2, 3, 4)
		h.to = last + pick(m.r, 0, 0, 2, 4)
		if m.Level == MaxLevel {
			h.to = last + pick(m.r, 0, 0, -1, 2, 2, 3, 4)
		}
	case m.role == asFifth && bar+bars == m.Bars:
		h.from, h.to = first+pick(m.r, 0, 2, 4), m.g.stays[len(m.g.stays)-1].from
	case bars == 1:
		h.from, h.to = first, first+pick(m.r, 4, 6)
	default:
		h.from, h.to = first+pick(m.r, 0, 0, 2, 4), last+pick(m.r, 0, 0, 2, 4)
	}
	end := min((bar+bars)*barEighths, (h.to/barEighths+1)*barEighths)
	if h.to < last { // a push is held into the bar
		end = last + 4
	}
	h.hold = int64(min(end-h.to, pick(m.r, 2, 4, 4, 6))) * eighth
	h.lowest, h.highest, h.peakAt = int(m.Range.Low), int(m.Range.High), -1
	h.wish = contour(m.r, h)
	switch m.Level {
	case 1:
		h.figures.only = Run
		ok = h.to-h.from >= 4 && h.to-h.from <= 2*barEighths
	case 2:
		h.figures.only = Arpeggio
		ok = h.to-h.from >= 6
		if bars == 1 {
			ok = h.to-h.from == 6
		}
	case 3:
		h.figures.arps = true
		ok = bars == 1 || h.to-h.from >= 8
	default:
		h.figures = figures{arps: true, chromatic: true, mostApproach: 1, mostEnclose: 1, long: 0.25, pairs: true, triplets: m.Level == MaxLevel}
		ok = true
	}
	return h, ok
}

func pick(r *rand.Rand, among ...int) int { return among[r.IntN(len(among))] }

// contour draws the shape that a phrase makes for: an arch, a bowl, a rise, a fall or
// two arches.
func contour(r *rand.Rand, h hole) func(at int) float64 {
	room := float64(h.highest - h.lowest)
	const quiet = 4 // semitones at the ends of the range that a line has no business in
	height := min(4+8*r.Float64(), (room-2*quiet)/2)
	middle := float64(h.lowest) + quiet + height + r.Float64()*max(0, room-2*quiet-2*height)
	shape := r.IntN(5)
	return func(at int) float64 {
		x := float64(at-h.from) / float64(max(1, h.to-h.from))
		var y float64 // -1 to 1
		switch shape {
		case 0:
			y = 2*math.Sin(math.Pi*x) - 1
		case 1:
			y = 1 - 2*math.Sin(math.Pi*x)
		case 2:
			y = 2*x - 1
		case 3:
			y = 1 - 2*x
		default:
			y = math.Sin(2.5 * math.Pi * x)
		}
		return middle + height*y
	}
}

// allowedHere reports whether a line has what its level asks for, and nothing else.
func (m *lineMaker) allowedHere(e *Exercise) bool {
	var count [Triplet + 1]int
	for _, f := range e.Figure {
		count[f.Kind]++
	}
	switch m.Level {
	case 1:
		for _, f := range e.Figure {
			if notes := e.Notes[f.From:min(f.To+1, len(e.Notes))]; f.Kind == Run && (turns(notes) != 1 || span(notes) > 12) {
				return false
			}
		}
		return true
	case 2:
		return count[Arpeggio] > 0 && e.goesBack()
	case 3:
		return count[Arpeggio] >= 2 && count[Arpeggio] <= 4*max(1, m.Bars/2)
	case 4:
		return count[Arpeggio] >= 1 && count[Approach] == 1 && count[Enclosure] == 1 && (m.g.places[e.Notes[0].Tick/eighth].beat || e.Figure[0].Kind == Approach)
	}
	return count[Arpeggio] >= 1 && count[Arpeggio]+count[Run] >= 2 && m.spice(e) >= 2
}

// goesBack reports whether each arpeggio is followed by the scale the other way.
func (e *Exercise) goesBack() bool {
	for i, f := range e.Figure[:len(e.Figure)-1] {
		next := e.Figure[i+1]
		if f.Kind != Arpeggio {
			continue
		}
		step := int(e.Notes[next.From].Key) - int(e.Notes[f.To-1].Key)
		if next.Kind != Run || step > 0 == f.Up {
			return false
		}
	}
	return true
}

// spice counts what level 5 is there for: a start off the beat, a substitute over the
// V, an end that comes early or late, a triplet, an octave's leap.
func (m *lineMaker) spice(e *Exercise) (n int) {
	count := func(has bool) {
		if has {
			n++
		}
	}
	count(!m.g.onBeat(&e.Notes[0]))
	count(e.substitutes())
	end := e.Notes[len(e.Notes)-1]
	change := int64(m.g.stays[len(m.g.stays)-1].from) * eighth
	count(end.Tick < change || end.Tick == change+2*eighth || !m.g.onBeat(&end))
	count(slices.ContainsFunc(e.Figure, func(f Figure) bool { return f.Kind == Triplet }))
	for i := 1; i < len(e.Notes); i++ {
		if joined(&e.Notes[i-1], &e.Notes[i]) && max(e.Notes[i].Key, e.Notes[i-1].Key)-min(e.Notes[i].Key, e.Notes[i-1].Key) == 12 {
			n++
			break
		}
	}
	return n
}

// substitutes reports whether a figure stands in a scale that is neither the chord's own
// nor the key's.
func (e *Exercise) substitutes() bool {
	return slices.ContainsFunc(e.Figure, func(f Figure) bool {
		s := e.slot(e.Notes[f.From])
		return !f.Scale.None() && f.Scale != s.Own && f.Scale != s.Key
	})
}

// span is how many semitones some notes range over.
func span(notes []Note) int {
	low, high := notes[0].Key, notes[0].Key
	for _, n := range notes {
		low, high = min(low, n.Key), max(high, n.Key)
	}
	return int(high) - int(low)
}
