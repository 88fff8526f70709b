package material

import (
	"errors"
	"slices"

	"shedlight/analyse/changes"
	"shedlight/analyse/harmony"
	"shedlight/analyse/timebase"
	"shedlight/analyse/tone"
)

// Shape is how tones that are given are played.
type Shape uint8

const (
	Arch  Shape = iota // up from the first beat, and back as far as there is room
	Fall               // down from the first beat
	Into               // up, the last an eighth before the next chord, whose tone comes on its first beat
	Pairs              // each into the tone that it goes to, a bar each
)

// Given is tones that are to be played over a chord: what somebody has chosen, and no
// chance.
type Given struct {
	Shape Shape
	Tones []tone.Class // in order, from the lowest up
	// Where they go. Arch: a second chord, in the next of the bars, or nothing; Into: one
	// tone; Pairs: one for each.
	Then []tone.Class

	// Over what: a chord in some bars of the chart, from 1, or in no certain ones where Bar
	// is 0. An Arch with a second chord is over two bars, whatever their chords, or over the
	// halves of one, both up.
	Bar, ToBar int
	Chord      string         // its symbol; where the bars have no room it gets bars of its own
	Next       string         // Into: that of the chord behind it
	Key        changes.Centre // how it is written in bars of its own
	Tempo      int            // beats a minute; 0 where nobody says
}

var errNoTones = errors.New("no tones are given")

// Over writes the tones over a chart, which may be nil: over the bars that hold them, or,
// where the chart has no room for them, over bars of common time with their chord alone.
// All are eighths; the last is held for a beat or longer, but at the end of two chords in
// one bar.
func (g Given) Over(t *changes.Timeline) (*Exercise, error) {
	if len(g.Tones) == 0 || g.Shape == Into && len(g.Then) == 0 || g.Shape == Pairs && len(g.Then) != len(g.Tones) {
		return nil, errNoTones
	}
	if notes := g.within(t); notes != nil {
		return g.excerpt(t, notes)
	}
	return g.alone()
}

// Stands reports whether the bars of a chart hold the tones, so that Over writes them there.
func (g Given) Stands(t *changes.Timeline) bool { return g.within(t) != nil }

// within puts the tones over their bars of a chart; nil where these do not hold them, or do
// not last whole eighths, as their chords do not.
func (g *Given) within(t *changes.Timeline) []Note {
	if t == nil || g.Bar < 1 || g.ToBar < g.Bar || len(t.Bars) < g.ToBar {
		return nil
	}
	notes := g.notes(t)
	if notes == nil {
		return nil
	}
	end := notes[len(notes)-1].end()
	for at := t.Bars[t.BarAt(notes[0].Tick, 0)].Start; at < end; {
		slot := &t.Slots[t.SlotAt(at%t.Length, 0)]
		if slot.Start%eighth != 0 || slot.End%eighth != 0 {
			return nil
		}
		at += slot.End - at%t.Length
	}
	return notes
}

// alone writes the tones over bars of their own.
func (g Given) alone() (*Exercise, error) {
	each := 1 // bars for a chord
	if bar := timebase.Common.Bar(); g.Shape == Arch {
		each = int((int64(2*len(g.Tones))*eighth + bar - 1) / bar)
	}
	symbols := slices.Repeat([]string{g.Chord}, each)
	switch {
	case g.Shape == Into:
		symbols = []string{g.Chord, g.Next}
	case g.Shape == Pairs:
		symbols = slices.Repeat(symbols, len(g.Tones))
	case len(g.Then) > 0:
		symbols = slices.Repeat(symbols, 2)
	}
	var bars []changes.WrittenBar
	for _, symbol := range symbols {
		read, err := harmony.ParseSymbol(symbol)
		if err != nil {
			return nil, err
		}
		read, _ = read.InChart()
		stay := changes.Stay{Symbol: symbol, Chord: read.Chord, Ticks: timebase.Common.Bar(), Centre: g.Key, Forced: true}
		bars = append(bars, changes.WrittenBar{Meter: timebase.Common, Stays: []changes.Stay{stay}})
	}
	line, err := unrolledBars(bars, g.Key)
	if err != nil {
		return nil, err
	}
	g.Bar, g.ToBar = 1, len(bars)
	switch {
	case g.Shape == Into:
		g.ToBar = 1
	case len(g.Then) > 0 && g.Shape == Arch:
		g.ToBar = each + 1
	}
	notes := g.notes(line)
	if notes == nil {
		return nil, errNoTones
	}
	return &Exercise{Line: line, Key: g.Key, Tempo: g.Tempo, Notes: notes}, nil
}

// notes puts the tones over a chart; nil where there is no room. What goes on behind its
// end is at its beginning.
func (g *Given) notes(t *changes.Timeline) []Note {
	if g.Shape == Arch && len(g.Then) > 0 {
		if g.Bar == g.ToBar {
			return g.inABar(t)
		}
		first := arch(t, roomOf(t, g.Bar), climbing(g.Tones, lowestGiven))
		second := arch(t, roomOf(t, g.ToBar), climbing(g.Then, lowestGiven))
		if notes := append(first, second...); first != nil && second != nil && goWith(t, notes) {
			return notes
		}
		return nil
	}
	at, ok := g.stay(t)
	if !ok {
		return nil
	}
	keys := climbing(g.Tones, lowestGiven)
	switch g.Shape {
	case Fall:
		slices.Reverse(keys)
		return row(keys, at.from, at.to)
	case Into:
		from := at.to - int64(len(keys))*eighth
		if from < at.from {
			return nil
		}
		goal := Note{Tick: at.to, Key: nearKey(keys[len(keys)-1], g.Then[0])}
		next := t.Slots[t.SlotAt(at.to%t.Length, 0)]
		if goal.Length = min(longestGoal, (next.End-next.Start)/eighth*eighth); goal.Length == 0 || next.Start%eighth != 0 {
			return nil
		}
		return append(row(keys, from, at.to), goal)
	case Pairs:
		var notes []Note
		for i, from := range keys {
			tick := t.Bars[g.Bar-1+i].Start + eighth
			notes = append(notes, Note{Tick: tick, Length: eighth, Key: from}, Note{Tick: tick + eighth, Length: longestGoal, Key: nearKey(from, g.Then[i])})
		}
		return notes
	}
	return arch(t, at, keys)
}

const (
	// lowestGiven is the key from which on tones are looked for, and above highestGiven a
	// second chord is taken an octave down: C4 and C6, as for lines.
	lowestGiven, highestGiven = 60, 84
	// longestGoal is how long the tone is held that a line goes into.
	longestGoal = 2 * timebase.Quarter
)

// room is a stretch of song ticks.
type room struct{ from, to int64 }

func roomOf(t *changes.Timeline, bar int) room {
	b := t.Bars[bar-1]
	return room{b.Start, b.Start + b.Meter.Bar()}
}

// stay finds the chord in its bars, as long as it stands there without a break.
func (g *Given) stay(t *changes.Timeline) (s room, ok bool) {
	within := room{t.Bars[g.Bar-1].Start, roomOf(t, g.ToBar).to}
	for i := range t.Slots {
		slot := &t.Slots[i]
		switch is := slot.Symbol == g.Chord && slot.End > within.from && slot.Start < within.to; {
		case is && !ok:
			s, ok = room{max(slot.Start, within.from), min(slot.End, within.to)}, true
		case is && slot.Start == s.to:
			s.to = min(slot.End, within.to)
		case ok:
			return s, s.from%eighth == 0 && s.to%eighth == 0
		}
	}
	return s, ok && s.from%eighth == 0 && s.to%eighth == 0
}

// arch goes up and comes back as far as there is room, to a tone that may end there.
func arch(t *changes.Timeline, at room, keys []uint8) []Note {
	back := slices.Clone(keys[:len(keys)-1])
	slices.Reverse(back)
	all := slices.Concat(keys, back)
	all = all[:min(len(all), int((at.to-at.from)/eighth))]
	for n := len(all); n >= len(keys); n-- {
		if notes := row(all[:n], at.from, at.to); notes != nil && ends(t, notes) {
			return notes
		}
	}
	return nil
}

// inABar puts two chords of four tones over the halves of a bar, one after the other up, to
// a tone that may end there; nil where there is no room.
func (g *Given) inABar(t *changes.Timeline) []Note {
	at := roomOf(t, g.Bar)
	half := int64(len(g.Tones)) * eighth
	if t.Bars[g.Bar-1].Meter.Compound() || half%timebase.Quarter != 0 || half*2 > at.to-at.from {
		return nil
	}
	keys := climbing(g.Tones, lowestGiven)
	from := int(nearKey(keys[len(keys)-1], g.Then[0]))
	if above := climbing(g.Then, from); above[len(above)-1] > highestGiven {
		from -= tone.Octave
	}
	notes := row(append(keys, climbing(g.Then, from)...), at.from, at.to)
	if notes == nil || !goWith(t, notes) || !ends(t, notes) {
		return nil
	}
	return notes
}

// ends reports whether notes may end over their last chord as they do.
func ends(t *changes.Timeline, notes []Note) bool {
	last := &notes[len(notes)-1]
	chord := t.Slots[t.SlotAt(last.Tick, 0)].Chord
	return !(chord.Hanging() | chord.Against()).Has(last.class())
}

// goWith reports whether notes go with the chords that they are over: each in one of the
// scales that a line may walk in there, and, where it is not the chord's own, none a half
// step above a tone of the chord but for the flat ninth of a dominant that resolves; over
// no chord do they make a minor one of a major.
func goWith(t *changes.Timeline, notes []Note) bool {
	over := map[int]tone.Set{}
	for i := range notes {
		over[t.SlotAt(notes[i].Tick, 0)] |= tone.SetOf(notes[i].class())
	}
	for slot, set := range over {
		s := newStay(t, slot, MinLevel)
		fights := s.against | s.tones.Transpose(1)&^s.slot.Own.Set()&^s.tones
		if s.slot.Resolves && s.chord.Kind() == harmony.KindDominant && !s.chord.Formula.Has(harmony.Nine) {
			fights &^= tone.SetOf(s.chord.Root.Class()).Transpose(1)
		}
		if set&^s.allowed != 0 || set&fights != 0 || s.minors(set) {
			return false
		}
	}
	return true
}

// row is keys in eighths, the last of them held for a beat where there is room; nil where
// there is none.
func row(keys []uint8, from, to int64) (notes []Note) {
	for i, key := range keys {
		notes = append(notes, Note{Tick: from + int64(i)*eighth, Length: eighth, Key: key})
	}
	last := &notes[len(notes)-1]
	if last.end() > to {
		return nil
	}
	last.Length = min(timebase.Quarter, (to-last.Tick)/eighth*eighth)
	return notes
}

// climbing returns the keys of tones, each the next above the one before.
func climbing(tones []tone.Class, from int) (keys []uint8) {
	for _, class := range tones {
		key := from + int(tone.ClassOf(int(class)-from))
		keys = append(keys, uint8(key))
		from = key + 1
	}
	return keys
}

// nearKey returns the key of a tone that lies nearest to another.
func nearKey(key uint8, class tone.Class) uint8 {
	up := int(tone.ClassOf(int(class) - int(key)))
	if up > tone.Octave/2 {
		up -= tone.Octave
	}
	return uint8(int(key) + up)
}

// excerpt is the exercise over those bars of a chart that hold its notes, in the centre of
// the first.
func (g *Given) excerpt(t *changes.Timeline, notes []Note) (*Exercise, error) {
	first := t.BarAt(notes[0].Tick, 0)
	start, at := t.Bars[first].Start, t.Bars[first].Start
	key := t.Slots[t.SlotAt(notes[0].Tick, 0)].Centre
	var bars []changes.WrittenBar
	for i := first; at < notes[len(notes)-1].end(); i++ {
		bar := writtenBar(t, i%len(t.Bars))
		for k := range bar.Stays {
			bar.Stays[k].Centre = key // the text has one
		}
		bars = append(bars, bar)
		at += bar.Meter.Bar()
	}
	line, err := unrolledBars(bars, key)
	if err != nil {
		return nil, err
	}
	for i := range notes {
		notes[i].Tick -= start
	}
	return &Exercise{Line: line, Key: key, Tempo: g.Tempo, Notes: notes}, nil
}

func unrolledBars(bars []changes.WrittenBar, key changes.Centre) (*changes.Timeline, error) {
	c := changes.Chart{Key: key, HasKey: true, Meter: bars[0].Meter, Sections: []changes.Section{{Bars: bars}}}
	line, err := c.Unroll()
	return &line, err
}
