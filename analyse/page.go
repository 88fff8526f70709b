package analyse

import (
	"shedlight/analyse/fate"
	"shedlight/analyse/song"
	"shedlight/analyse/timebase"
)

// PageBars is how many bars a page of the rails holds.
const PageBars = 4

// recentNotes is how many notes are kept for the page and the last bars.
const recentNotes = 256

// Page is the four bars being played, or four nominal bars of free time.
type Page struct {
	Start   int64 // tick of its first beat
	End     int64 // tick after its last
	Bars    []PageBar
	Symbols []PageSymbol
	Notes   []PageNote // in order of onset; the newest 256 if there are more
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
	ChordTone bool
	Role      Role
	Fate      fate.Fate
	Colour    string // what it is, where that is its fate: "13"
	Against   bool   // held against its chord
	SettledIn int64  // the number of the phrase in which that was said; 0: in none
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
	notes [recentNotes]PageNote // note n is at n modulo recentNotes
	n     int64                 // the number of the latest, and one
}

// add takes a note as it was heard.
func (p *page) add(f *Finding) {
	p.notes[f.N%recentNotes] = PageNote{
		N: f.N, Tick: f.Tick, Key: f.Key, Name: f.Name, Place: f.Place, ChordTone: f.ChordTone, Fate: f.Fate,
	}
	p.n = f.N + 1
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
	early := song.Early(page.Bars[0].Meter.Beat()) // what is early on the first beat stands there
	for n := max(0, a.n-recentNotes); n < a.n; n++ {
		if note := a.page.recent(n); note != nil && page.Start-early <= note.Tick && note.Tick < page.End {
			page.Notes = append(page.Notes, *note)
			first := &page.Notes[len(page.Notes)-1]
			first.Tick = max(first.Tick, page.Start)
		}
	}
	return page
}

// freePage is four nominal bars, counted from the last change of meter.
func (a *Analyser) freePage() Page {
	bar := a.meter.Bar()
	length := PageBars * bar
	page := Page{Start: a.bar + (a.now-a.bar)/length*length}
	page.End = page.Start + length
	for i := int64(0); i < PageBars; i++ {
		page.Bars = append(page.Bars, PageBar{Start: page.Start + i*bar, Meter: a.meter})
	}
	return page
}

// songPage is a line of four bars of the chart. Before bar 1 it is the first.
func (a *Analyser) songPage(p song.Position) Page {
	t := a.setup.Timeline
	first := max(0, p.BarRow) / PageBars * PageBars
	end := min(first+PageBars, len(t.Bars))
	chorus := a.song.TickOf(int64(max(0, p.Chorus-1)) * t.Length)

	until := t.Length
	if end < len(t.Bars) {
		until = t.Bars[end].Start
	}
	page := Page{Start: chorus + t.Bars[first].Start, End: chorus + until}
	for _, b := range t.Bars[first:end] {
		page.Bars = append(page.Bars, PageBar{Start: chorus + b.Start, Number: b.Number, Meter: b.Meter})
	}
	for i := t.SlotAt(t.Bars[first].Start, p.Slot); i < len(t.Slots) && t.Slots[i].Start < until; i++ {
		page.Symbols = append(page.Symbols, PageSymbol{
			Start: max(page.Start, chorus+t.Slots[i].Start), Symbol: t.Slots[i].Symbol,
		})
	}
	return page
}
