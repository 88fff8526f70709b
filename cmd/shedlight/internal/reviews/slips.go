package reviews

import (
	"shedlight/analyse"
	"shedlight/analyse/fate"
	"shedlight/analyse/song"
)

// slipsNamed is how many of the slips over a chord are named: more do
// not fit into a line.
const slipsNamed = 4

// slipNames are the first slips over each chord, by name: see
// display.Outcome. They grow with the chart and not with the session.
type slipNames map[int][]string

func (s slipNames) add(note *analyse.Finding) {
	if row := note.ChordRow(); len(s[row]) < slipsNamed {
		s[row] = append(s[row], note.Name)
	}
}

// Slips gathers the slips while findings come.
type Slips struct {
	open  map[int64]analyse.Finding // notes that can still become one
	names slipNames
}

// NewSlips returns Slips without any.
func NewSlips() Slips {
	return Slips{open: map[int64]analyse.Finding{}, names: slipNames{}}
}

// Add takes a finding. It returns the note with all that was said of it where that
// makes it a slip.
func (s *Slips) Add(f *analyse.Finding) (slip *analyse.Finding) {
	if f.Stage == analyse.Heard {
		if f.Open() {
			s.open[f.N] = *f
		}
		if old, ok := s.open[f.N-analyse.FarBack]; ok && old.Fate != fate.Pending {
			delete(s.open, old.N)
		}
		return nil
	}
	note, open := s.open[f.N]
	if !open {
		return nil
	}
	note.Fold(f)
	done := f.Stage == analyse.Settled || f.Stage == analyse.Fought && note.Place != song.Outside
	if !done {
		s.open[f.N] = note
		return nil
	}
	delete(s.open, f.N)
	if !note.Slip() {
		return nil
	}
	s.names.add(&note)
	return &note
}

// Names are some of them at least, as display.Outcome has them.
func (s *Slips) Names() map[int][]string { return s.names }
