package analyse

import (
	"slices"

	"shedlight/analyse/harmony"
	"shedlight/analyse/tone"
)

// recentBars is how many bars the share of notes on the scale looks back, and
// recentShare how many notes at most.
const (
	recentBars  = 4
	recentShare = 32
)

// Summary returns what the session came to so far. Fates that are still open
// are in no count.
func (a *Analyser) Summary() Summary {
	s := Summary{
		Notes:   a.counts.Notes,
		Ghosts:  a.counts.Ghosts,
		Seconds: float64(a.tempo.Micros(a.now)/1000) / 1000,
		View:    a.setup.View.String(),
		Place:   PlaceCounts{Home: a.counts.Home, Dim: a.counts.Dim, Outside: a.counts.Outside},
		Fate:    map[string]int64{}, ChordTones: a.counts.ChordTones,
		OnBeat: a.alignment.report(a.setup.View), LeftHanging: a.hanging.counts, HalfSteps: a.figures.halfSteps,
		Figures: a.figures.counted(a.chords), Links: a.figures.links, Family: a.figures.uses(),
		HeardCentres: append([]HeardCentre{}, a.ear.list...),
		Centres:      append([]CentreCount{}, a.centres...), ChorusesDetail: append([]ChorusCount{}, a.choruses...),
		Subs:       append([]SubUse{}, a.subs...),
		BarsDetail: append([]BarCount{}, a.tally.bars...), ChordsDetail: append([]ChordCount{}, a.tally.chords...),
	}
	s.Phrases, s.Habits = a.phrases.report(), a.habits.report()
	s.Feel = a.feel.report(a.setup.Counted || a.setup.Timeline != nil, a.setup.Quantum, &a.phrases.counts)
	for f := Glitch; f < fates; f++ {
		s.Fate[f.String()] = a.counts.Of(f)
	}
	slices.SortFunc(s.ChorusesDetail, func(x, y ChorusCount) int { return x.Chorus - y.Chorus })
	if t := a.setup.Timeline; t != nil {
		s.Title = t.Title
		if a.furthest > 0 {
			last := a.furthest - 1
			s.Choruses = int(last/t.Length) + 1
			s.Bars = (s.Choruses-1)*len(t.Bars) + t.BarAt(last%t.Length, 0) + 1
		}
	}
	return s
}

// Snapshot returns the present state for a screen.
func (a *Analyser) Snapshot() Snapshot {
	p := a.song.find(a.now, a.meter)
	c := &a.song.contexts[p.slot]
	s := Snapshot{
		Tick: a.now, Chorus: p.chorus, Bar: p.bar, Beat: p.beat,
		Chord: c.chord, Centre: c.centre, Scale: c.scale, Scales: a.setup.View == ChordView,
		Counts: a.counts,
	}
	if t := a.setup.Timeline; t != nil {
		s.HasChart, s.Bars, s.Changes = true, t.Bars[len(t.Bars)-1].Number, t.Slots[p.slot].Chord
		if p.index >= 0 {
			s.Section = t.Bars[p.index].Section
		} else if p.within < 0 {
			s.CountIn = int((-p.within + p.beatTicks - 1) / p.beatTicks)
		}
		s.NextChord = a.nextSymbol(p.slot)
	} else if !c.scale.None() {
		s.Changes = c.scale.HomeChord()
	}
	a.sounds.each(func(ch, key uint8) {
		s.Held = append(s.Held, Held{Channel: ch, Key: key, Name: c.name[key%12], Place: c.place[key%12]})
	})
	s.HeldChord = heldChord(s.Held, c)
	s.Page = a.page(p)
	s.Recent = a.recently(p)
	a.lately(&s, p)
	s.Phrase, s.InPhrase, s.UnresolvedBefore = a.phrases.last(), a.phrases.playing, a.unresolvedBefore
	if p.index == 0 {
		for i := range s.Choruses {
			if row, ok := a.chorusRow[p.chorus-1-i]; ok {
				s.Choruses[i] = a.choruses[row]
			}
		}
	}
	return s
}

// nextSymbol returns the next chord symbol that is not the one at slot.
func (a *Analyser) nextSymbol(slot int) string {
	slots := a.setup.Timeline.Slots
	for i := 1; i < len(slots); i++ {
		if next := slots[(slot+i)%len(slots)].Symbol; next != slots[slot].Symbol {
			return next
		}
	}
	return ""
}

// heldChord names three sounding keys or more, in the spelling of the context.
func heldChord(held []Held, c *context) string {
	var set tone.Set
	for _, h := range held {
		set |= 1 << (h.Key % 12)
	}
	if len(held) < soundingAsChord {
		return ""
	}
	chord, ok := harmony.NameChordIn(set, tone.Class(held[0].Key%12), c.roots)
	if !ok {
		return ""
	}
	return chord.Symbol()
}

// recently counts the notes of the last bars.
func (a *Analyser) recently(p position) Recent {
	var r Recent
	from := a.now - recentBars*p.barTicks
	for n := a.n - 1; n >= max(0, a.n-recentShare); n-- {
		note := a.recent(n)
		if note == nil { // a ghost
			continue
		}
		if note.Tick < from {
			break
		}
		r.Notes++
		if note.Place == Home || note.Place == Dim {
			r.Inside++
		}
	}
	return r
}

// page returns the four bars around the present and their notes.
func (a *Analyser) page(p position) Page {
	var page Page
	if t := a.setup.Timeline; t != nil && a.song.known {
		page = a.songPage(p)
	} else {
		page = a.freePage()
	}
	early := page.Bars[0].Meter.Beat() / earlyPart // what is early on the first beat stands there
	for n := max(0, a.n-recentNotes); n < a.n; n++ {
		if note := a.recent(n); note != nil && page.Start-early <= note.Tick && note.Tick < page.End {
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
	page := Page{Start: a.metered + (a.now-a.metered)/length*length}
	page.End = page.Start + length
	for i := int64(0); i < PageBars; i++ {
		page.Bars = append(page.Bars, PageBar{Start: page.Start + i*bar, Meter: a.meter})
	}
	return page
}

// songPage is a line of four bars of the chart. Before bar 1 it is the first.
func (a *Analyser) songPage(p position) Page {
	t := a.setup.Timeline
	first := max(0, p.index) / PageBars * PageBars
	end := min(first+PageBars, len(t.Bars))
	chorus := a.song.tickOf(int64(max(0, p.chorus-1)) * t.Length)

	until := t.Length
	if end < len(t.Bars) {
		until = t.Bars[end].Start
	}
	page := Page{Start: chorus + t.Bars[first].Start, End: chorus + until}
	for _, b := range t.Bars[first:end] {
		page.Bars = append(page.Bars, PageBar{Start: chorus + b.Start, Number: b.Number, Meter: b.Meter})
	}
	for i := t.SlotAt(t.Bars[first].Start, p.slot); i < len(t.Slots) && t.Slots[i].Start < until; i++ {
		page.Symbols = append(page.Symbols, PageSymbol{
			Start: max(page.Start, chorus+t.Slots[i].Start), Symbol: t.Slots[i].Symbol,
		})
	}
	return page
}
