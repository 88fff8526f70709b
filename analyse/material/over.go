package material

import (
	"slices"
	"strings"

	"shedlight/analyse/changes"
)

// Over is what a line becomes over other chords.
type Over struct {
	Chords  []string   // their symbols, one after the other
	Degrees [][]string // what each note is over them, bar by bar
	Ends    string     // what its last note is
	Open    bool       // that stays open over the chord, or fights it
}

// Elsewhere tells what a line of a key becomes over its I, its ii-V-I and its other
// chords: iii, IV and vi, in minor III, iv and VI. What it stands over is not told
// again.
func (e *Exercise) Elsewhere() []Over {
	s := setting{key: e.Key, role: asSecond}
	s.chord = s.chordOn(1, 2, "m7")
	if s.minor() {
		s.chord = s.chordOn(1, 2, "m7b5")
	}
	_, _, i := s.cadence()
	n := len(e.Line.Bars)
	all := [][]string{slices.Repeat([]string{i.ChartSymbol()}, n)}
	if n > 1 {
		all = append(all, s.bars(n, MaxLevel))
	}
	for _, c := range s.others() {
		all = append(all, slices.Repeat([]string{c.ChartSymbol()}, n))
	}
	var out []Over
	for _, bars := range all {
		line := s.over(bars)
		if o := e.over(line); !sameChords(line, e.Line) {
			out = append(out, o)
		}
	}
	return out
}

// sameChords reports whether two timelines have the same chords at the same time.
func sameChords(a, b *changes.Timeline) bool {
	return slices.EqualFunc(a.Slots, b.Slots, func(x, y changes.Slot) bool {
		return x.Start == y.Start && x.Chord.Root.Class() == y.Chord.Root.Class() && x.Chord.Own().Set() == y.Chord.Own().Set()
	})
}

func (e *Exercise) over(line *changes.Timeline) Over {
	moved := Exercise{Line: line, Notes: e.Notes, Key: e.Key}
	o := Over{}
	for _, s := range line.Slots {
		if n := len(o.Chords); n == 0 || o.Chords[n-1] != s.Symbol {
			o.Chords = append(o.Chords, s.Symbol)
		}
	}
	o.Degrees = make([][]string, len(line.Bars))
	for i, n := range e.Notes {
		bar := line.BarAt(n.Tick, 0)
		o.Degrees[bar] = append(o.Degrees[bar], moved.Degree(i))
	}
	last := len(e.Notes) - 1
	chord := moved.slot(e.Notes[last]).Chord
	o.Ends = spot(moved.Degree(last))
	o.Open = (chord.Hanging() | chord.Against()).Has(e.Notes[last].class())
	return o
}

// String prints the chords and the degrees, a bar line between bars.
func (o Over) String() string {
	bars := make([]string, len(o.Degrees))
	for i, b := range o.Degrees {
		bars[i] = strings.Join(b, " ")
	}
	text := strings.Join(o.Chords, " ") + "  " + strings.TrimRight(strings.Join(bars, " | "), " |")
	if o.Open {
		return text + " (its end stays open)"
	}
	return text
}
