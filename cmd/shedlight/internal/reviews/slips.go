package reviews

import (
	"maps"
	"slices"

	"shedlight/analyse"
	"shedlight/analyse/fate"
	"shedlight/analyse/song"
)

// slipsNamed is how many of the slips over a chord are named: more do
// not fit into a line.
const slipsNamed = 4

// slipNames are the first slips over each chord, by name: see
// display.Outcome.
type slipNames map[int][]string

func (s slipNames) add(row int, name string) {
	if len(s[row]) < slipsNamed {
		s[row] = append(s[row], name)
	}
}

// Slips gathers the slips while findings come.
type Slips struct {
	open  map[int64]analyse.Finding // notes that can still become one
	names map[inChorus][]string     // the first over each chord of each chorus: any may be forgotten
}

type inChorus struct{ chorus, row int }

// NewSlips returns Slips without any.
func NewSlips() Slips {
	return Slips{open: map[int64]analyse.Finding{}, names: map[inChorus][]string{}}
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
	if at := (inChorus{note.Chorus, note.ChordRow()}); len(s.names[at]) < slipsNamed {
		s.names[at] = append(s.names[at], note.Charted())
	}
	return &note
}

// Names are some of them at least, as display.Outcome has them, without those of
// forgotten choruses.
func (s *Slips) Names(forgotten []int) map[int][]string {
	names := slipNames{}
	for _, at := range slices.SortedFunc(maps.Keys(s.names), func(a, b inChorus) int { return a.chorus - b.chorus }) {
		for _, name := range s.names[at] {
			if !slices.Contains(forgotten, at.chorus) {
				names.add(at.row, name)
			}
		}
	}
	return names
}
