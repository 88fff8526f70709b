package analyse

import (
	"shedlight/analyse/changes"
	"shedlight/analyse/fate"
	"shedlight/analyse/fit"
	"shedlight/analyse/song"
	"shedlight/analyse/tone"
)

// Counts are running totals of the session.
type Counts struct {
	Notes      int64
	Home       int64
	Dim        int64
	Outside    int64
	ChordTones int64
	Ghosts     int64             // notes below the gate: in none of the others
	Against    int64             // notes held against their chord, and not unresolved
	Groups     [Groups]int64     // by Group
	SlipsAhead int64             // unresolved notes in the beat before a change of chord
	Fates      [fate.Kinds]int64 // by fate; fate.Pending and fate.None stay 0
}

// Group is one of the groups that the notes are told in: each is in one of them, but
// for glitches and those whose fate is open.
type Group uint8

const (
	OnChord  Group = iota // a tone of the written chord
	InScale               // else in the active scale
	OnWay                 // approach, passing, neighbour, double-chromatic, enclosure, ornament
	AtChange              // push, late, pedal
	AsColour              // colour, sub, blue
	AsSlip                // unresolved, or held against its chord
	Groups                // how many there are
)

// GroupOf is the group of an outside note that is no tone of the written chord, by what
// became of it; ok is false for a glitch.
func GroupOf(f fate.Fate) (g Group, ok bool) {
	switch f {
	case fate.Glitch:
		return 0, false
	case fate.Push, fate.Late, fate.Pedal:
		return AtChange, true
	case fate.Colour, fate.Sub, fate.Blue:
		return AsColour, true
	case fate.Unresolved:
		return AsSlip, true
	case fate.Written:
		return OnChord, true
	}
	return OnWay, true
}

// Slips returns how many notes count against the player.
func (c Counts) Slips() int64 { return c.Of(fate.Unresolved) + c.Against }

// Of returns how many notes met a fate.
func (c Counts) Of(f fate.Fate) int64 { return c.Fates[f] }

// Tally is what every row counts, whatever its notes have in common.
type Tally struct {
	Notes      int64 `json:"notes"`
	Outside    int64 `json:"outside"`
	Unresolved int64 `json:"unresolved"`
	Against    int64 `json:"against"` // held against their chord, and not unresolved
}

// Slips returns how many notes count against the player.
func (t Tally) Slips() int64 { return t.Unresolved + t.Against }

func (t *Tally) include(other Tally) {
	t.Notes += other.Notes
	t.Outside += other.Outside
	t.Unresolved += other.Unresolved
	t.Against += other.Against
}

// drop takes out a slip that became of a note.
func (t *Tally) drop(f fate.Fate) {
	if f == fate.Unresolved {
		t.Unresolved--
	} else {
		t.Against--
	}
}

// BarCount counts the notes in one bar of the unrolled form, over all choruses.
type BarCount struct {
	Bar int `json:"bar"` // from 1
	Tally
}

// ChordCount counts the notes judged by one chord of the unrolled form, over
// all choruses. A chord that is written again in the next bar goes on.
type ChordCount struct {
	Bar       int    `json:"bar"`    // the first, from 1
	ToBar     int    `json:"to_bar"` // the last it sounds in
	Symbol    string `json:"symbol"`
	ChordKind string `json:"chord_kind"`
	Centre    string `json:"centre"`
	Tally
	Tones fit.Tones `json:"-"` // the notes
}

func (c *ChordCount) include(other *ChordCount) {
	c.Tally.include(other.Tally)
	c.Tones.Include(&other.Tones)
}

// CentreCount counts the notes over one key centre.
type CentreCount struct {
	Centre string `json:"centre"`
	Tally
}

// ChorusCount counts the notes of one chorus.
type ChorusCount struct {
	Chorus int `json:"chorus"`
	Was
	Anew bool `json:"anew,omitzero"` // it was counted off, though another was begun before
	Tally
	Goal GoalCount `json:"goal,omitzero"` // what it brought to the session's goal
}

// BeforeCount counts the notes that lie in no centre, chorus, bar and chord: before
// bar 1 of a chart, and before a centre was heard where none is given.
type BeforeCount struct{ Tally }

// counts is what the judge counts, by chorus. What becomes of a note is counted
// where the note is. Centres, bars and chords are rows of the chart: the counts do
// not grow with the session, but for a row for each chorus.
type counts struct {
	song.Sheets[sheet, *sheet]
	choruses  []ChorusCount
	rows      map[int]int // chorus number to its row in choruses
	chordRows []int       // slot of the timeline to its row in the chords of a sheet
	goal      Goal
	scratch   [5]*Tally // of tallies
	pacing    pacing

	end          int64 // song tick after the last one with a note, over all choruses
	heardCentres []HeardCentre
	slipsBefore  int64 // slips, as far as they were known when the latest phrase began
}

// sheet is what is counted in one chorus, or in the session.
type sheet struct {
	Counts
	chords  int64 // that were struck
	centres []CentreCount
	bars    []BarCount
	over    []ChordCount
	subs    []SubUse
	fights  []Fight
	colours []ColourCount
	before  BeforeCount
}

func newCounts(t *changes.Timeline, centres []string) counts {
	_, chordRows := newSheet(t)
	c := counts{rows: map[int]int{}, chordRows: chordRows}
	c.Sheets = song.NewSheets[sheet](func() *sheet {
		s, _ := newSheet(t)
		for _, name := range centres {
			s.addCentre(name)
		}
		return &s
	})
	return c
}

// addCentre adds a row for a centre.
func (c *counts) addCentre(name string) {
	c.Each(func(s *sheet) { s.addCentre(name) })
}

func (s *sheet) addCentre(name string) { s.centres = append(s.centres, CentreCount{Centre: name}) }

// newSheet returns an empty sheet for a chart, and for each of its slots the row of
// its chord.
func newSheet(t *changes.Timeline) (s sheet, chordRows []int) {
	if t == nil {
		return s, nil
	}
	for i := range t.Bars {
		s.bars = append(s.bars, BarCount{Bar: t.Bars[i].Number})
	}
	for i := range t.Slots {
		slot := &t.Slots[i]
		to := t.Bars[t.BarAt(slot.End-1, 0)].Number
		if i > 0 && slot.Symbol == t.Slots[i-1].Symbol && slot.Centre == t.Slots[i-1].Centre {
			s.over[len(s.over)-1].ToBar = to
		} else {
			s.over = append(s.over, ChordCount{
				Bar: slot.Bar, ToBar: to, Symbol: slot.Symbol, ChordKind: slot.Chord.Kind(), Centre: slot.Centre.String(),
			})
		}
		chordRows = append(chordRows, len(s.over)-1)
	}
	return s, chordRows
}

// chordRow returns the row of the chords that counts a note judged by a slot in a
// bar of the timeline, counted from 1; 0 for none.
func (c *counts) chordRow(bar, slot int) int {
	if bar < 0 {
		return 0
	}
	return c.chordRows[slot] + 1
}

// countHeard counts a note as it is heard, and says in it where.
func (a *Analyser) countHeard(f *Finding, w *arrival, told *song.Position) {
	c := &a.counts
	w.Rows = song.Rows{Centre: w.Context.CentreRow, Chorus: c.rowOf(f.Chorus, w.Context.Key), Bar: told.BarRow, Slot: w.Slot}
	w.Rows.Before = told.BarRow < 0 && a.setup.Timeline != nil || w.Context.Centre == ""
	w.Rows.Ahead = w.Next != nil && !w.Position.Ahead() && w.Position.Left <= w.Position.BeatTicks
	f.ahead = w.Rows.Ahead
	c.Turn(f.Chorus)
	c.heard(&w.Rows, f, w.Context.Back(w.Note.Class()))
	a.pace(w.Rows.Chorus, told.BarTicks)
	f.before, f.centreRow, f.barRow, f.chordRow = w.Rows.Before, w.Rows.Centre, told.BarRow, c.chordRow(told.BarRow, w.Slot)
	f.goal = c.goal.covers(told.BarRow)
	if at, ok := a.song.SongTick(a.now); ok {
		c.end = max(c.end, at+1)
	}
}

// heard counts a note that is a class in the chart as written.
func (c *counts) heard(rows *song.Rows, f *Finding, class tone.Class) {
	s, outside := c.sheetOf(rows), int64(0)
	s.Notes++
	switch f.Place {
	case song.Home:
		s.Home++
	case song.Dim:
		s.Dim++
	case song.Outside:
		s.Outside++
		outside = 1
	}
	switch {
	case f.ChordTone:
		s.ChordTones++
		s.Groups[OnChord]++
	case f.Place == song.Home || f.Place == song.Dim:
		s.Groups[InScale]++
	}
	for _, t := range c.tallies(rows) {
		t.Notes++
		t.Outside += outside
	}
	if over := c.over(rows); over != nil {
		over.Tones.Add(class, f.Beat)
	}
}

// over returns the chord of the chart that counts a note, nil for none.
func (c *counts) over(rows *song.Rows) *ChordCount {
	if rows.Before || rows.Bar < 0 {
		return nil
	}
	return &c.sheetOf(rows).over[c.chordRows[rows.Slot]]
}

// tallies returns the tallies that count a note; they are valid until the next call.
func (c *counts) tallies(rows *song.Rows) []*Tally {
	s, all := c.sheetOf(rows), c.scratch[:0]
	if rows.Before {
		return append(all, &s.before.Tally)
	}
	all = append(all, &s.centres[rows.Centre].Tally)
	if rows.Bar >= 0 {
		all = append(all, &s.bars[rows.Bar].Tally, &s.over[c.chordRows[rows.Slot]].Tally)
	}
	if rows.Chorus >= 0 {
		all = append(all, &c.choruses[rows.Chorus].Tally)
		if goal := c.goalOf(rows.Chorus, rows.Bar); goal != nil {
			all = append(all, &goal.Tally)
		}
	}
	return all
}

// rowOf returns the row of a chorus that is played in a key, mostly the last one; -1
// outside a chorus.
func (c *counts) rowOf(chorus int, key string) (row int) {
	if chorus == 0 {
		return -1
	}
	if row = len(c.choruses) - 1; row >= 0 && c.choruses[row].Chorus == chorus {
		return row
	}
	row, ok := c.rows[chorus]
	if !ok {
		row = len(c.choruses)
		c.rows[chorus] = row
		c.choruses = append(c.choruses, ChorusCount{Chorus: chorus, Was: Was{Key: key}})
	}
	return row
}

// before returns the counts of the two choruses before one, the later first; Chorus
// is 0 where nothing was played in it, or it is forgotten.
func (c *counts) before(chorus int) (out [2]ChorusCount) {
	for i := range out {
		if row, ok := c.rows[chorus-1-i]; ok && !c.Forgotten(chorus-1-i) {
			out[i] = c.choruses[row]
		}
	}
	return out
}

// ghost counts a note below the gate.
func (c *counts) ghost() { c.Now().Ghosts++ }

// struck counts a chord that a hand struck.
func (c *counts) struck() { c.Now().chords++ }

// settled counts what became of a note, in its own chorus.
func (c *counts) settled(rows *song.Rows, v fate.Verdict) {
	s := c.sheetOf(rows)
	s.Fates[v.Fate]++
	if group, ok := GroupOf(v.Fate); ok && v.Fate != fate.Written { // a chord tone is in its group
		s.Groups[group]++
	}
	switch v.Fate {
	case fate.Colour:
		countColour(&s.colours, ColourCount{Is: v.Colour, Times: 1})
	case fate.Sub:
		countSub(&s.subs, SubUse{ChordKind: v.Kind, Scale: v.Scale, Times: 1})
	case fate.Unresolved:
		if rows.Ahead {
			s.SlipsAhead++
		}
		for _, t := range c.tallies(rows) {
			t.Unresolved++
		}
	}
}

// sheetOf returns the sheet on which a note is counted.
func (c *counts) sheetOf(rows *song.Rows) *sheet {
	if rows.Chorus < 0 {
		return c.Of(0)
	}
	return c.Of(c.choruses[rows.Chorus].Chorus)
}

// against counts a note that is held against its chord, and not unresolved. It was in
// another group before.
func (c *counts) against(rows *song.Rows, before Group, at Fight) {
	s := c.sheetOf(rows)
	s.Against++
	s.Groups[before]--
	s.Groups[AsSlip]++
	countFight(&s.fights, at)
	for _, t := range c.tallies(rows) {
		t.Against++
	}
}

// phraseBegins remembers how many slips there are so far.
func (c *counts) phraseBegins() {
	running := c.running()
	c.slipsBefore = running.Slips()
}

func (c *Counts) include(other *Counts) {
	c.Notes += other.Notes
	c.Home += other.Home
	c.Dim += other.Dim
	c.Outside += other.Outside
	c.ChordTones += other.ChordTones
	c.Ghosts += other.Ghosts
	c.Against += other.Against
	for i := range c.Groups {
		c.Groups[i] += other.Groups[i]
	}
	c.SlipsAhead += other.SlipsAhead
	for i := range c.Fates {
		c.Fates[i] += other.Fates[i]
	}
}

// Include adds another sheet of the same chart.
func (s *sheet) Include(other *sheet) {
	s.Counts.include(&other.Counts)
	s.before.include(other.before.Tally)
	s.chords += other.chords
	for i := range s.centres {
		s.centres[i].include(other.centres[i].Tally)
	}
	for i := range s.bars {
		s.bars[i].include(other.bars[i].Tally)
	}
	for i := range s.over {
		s.over[i].include(&other.over[i])
	}
	for _, use := range other.subs {
		countSub(&s.subs, use)
	}
	for _, at := range other.fights {
		countFight(&s.fights, at)
	}
	for _, one := range other.colours {
		countColour(&s.colours, one)
	}
}

// Reset empties the sheet; its rows stay.
func (s *sheet) Reset() {
	for i := range s.centres {
		s.centres[i].Tally = Tally{}
	}
	for i := range s.bars {
		s.bars[i].Tally = Tally{}
	}
	for i := range s.over {
		o := &s.over[i]
		o.Tally, o.Tones = Tally{}, fit.Tones{}
	}
	*s = sheet{centres: s.centres, bars: s.bars, over: s.over, subs: s.subs[:0], fights: s.fights[:0], colours: s.colours[:0]}
}

// running returns the totals without the rows.
func (c *counts) running() (all Counts) {
	c.Counted(func(s *sheet) { all.include(&s.Counts) })
	return all
}
