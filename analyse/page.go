package analyse

import (
	"slices"

	"shedlight/analyse/fate"
	"shedlight/analyse/figure"
	"shedlight/analyse/harmony"
	"shedlight/analyse/song"
	"shedlight/analyse/timebase"
	"shedlight/analyse/tone"
)

// PageBars is how many bars a page of the rails holds.
const PageBars = 4

// recentNotes is how many notes are kept for the page and the last bars.
const recentNotes = 256

// Page is the four bars being played, or four nominal bars of free time.
type Page struct {
	PageLine
	Notes  []PageNote  // in order of onset; the newest 256 if there are more
	Chords []PageChord // those struck on it, in order; the newest 64
	Ahead  []PageLine  // the lines of the chart that come, two at most; none in free time
}

// PageLine is a line of the chart, of four bars at most.
type PageLine struct {
	Start   int64 // tick of its first beat
	End     int64 // tick after its last
	Bars    []PageBar
	Symbols []PageSymbol
	Again   bool // it belongs to the next chorus
}

// PageBar is a bar on the page.
type PageBar struct {
	Start  int64 // tick
	Number int   // in the unrolled form; 0 in free time
	Meter  timebase.Meter
}

// PageSymbol is a chord symbol over the page.
type PageSymbol struct {
	Start  int64 // tick
	Symbol string
}

// PageNote is a note as the rails show it.
type PageNote struct {
	N         int64
	Tick      int64 // onset
	Key       uint8
	Name      string
	Place     song.Place
	Row       int  // its place in the scale it was heard in, 0 to 7; in none, -1
	Left      bool // of the left hand, where the hands are parted
	ChordTone bool
	Role      Role
	Fate      fate.Fate
	Colour    string // what it is, where that is its fate: "13"
	Against   bool   // held against its chord
	SettledIn int64  // the number of the phrase in which that was said; 0: in none
}

// PageChord is a chord that was struck on the page.
type PageChord struct {
	Tick int64
	Name string // its symbol, or its notes where it has no name
	Left bool   // by the left hand alone
}

// RecentBars and recentShare bound Recent: so many bars or notes, whichever are
// fewer.
const RecentBars, recentShare = 4, 32

// Recent counts the notes of the last RecentBars, or the last 32 notes where those
// are fewer.
type Recent struct {
	Notes     int
	Explained int // all but slips, as far as it is known
}

// page keeps the latest notes as the rails show them.
type page struct {
	notes   [recentNotes]PageNote // note n is at n modulo recentNotes
	n       int64                 // the number of the latest, and one
	fight   Fight                 // of the line, the latest
	fightOf int64                 // the note that was held so
	chords  [recentChords]pageChord
	nChords int
}

// recentChords is how many struck chords are kept for the page.
const recentChords = 64

// pageChord is a chord before it has its name, which is made only when it is asked for.
type pageChord struct {
	tick  int64
	set   tone.Set
	bass  tone.Class
	roots harmony.RootSpelling
	left  bool
}

// add takes a note as it was heard, by the left hand or not.
func (p *page) add(f *Finding, left bool) {
	row, in := f.Scale.Index(tone.ClassOf(int(f.Key)))
	if !in {
		row = -1
	}
	p.notes[f.N%recentNotes] = PageNote{
		N: f.N, Tick: f.Tick, Key: f.Key, Name: f.Name, Place: f.Place, Row: row, Left: left, ChordTone: f.ChordTone, Fate: f.Fate,
	}
	p.n = f.N + 1
}

// struck takes the keys of a chord.
func (p *page) struck(c pageChord, keys []int) {
	for _, key := range keys {
		c.set |= 1 << tone.ClassOf(key)
	}
	c.bass = tone.ClassOf(slices.Min(keys))
	p.chords[p.nChords%recentChords] = c
	p.nChords++
}

// recent returns note n while it is kept; nil for one below the gate.
func (p *page) recent(n int64) *PageNote {
	if note := &p.notes[n%recentNotes]; n < p.n && note.N == n {
		return note
	}
	return nil
}

func (p *page) sorted(n int64, role Role) {
	if note := p.recent(n); note != nil {
		note.Role = role
	}
}

// fought notes that a note is held against its chord.
func (p *page) fought(n, phrase int64) {
	if note := p.recent(n); note != nil {
		note.Against = true
		if phrase > 0 {
			note.SettledIn = phrase
		}
	}
}

// settled notes what became of a note, in a phrase, 0 for none.
func (p *page) settled(n int64, v *fate.Verdict, phrase int64) {
	if note := p.recent(n); note != nil {
		note.Fate, note.Colour = v.Fate, v.Colour
		if phrase > 0 {
			note.SettledIn = phrase
		}
	}
}

// recently counts the notes of the last bars.
func (a *Analyser) recently(p song.Position) Recent {
	var r Recent
	from := a.now - RecentBars*p.BarTicks
	for n := a.n - 1; n >= max(0, a.n-recentShare); n-- {
		note := a.page.recent(n)
		if note == nil { // a ghost
			continue
		}
		if note.Tick < from {
			break
		}
		r.Notes++
		if note.Fate != fate.Unresolved && !note.Against {
			r.Explained++
		}
	}
	return r
}

// pageAt returns the four bars around the present and their notes.
func (a *Analyser) pageAt(p song.Position) Page {
	var page Page
	if t := a.setup.Timeline; t != nil && a.song.Known() {
		page = a.songPage(p)
	} else {
		page = a.freePage()
	}
	a.writeOn(&page)
	return page
}

// writeOn puts on a page what was played there.
func (a *Analyser) writeOn(page *Page) {
	early := song.Early(page.Bars[0].Meter.Beat()) // what is early on the first beat stands there
	for n := max(0, a.n-recentNotes); n < a.n; n++ {
		if note := a.page.recent(n); note != nil && page.Start-early <= note.Tick && note.Tick < page.End {
			page.Notes = append(page.Notes, *note)
			first := &page.Notes[len(page.Notes)-1]
			first.Tick = max(first.Tick, page.Start)
		}
	}
	for i := max(0, a.page.nChords-recentChords); i < a.page.nChords; i++ {
		if c := &a.page.chords[i%recentChords]; page.Start-early <= c.tick && c.tick < page.End {
			page.Chords = append(page.Chords, PageChord{
				Tick: max(c.tick, page.Start), Name: figure.ChordName(c.set, c.bass, c.roots), Left: c.left,
			})
		}
	}
}

// freePage is four nominal bars, counted from the last change of meter.
func (a *Analyser) freePage() (page Page) {
	bar := a.meter.Bar()
	length := PageBars * bar
	page.Start = a.bar + (a.now-a.bar)/length*length
	page.End = page.Start + length
	for i := int64(0); i < PageBars; i++ {
		page.Bars = append(page.Bars, PageBar{Start: page.Start + i*bar, Meter: a.meter})
	}
	return page
}

// songPage is a line of four bars of the chart with those that come after it.
// Before bar 1 it is the first.
func (a *Analyser) songPage(p song.Position) (page Page) {
	t := a.setup.Timeline
	first := max(0, p.BarRow) / PageBars * PageBars
	chorus := a.song.TickOf(int64(max(0, p.Chorus-1)) * t.Length)
	number := max(p.Chorus, a.song.Top())
	page.PageLine = a.line(number, first, chorus)
	again := false
	for len(page.Ahead) < linesAhead {
		if first += PageBars; first >= len(t.Bars) {
			first, number, chorus, again = 0, number+1, chorus+t.Length, true
		}
		line := a.line(number, first, chorus)
		line.Again = again
		page.Ahead = append(page.Ahead, line)
	}
	return page
}

// linesAhead is how many lines of the chart are told ahead.
const linesAhead = 2

// line is the line of the chart from a row of bars on, in the chorus of a number, which
// begins at a tick.
func (a *Analyser) line(number, first int, chorus int64) PageLine {
	t := a.song.In(number)
	end, until := min(first+PageBars, len(t.Bars)), t.Length
	if end < len(t.Bars) {
		until = t.Bars[end].Start
	}
	line := PageLine{Start: chorus + t.Bars[first].Start, End: chorus + until}
	for _, b := range t.Bars[first:end] {
		line.Bars = append(line.Bars, PageBar{Start: chorus + b.Start, Number: b.Number, Meter: b.Meter})
	}
	for i := t.SlotAt(t.Bars[first].Start, 0); i < len(t.Slots) && t.Slots[i].Start < until; i++ {
		line.Symbols = append(line.Symbols, PageSymbol{
			Start: max(line.Start, chorus+t.Slots[i].Start), Symbol: t.Slots[i].Symbol,
		})
	}
	return line
}
