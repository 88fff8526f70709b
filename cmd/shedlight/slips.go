package main

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

func (s slipNames) add(f *analyse.Finding) {
	if row := f.ChordRow(); len(s[row]) < slipsNamed {
		s[row] = append(s[row], f.Name)
	}
}

// slipping gathers them while it is played.
type slipping struct {
	open  map[int64]analyse.Finding // outside notes whose fate is not settled
	names slipNames
}

func newSlipping() slipping {
	return slipping{open: map[int64]analyse.Finding{}, names: slipNames{}}
}

func (s *slipping) add(f analyse.Finding) {
	switch {
	case f.Stage == analyse.Heard && f.Fate == fate.Pending:
		s.open[f.N] = f
	case f.Stage == analyse.Settled:
		if note := s.open[f.N]; f.Fate == fate.Unresolved {
			s.names.add(&note)
		}
		delete(s.open, f.N)
	}
}

// unsplit reports whether nothing parts the hands.
func (t *tune) unsplit() bool { return t.setup.Split == 0 && !t.setup.Top }
