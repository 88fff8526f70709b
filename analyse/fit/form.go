package fit

import (
	"shedlight/analyse/changes"
	"shedlight/analyse/harmony"
	"shedlight/analyse/timebase"
	"shedlight/analyse/tone"
)

// form is a chart made ready: what is over each song tick, where bars and
// sections begin, and which places there are to compare with.
type form struct {
	line     *changes.Timeline
	length   int64
	stays    []stay // one for each of its slots
	bars     []bar
	sections []changes.BarRows // none where passes are joined
	passes   int               // how many choruses make a section; 1: sections lie within the chorus
	grids    []grid            // the time places by meter
	unmoved  int               // see Fit.Moving
}

// stay is the stay of one chord.
type stay struct {
	start, end int64
	table      *table
	key        tone.Set       // the scale of the centre; empty for N.C.
	keySum     int64          // what its tones count for together
	turned     [classes]int64 // what each class counts for, less as written, were its dim half the chord
}

// bar is one bar of the form.
type bar struct {
	start, end int64
	number     int // as the chart counts it
	meter      timebase.Meter
	beat       int64
	grid       int // of its meter
}

// newForm makes a chart ready.
func newForm(line *changes.Timeline) *form {
	f := &form{line: line, length: line.Length}
	resolves := resolving(line.Slots)
	type heard struct {
		chord    harmony.Chord
		resolves bool
	}
	known := map[heard]*table{}
	for i := range line.Slots {
		s := &line.Slots[i]
		at := heard{chord: s.Chord, resolves: resolves[i]}
		t, ok := known[at]
		if !ok {
			made := newTable(s.Chord, resolves[i])
			t, known[at] = &made, &made
		}
		key := s.Key.Set()
		f.stays = append(f.stays, stay{start: s.Start, end: s.End, table: t, key: key, keySum: t.over(key), turned: t.turned(s.Own)})
	}
	grids := map[timebase.Meter]int{}
	for i := range line.Bars {
		b := &line.Bars[i]
		index, ok := grids[b.Meter]
		if !ok {
			index = len(f.grids)
			grids[b.Meter] = index
			f.grids = append(f.grids, newGrid(b.Meter, line.Length))
		}
		f.bars = append(f.bars, bar{start: b.Start, end: b.Start + b.Meter.Bar(), number: b.Number, meter: b.Meter, beat: b.Meter.Beat(), grid: index})
	}
	f.passes = 1
	if n := len(f.bars); n < changes.SectionBars {
		f.passes = (changes.SectionBars + n - 1) / n
		return f
	}
	f.sections = line.Sections()
	return f
}

// timeMoves is how many places in time there are: half a bar, a bar and two
// bars, each played late and early.
const timeMoves = 6

// grid is the places in time of a meter, the smaller move before the larger,
// late before early; and what lies there, for as long as it stays.
type grid struct {
	move  [timeMoves]Move
	ahead [timeMoves]int64   // song ticks from the note to its place, 0 to less than the form
	hint  [1 + timeMoves]int // slots: where each look-up landed, here last

	from, to int64 // the song ticks of one chorus between which the following holds
	here     *stay
	there    [timeMoves]*table // nil where there is no chord, or nothing else than here
	differ   [timeMoves]int64  // 1 where there is another chord, else 0

	total shifts // runs on while an open span counts by this grid
}

// newGrid lays out the places of a meter over a form of a length. A half bar in
// a meter of an odd number of beats is no place: it stays where the note is.
func newGrid(m timebase.Meter, length int64) grid {
	var g grid
	half := m.Beats() / 2
	if m.Beats()%2 != 0 {
		half = 0
	}
	for i, beats := range [...]int{half, m.Beats(), 2 * m.Beats()} {
		// A line played late would fit if it moved back.
		for j, move := range [...]int{-beats, beats} {
			g.move[2*i+j] = Move{Beats: move}
			g.ahead[2*i+j] = mod(int64(move)*m.Beat(), length)
		}
	}
	return g
}

// barBeats is how many beats a bar of the meter has.
func (g *grid) barBeats() int { return g.move[timeMoves/2].Beats }

func mod(a, b int64) int64 { return ((a % b) + b) % b }

// find looks up what lies over a song tick of one chorus and at its places.
func (g *grid) find(f *form, song int64) {
	if g.from <= song && song < g.to {
		return
	}
	g.here = f.stayAt(song, &g.hint[timeMoves])
	g.from, g.to = g.here.start, g.here.end
	for i := range g.ahead {
		place := song + g.ahead[i]
		if place >= f.length {
			place -= f.length
		}
		s := f.stayAt(place, &g.hint[i])
		g.from, g.to = max(g.from, song-place+s.start), min(g.to, song-place+s.end)
		g.there[i], g.differ[i] = nil, 0
		if s.table.chord.None() || s.table == g.here.table {
			continue
		}
		g.there[i] = s.table
		if s.table.chord != g.here.table.chord {
			g.differ[i] = 1
		}
	}
}

// at returns a grid that has found what lies over a song tick of one chorus.
func (f *form) at(index int, song int64) *grid {
	g := &f.grids[index]
	g.find(f, song)
	return g
}

// stayAt returns the stay that holds a song tick of one chorus, and keeps where it
// was found as a hint for the next.
func (f *form) stayAt(song int64, hint *int) *stay {
	*hint = f.line.SlotAt(song, *hint)
	return &f.stays[*hint]
}

// sectionOf returns the index of the section that holds a bar, or 0 where
// passes are joined.
func (f *form) sectionOf(bar int) int {
	for i, s := range f.sections {
		if bar < s.To {
			return i
		}
	}
	return 0
}

// chorus returns the number of the chorus that holds a song tick, from 1.
func (f *form) chorus(song int64) int { return int(song/f.length) + 1 }

// milliBeat is how finely beats are counted: in thousandths.
const milliBeat = 1000

// position returns the bar and the beat of a song tick as a finding tells them.
func (f *form) position(song int64) (chorus, bar int, beat float64) {
	within := song % f.length
	b := &f.bars[f.line.BarAt(within, 0)]
	return f.chorus(song), b.number, float64(milliBeat+(within-b.start)*milliBeat/b.beat) / milliBeat
}

// end is position for the end of a stretch: the end of a chorus belongs to it.
func (f *form) end(song int64) (chorus, bar int, beat float64) {
	if song > 0 && song%f.length == 0 {
		return f.chorus(song - 1), f.bars[len(f.bars)-1].number + 1, 1
	}
	return f.position(song)
}

// beats returns how many thousandths of a beat lie between two song ticks, each
// bar's by its own meter. It takes a step for each bar.
func (f *form) beats(from, to int64) int64 {
	var sum int64
	for from < to {
		start := from / f.length * f.length
		b := &f.bars[f.line.BarAt(from-start, 0)]
		end := min(to, start+b.end)
		sum += (end - from) * milliBeat / b.beat
		from = end
	}
	return sum
}
