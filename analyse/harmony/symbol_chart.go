package harmony

import "fmt"

// triad is the formula of a diminished chord without its seventh.
const triad = Formula(1<<One | 1<<FlatThree | 1<<FlatFive)

// InChart returns the symbol as a jazz chart means it, and one line that says
// what was chosen, empty where there is no choice. A diminished triad, Cdim or
// Co, means the seventh chord there (common practice); so it comes back as one,
// under the name Cdim7. A chord read otherwise than its symbol says on its face
// has a Text that says it.
func (s Symbol) InChart() (Symbol, string) {
	switch {
	case s.Unsure && s.Chord.Formula == triad && s.Others[0].Formula.Has(DoubleFlatSeven):
		out := s
		out.Chord, out.Others = s.Others[0], []Chord{s.Chord}
		out.Text = out.Chord.Symbol()
		return out, fmt.Sprintf("%s is read as %s, as jazz charts mean it; for the triad write %s", s.Text, out.Text, s.Chord.ChartSymbol())
	case s.Unsure:
		return s, fmt.Sprintf("%s is read as %s; if you mean %s write that", s.Text, s.Chord.ChartSymbol(), s.Others[0].ChartSymbol())
	case s.Text[0] == 'H' || s.Text[0] == 'h':
		return s, fmt.Sprintf("%s is read as %s: H is B", s.Text, s.Chord.ChartSymbol())
	}
	return s, ""
}

// ChartSymbol prints the chord as Symbol does, in a spelling that a chart reads
// as this chord: a diminished triad as a minor one with a flat five.
func (c Chord) ChartSymbol() string {
	if c.Formula != triad {
		return c.Symbol()
	}
	bass := ""
	if c.Bass != c.Root {
		bass = "/" + c.Bass.String()
	}
	return c.Root.String() + "m(b5)" + bass
}
