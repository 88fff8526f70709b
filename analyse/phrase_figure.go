package analyse

// phraseFigures is how many figures of a phrase are told: three bars of eighths
// in figures of three notes, and more than that nobody takes in.
const phraseFigures = 12

// PhraseFigure is a figure of a phrase.
type PhraseFigure struct {
	Kind      string   `json:"kind"`      // "run", "arpeggio" or "leap"
	Direction string   `json:"direction"` // "up" or "down"
	First     int64    `json:"first"`     // the number of its first note
	Notes     int      `json:"notes"`
	Start     string   `json:"start"`      // its first note by name, without octave
	Half      string   `json:"half"`       // where that lies: "home", "dim", "outside" or empty
	Chords    []string `json:"chords"`     // of an arpeggio: the family chord, or those that fit
	Complete  bool     `json:"complete"`   // an arpeggio that has all tones of one of them
	HalfSteps int      `json:"half_steps"` // in a run, between tones a whole step apart
	Link      string   `json:"link"`       // to the run or arpeggio before: "shared", "step", "jump" or empty
}

// InPhrase tells a figure as its phrase does.
func (g Figure) InPhrase() PhraseFigure {
	direction := "down"
	if g.Up {
		direction = "up"
	}
	return PhraseFigure{
		Kind: g.Kind.String(), Direction: direction, First: g.N, Notes: g.Notes, Start: g.Start, Half: g.Half.String(),
		Chords: append([]string{}, g.Chords...), Complete: g.Complete, HalfSteps: g.HalfSteps, Link: g.Link.String(),
	}
}

// figuresInPhrase is the figures of one phrase, in order.
type figuresInPhrase struct {
	first [phraseFigures]figure
	n     int // all of them
}

func (p *figuresInPhrase) add(g *figure) {
	if p.n < phraseFigures {
		p.first[p.n] = *g
	}
	p.n++
}

func (p *figuresInPhrase) report() []PhraseFigure {
	out := []PhraseFigure{}
	for i := range p.first[:min(p.n, phraseFigures)] {
		out = append(out, p.first[i].report().InPhrase())
	}
	return out
}

// closePhrase ends the phrase, and the figures that are under way with it.
func (a *Analyser) closePhrase() {
	a.figures.end()
	a.phrases.latest().figures = a.figures.phrase
	a.figures.phrase.n = 0
	a.phrases.close()
}
