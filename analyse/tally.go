package analyse

import "shedlight/analyse/changes"

// BarCount counts the notes in one bar of the unrolled form, over all choruses.
type BarCount struct {
	Bar        int   `json:"bar"` // from 1
	Notes      int64 `json:"notes"`
	Outside    int64 `json:"outside"`
	Unresolved int64 `json:"unresolved"`
}

// ChordCount counts the notes judged by one chord of the unrolled form, over
// all choruses. A chord that is written again in the next bar goes on.
type ChordCount struct {
	Bar        int    `json:"bar"`    // the first, from 1
	ToBar      int    `json:"to_bar"` // the last it sounds in
	Symbol     string `json:"symbol"`
	ChordKind  string `json:"chord_kind"`
	Centre     string `json:"centre"`
	Notes      int64  `json:"notes"`
	Outside    int64  `json:"outside"`
	Unresolved int64  `json:"unresolved"`
}

// tally counts for each bar and each chord of a chart. It is as large as the
// chart and does not grow. Notes before bar 1 are in neither.
type tally struct {
	bars   []BarCount
	chords []ChordCount
	rows   []int // slot of the timeline to its row in chords
}

func newTally(t *changes.Timeline) tally {
	var c tally
	if t == nil {
		return c
	}
	for i := range t.Bars {
		c.bars = append(c.bars, BarCount{Bar: t.Bars[i].Number})
	}
	for i := range t.Slots {
		slot := &t.Slots[i]
		to := t.Bars[t.BarAt(slot.End-1, 0)].Number
		if i > 0 && slot.Symbol == t.Slots[i-1].Symbol && slot.Centre == t.Slots[i-1].Centre {
			c.chords[len(c.chords)-1].ToBar = to
		} else {
			c.chords = append(c.chords, ChordCount{
				Bar: slot.Bar, ToBar: to, Symbol: slot.Symbol, ChordKind: slot.Chord.Kind(), Centre: slot.Centre.String(),
			})
		}
		c.rows = append(c.rows, len(c.chords)-1)
	}
	return c
}

// heard counts a note in a bar of the timeline, -1 for none, judged by a slot.
func (c *tally) heard(bar, slot int, place Place) {
	if bar < 0 {
		return
	}
	at, over := &c.bars[bar], &c.chords[c.rows[slot]]
	at.Notes++
	over.Notes++
	if place == Outside {
		at.Outside++
		over.Outside++
	}
}

// unresolved counts one of the notes heard before as unresolved.
func (c *tally) unresolved(bar, slot int) {
	if bar < 0 {
		return
	}
	c.bars[bar].Unresolved++
	c.chords[c.rows[slot]].Unresolved++
}

// row returns the row of chords, counted from 1, that a note is counted in;
// 0 for none.
func (c *tally) row(bar, slot int) int {
	if bar < 0 {
		return 0
	}
	return c.rows[slot] + 1
}

// Mean takes an unresolved note of the same session out of every count of
// unresolved ones: the player meant it. f is its finding as it was heard.
func (s *Summary) Mean(f Finding) {
	s.Fate[Unresolved.String()]--
	s.Meant++
	for i := range s.Centres {
		if s.Centres[i].Centre == f.Centre {
			s.Centres[i].Unresolved--
		}
	}
	for i := range s.ChorusesDetail {
		if s.ChorusesDetail[i].Chorus == f.Chorus {
			s.ChorusesDetail[i].Unresolved--
		}
	}
	if f.row == 0 {
		return
	}
	s.BarsDetail[f.bar].Unresolved--
	s.ChordsDetail[f.row-1].Unresolved--
}
