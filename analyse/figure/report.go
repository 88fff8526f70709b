package figure

import (
	"fmt"
	"shedlight/analyse/harmony"
	"shedlight/analyse/song"
	"shedlight/analyse/tone"
	"slices"
)

// Figure is a figure of the line as text needs it. Notes is 0 where there is
// none.
type Figure struct {
	Kind      Kind
	Up        bool
	Notes     int
	N         int64          // number of its first note
	Tick, End int64          // onsets of its first and last note
	Start     string         // name of its first note
	Half      song.Place     // where that lies: Home or Dim
	Beat      song.BeatPlace // and where it stands in the beat
	Chords    []string       // arpeggio: the written or the family chord, or those that still fit, the written one first
	Tones     int            // arpeggio: different ones
	Of        int            // as many has the smallest of its chords
	Complete  bool           // arpeggio: it has all tones of one of them
	HalfSteps int            // run, arpeggio: half steps put in
	Without   string         // run: the degree of the scale that it leaves out, "b6"; of the chord's own seven tones where Chords names that
	Order     string         // broken arpeggio: its tones from the lowest up as they were played, "1-3-2-4"
	Degrees   string         // cell, upper part of a written chord: "1-2-3-5", "3-5-7-9"
	Goal      string         // enclosure: the tone that it leads to; trill: the other tone
	Link      Link           // how it is joined to the run or arpeggio before
}

// Struck is a chord that was struck. Name is empty where there was none.
type Struck struct {
	N        int64
	Name     string // the symbol, or its notes where it has no name
	Family   string // the first chord of the family that it belongs to; else empty
	Step     int    // its place in that family, from 1
	Borrowed string // "C6 with B for C" where it is the home chord with dim voices
}

// struckChord is the last struck chord.
type struckChord struct {
	n       int64 // of its first note
	notes   int
	set     tone.Set
	bass    tone.Class
	context *song.Context
	table   *familyTable
}

// Strike takes the keys of a chord, of which first is the first note. last is the
// number of the last note struck at that moment where the chord is one of the
// phrase; -1 where it is the left hand's.
func (f *Finder) Strike(struck []int, first *song.Note, last int64) {
	c := struckChord{n: first.N, notes: len(struck), context: first.Context, table: f.slots[first.Context.Row].table}
	lowest := slices.Min(struck)
	for _, key := range struck {
		c.set |= 1 << tone.ClassOf(key)
	}
	c.bass = tone.ClassOf(lowest)
	if chord, ok := c.table.match(c.set); ok {
		f.Now().play(chord.row, 1)
		if chord.watched {
			f.watched(first.Rows.Chorus, first.Rows.Bar)
		}
	}
	f.struck = c
	if last >= 0 {
		f.pend(c, last)
	}
}

// report names the chord.
func (c *struckChord) report() Struck {
	if c.set == 0 {
		return Struck{}
	}
	s := Struck{N: c.n, Name: ChordName(c.set, c.bass, c.context.Roots)}
	if chord, ok := c.table.match(c.set); ok {
		s.Family, s.Step = chord.family, chord.step
	}
	if b, ok := harmony.Borrowed(c.set, c.context.Scale); ok {
		s.Borrowed = b.String()
	}
	return s
}

// report tells a figure; a figure that is none gives none.
func (g *figure) report() Figure {
	if g.kind == None {
		return Figure{}
	}
	class := g.first.class()
	chords, of := g.candidates()
	told := Figure{
		Kind: g.kind, Up: g.up, Notes: g.notes, N: g.first.n, Tick: g.first.tick, End: g.last.tick,
		Start: g.first.named[class], Half: g.first.context.Place[class], Beat: g.first.beat,
		Chords: chords, Tones: g.tones, Of: of, Complete: g.chords != 0 && g.tones >= of,
		HalfSteps: g.halfSteps, Link: g.link, Degrees: g.degrees(),
	}
	switch {
	case g.kind == Run && g.sort == withoutSix:
		told.Without = g.first.context.Scale.Label(flatSix)
	case g.kind == Run && g.sort == ownSeven, g.kind == Cell:
		told.Chords = []string{g.first.context.Symbol}
	case g.kind == Enclosure:
		told.Goal = g.last.named[g.last.class()]
	case g.kind == Trill:
		told.Goal = g.first.named[g.played[1]]
	case g.broken:
		told.Order = fmt.Sprintf("%d-%d-%d-%d", g.order[0], g.order[1], g.order[2], g.order[3])
	}
	return told
}

// Longest returns the longest run and the longest arpeggio that ended since a tick
// and within the last 32 notes of the line, the later of equal ones. What is under
// way counts as it stands.
func (f *Finder) Longest(since int64) (Figure, Figure) {
	var run, arpeggio figure
	consider := func(g *figure) {
		best := &run
		switch {
		case g.kind != Run && g.kind != Arpeggio || g.last.tick < since || f.seq-g.last.seq > recentNotes:
			return
		case g.kind == Arpeggio:
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
	for _, g := range findFigures(f.stretch, nil) {
		if g.kind != Run && g.kind != Arpeggio {
			continue
		}
		g.link = linkOf(&before, &g)
		before = g
		consider(&g)
	}
	return run.report(), arpeggio.report()
}

// Outlined returns the arpeggio being played: the last one, if its last note is
// not before a tick and among the last eight notes of the line.
func (f *Finder) Outlined(since int64) Figure {
	g, ok := tail(f.stretch)
	if !ok {
		g = f.lastArpeggio()
	}
	if g.kind == None || g.last.tick < since || f.seq-g.last.seq > outlineNotes {
		return Figure{}
	}
	return g.report()
}

// lastArpeggio returns the last one before the tail, or none.
func (f *Finder) lastArpeggio() (last figure) {
	for i := max(0, f.n-outlineNotes); i < f.n; i++ {
		if g := &f.recent[i%recentFigures]; g.kind == Arpeggio {
			last = *g
		}
	}
	for _, g := range findFigures(f.stretch, nil) {
		if g.kind == Arpeggio {
			last = g
		}
	}
	return last
}

// Struck returns the last struck chord.
func (f *Finder) Struck() Struck { return f.struck.report() }

// Latest returns the latest 64 figures of the line, the earliest first.
func (f *Finder) Latest() (out []Figure) {
	for i := max(0, f.n-recentFigures); i < f.n; i++ {
		out = append(out, f.recent[i%recentFigures].report())
	}
	return out
}
