package feel

import (
	"cmp"
	"slices"
	"strings"

	"shedlight/analyse/song"
)

// How the scale falls on the beat.
//
// Scored is what stands on the beat, from a tenth of a beat before it to two
// tenths after (feel.go). A beat with three onsets or more is not scored, for
// there the eighth note is not the pulse; but after a whole bar at four a beat or
// more the half-beat is scored by the same rule. Of two notes on one beat the
// later is the one the other led into. The windows are this project's own.
//
// Without a chart that runs or a beat that somebody gives nothing is claimed.

const (
	// unscored onsets in a beat and more are not scored; busy ones and more are
	// double time.
	unscored, busy = 3, 4
	halves         = 2 // of a beat
)

// OnBeat counts the scored on-beat notes over one kind of chord, in one view. Home counts
// those in the half that has more of the chord's tones: the home half or, over a
// chord such as G7 in C, the dim half. Reversed of the scored ones lay over chords
// of the latter sort. Over a chord whose tones are halved nothing is scored.
type OnBeat struct {
	View      song.View `json:"view"`
	ChordKind string    `json:"chord_kind"`
	Scored    int64     `json:"scored"`
	Home      int64     `json:"home"`
	ChordTone int64     `json:"chord_tone"`
	Reversed  int64     `json:"reversed"`
}

func (r *OnBeat) add(other *OnBeat) {
	r.Scored += other.Scored
	r.Home += other.Home
	r.ChordTone += other.ChordTone
	r.Reversed += other.Reversed
}

// scored is a note on the beat, or none.
type scored struct {
	view                       song.View
	kind                       string
	settled, chordTone, turned bool
}

// onBeats has a row for each kind of chord in each view.
type onBeats []OnBeat

// Include adds other rows.
func (rows *onBeats) Include(other *onBeats) {
	for i := range *other {
		rows.of((*other)[i].View, (*other)[i].ChordKind).add(&(*other)[i])
	}
}

// Reset empties the rows; their memory is used again.
func (rows *onBeats) Reset() { *rows = (*rows)[:0] }

// Alignment counts the notes on the beat, over each kind of chord.
type Alignment struct {
	song.Sheets[onBeats, *onBeats]

	start, length int64 // of the beat being played, in ticks; 0: none
	beats         int   // in its bar
	onsets        int
	note          scored // on the beat
	halfNotes     [halves]scored
	inHalf        [halves]int // onsets
	busyBeats     int         // right before this one
}

// NewAlignment returns an alignment that has counted nothing.
func NewAlignment() Alignment {
	return Alignment{Sheets: song.NewSheets[onBeats](func() *onBeats { return &onBeats{} })}
}

// Note takes the next note of the line. Where no beat is known it ends the one
// before.
func (al *Alignment) Note(n *song.Note) {
	p := n.Pulse.Nearest()
	start := n.Tick - p.Since
	if !p.Known {
		start = 0
	}
	if start != al.start || p.Length != al.length {
		al.close()
		if start != al.start+al.length {
			al.busyBeats = 0
		}
		al.start, al.length, al.beats = start, p.Length, p.Beats
	}
	if !p.Known {
		return
	}
	half, onHalf := p.Half()
	al.onsets++
	al.inHalf[half]++
	if p.Beat() == song.OnTheBeat {
		al.note = scoredNote(n)
	}
	if onHalf {
		al.halfNotes[half] = scoredNote(n)
	}
}

// scoredNote says what a note on the beat would count as. Where there is no half
// to be on the beat with, and no chord or scale, nothing is scored.
func scoredNote(n *song.Note) scored {
	c := n.Context
	want := c.BeatHalf()
	if c.Kind == "" || want == song.NoPlace || n.Position.Within < 0 {
		return scored{}
	}
	return scored{
		view: c.View, kind: c.Kind, settled: n.Place == want, turned: want == song.Dim, chordTone: c.ChordTone.Has(n.Class()),
	}
}

// Rest does nothing: a rest does not end a beat.
func (al *Alignment) Rest() {}

// Turn scores the beat that is over and goes on in a chorus.
func (al *Alignment) Turn(chorus int) {
	al.close()
	al.Sheets.Turn(chorus)
}

// close scores the beat that is over, once.
func (al *Alignment) close() {
	if al.onsets == 0 {
		return
	}
	switch {
	case al.onsets < unscored:
		al.score(&al.note)
	case al.busyBeats >= al.beats:
		for i := range al.halfNotes {
			if al.inHalf[i] < unscored {
				al.score(&al.halfNotes[i])
			}
		}
	}
	if al.busyBeats++; al.onsets < busy {
		al.busyBeats = 0
	}
	al.onsets, al.note = 0, scored{}
	al.inHalf, al.halfNotes = [halves]int{}, [halves]scored{}
}

func (al *Alignment) score(s *scored) {
	if s.kind == "" {
		return
	}
	row := al.Now().of(s.view, s.kind)
	row.Scored++
	row.Home += oneIf(s.settled)
	row.ChordTone += oneIf(s.chordTone)
	row.Reversed += oneIf(s.turned)
}

// of returns the row of a kind of chord in a view, a new one where there is none.
func (rows *onBeats) of(view song.View, kind string) *OnBeat {
	i := slices.IndexFunc(*rows, func(r OnBeat) bool { return r.View == view && r.ChordKind == kind })
	if i < 0 {
		i = len(*rows)
		*rows = append(*rows, OnBeat{View: view, ChordKind: kind})
	}
	return &(*rows)[i]
}

// oneIf is 1 for true.
func oneIf(ok bool) int64 {
	if ok {
		return 1
	}
	return 0
}

// Report lists the kinds of chord by name, each in the key view first.
func (al *Alignment) Report() []OnBeat {
	out := append([]OnBeat{}, *al.Total()...)
	slices.SortFunc(out, func(a, b OnBeat) int {
		return cmp.Or(strings.Compare(a.ChordKind, b.ChordKind), cmp.Compare(a.View, b.View))
	})
	return out
}
