package analyse

import (
	"shedlight/analyse/harmony"
	"shedlight/analyse/tone"
)

// Figure is a run or an arpeggio as text needs it. Notes is 0 where there is
// none.
type Figure struct {
	Kind      FigureKind
	Up        bool
	Notes     int
	N         int64     // number of its first note
	Tick, End int64     // onsets of its first and last note
	Start     string    // name of its first note
	Half      Place     // where that lies: Home or Dim
	Beat      BeatPlace // and where it stands in the beat
	Chords    []string  // arpeggio: the written or the family chord, or those that still fit, the written one first
	Tones     int       // arpeggio: different ones
	Of        int       // as many has the smallest of its chords
	Complete  bool      // arpeggio: it has all tones of one of them
	HalfSteps int       // run: half steps put in between whole steps
	Link      Link      // how it is joined to the run or arpeggio before
}

// StruckChord is a chord that was struck. Name is empty where there was none.
type StruckChord struct {
	N        int64
	Name     string // the symbol, or its notes where it has no name
	Family   string // the first chord of the family that it belongs to; else empty
	Step     int    // its place in that family, from 1
	Borrowed string // "C6 with B for C" where it is the home chord with dim voices
}

// LinkCounts counts how runs and arpeggios are joined to the one before.
type LinkCounts struct {
	Shared int64 `json:"shared"`
	Step   int64 `json:"step"`
	Jump   int64 `json:"jump"`
}

func (c *LinkCounts) count(l Link) {
	switch l {
	case LinkShared:
		c.Shared++
	case LinkStep:
		c.Step++
	case LinkJump:
		c.Jump++
	}
}

// HalfStepCounts counts the half steps put into runs between two tones a whole
// step apart. OntoBeat of them brought the half with more of the chord onto the
// beat, which is what they are for; where the halves tie that is not told.
type HalfStepCounts struct {
	Added    int64 `json:"added"`
	OntoBeat int64 `json:"onto_beat"`
}

// struckChord is the last struck chord.
type struckChord struct {
	n       int64 // of its first note
	notes   int
	set     tone.Set
	bass    tone.Class
	context *context
	table   *familyTable
}

// struck takes the notes of a chord, of which first is the first.
func (f *figures) struck(notes []lineNote, first *played) {
	c := struckChord{n: first.n, notes: len(notes), context: first.context, table: f.slots[first.slot].table}
	lowest := keys
	for i := range notes {
		c.set |= 1 << tone.ClassOf(notes[i].key)
		lowest = min(lowest, notes[i].key)
	}
	c.bass = tone.ClassOf(lowest)
	if chord, ok := c.table.match(c.set); ok {
		chord.times++
	}
	f.chord = c
}

// report names the chord.
func (c *struckChord) report() StruckChord {
	if c.set == 0 {
		return StruckChord{}
	}
	s := StruckChord{N: c.n, Name: chordName(c.set, c.bass, c.context.roots)}
	if chord, ok := c.table.match(c.set); ok {
		s.Family, s.Step = chord.family, chord.step
	}
	if b, ok := harmony.Borrowed(c.set, c.context.scale); ok {
		s.Borrowed = b.String()
	}
	return s
}

// report tells a figure; a figure that is none gives none.
func (g *figure) report() Figure {
	if g.kind == NoFigure {
		return Figure{}
	}
	class := tone.ClassOf(g.first.key)
	chords, of := g.candidates()
	return Figure{
		Kind: g.kind, Up: g.up, Notes: g.notes, N: g.first.n, Tick: g.first.tick, End: g.last.tick,
		Start: g.first.context.name[class], Half: g.first.context.place[class], Beat: g.first.beat,
		Chords: chords, Tones: g.tones, Of: of, Complete: g.chords != 0 && g.tones >= of,
		HalfSteps: g.halfSteps, Link: g.link,
	}
}

// longestRecent returns the longest run and the longest arpeggio that ended
// since a tick and within the last notes of the line, the later of equal ones.
// What is under way counts as it stands.
func (f *figures) longestRecent(since int64) (run, arpeggio figure) {
	consider := func(g *figure) {
		best := &run
		switch {
		case g.kind == FigureLeap || g.last.tick < since || f.seq-g.last.seq > recentShare:
			return
		case g.kind == FigureArpeggio:
			best = &arpeggio
		}
		if g.notes >= best.notes {
			*best = *g
		}
	}
	for i := max(0, f.n-recentFigures); i < f.n; i++ {
		consider(&f.recent[i%recentFigures])
	}
	before := f.linked
	for _, g := range findFigures(f.stretch, f.up, nil) {
		if g.kind == FigureLeap {
			continue
		}
		g.link = linkOf(&before, &g)
		before = g
		consider(&g)
	}
	return run, arpeggio
}

// outlined returns the arpeggio being played: the last one, if its last note is
// not before a tick and among the last eight notes of the line.
func (f *figures) outlined(since int64) figure {
	g, ok := tail(f.stretch, f.up)
	if !ok {
		g = f.lastArpeggio()
	}
	if g.kind == NoFigure || g.last.tick < since || f.seq-g.last.seq > outlineNotes {
		return figure{}
	}
	return g
}

// lastArpeggio returns the last one before the tail, or none.
func (f *figures) lastArpeggio() (last figure) {
	for i := max(0, f.n-outlineNotes); i < f.n; i++ {
		if g := &f.recent[i%recentFigures]; g.kind == FigureArpeggio {
			last = *g
		}
	}
	for _, g := range findFigures(f.stretch, f.up, nil) {
		if g.kind == FigureArpeggio {
			last = g
		}
	}
	return last
}

// counted returns the counts of all figures, with so many struck chords.
func (f *figures) counted(chords int64) FigureCounts {
	c := f.counts
	c.Chord = chords
	return c
}

// lately fills in what the line did in the last bars, as seen from p.
func (a *Analyser) lately(s *Snapshot, p position) {
	span := recentBars * p.barTicks
	run, arpeggio := a.figures.longestRecent(a.now - span)
	outlined := a.figures.outlined(a.now - outlineBeats*p.beatTicks)
	s.Run, s.Arpeggio, s.Outlined = run.report(), arpeggio.report(), outlined.report()
	s.Struck = a.figures.chord.report()
	s.Fit = a.fit.report(a.now, span)
}
