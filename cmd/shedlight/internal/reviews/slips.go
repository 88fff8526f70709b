package reviews

import (
	"shedlight/analyse"
	"shedlight/analyse/fate"
)

// slipsNamed is how many of the unresolved notes over a chord are named: more do
// not fit into a line.
const slipsNamed = 4

// slipNames are the first unresolved notes over each chord, by name: see
// display.Outcome. They grow with the chart and not with the session.
type slipNames map[int][]string

func (s slipNames) add(note slipName) {
	if len(s[note.row]) < slipsNamed {
		s[note.row] = append(s[note.row], note.name)
	}
}

// slipName is one of them.
type slipName struct {
	row  int // of the chords, as display.Outcome counts them
	name string
}

func slipNameOf(f *analyse.Finding) slipName { return slipName{row: f.ChordRow(), name: f.Name} }

// Slips gathers the unresolved notes by name while it is played.
type Slips struct {
	open  map[int64]slipName // outside notes whose fate is not settled
	names slipNames
}

// NewSlips returns Slips without any.
func NewSlips() Slips {
	return Slips{open: map[int64]slipName{}, names: slipNames{}}
}

// Add takes a finding.
func (s *Slips) Add(f *analyse.Finding) {
	switch {
	case f.Stage == analyse.Heard && f.Fate == fate.Pending:
		s.open[f.N] = slipNameOf(f)
	case f.Stage == analyse.Settled:
		if f.Fate == fate.Unresolved {
			s.names.add(s.open[f.N])
		}
		delete(s.open, f.N)
	}
}

// Names are some of them at least, as display.Outcome has them.
func (s *Slips) Names() map[int][]string { return s.names }
