package analyse_test

import (
	"shedlight/analyse"
	"shedlight/analyse/changes"
	"shedlight/analyse/fate"
	"shedlight/analyse/harmony"
	"shedlight/analyse/timebase"
	"shedlight/analyse/tone"
)

// What a note is to its chord, as the reference judge knows it: the lists of
// the rules, colours, against the chord and left hanging, by semitones over the root.

// over returns how many semitones a note lies above the root of its chord.
func (i *refNote) over() int {
	return int(tone.ClassOf(i.key - int(i.slot.Chord.Root.Class())))
}

// onBeat reports whether it stands on the beat: a tenth ahead to two tenths behind.
func (i *refNote) onBeat() bool {
	return i.inBeat >= 0 && (10*i.inBeat <= 2*i.beat || 10*i.inBeat >= 9*i.beat)
}

// isColour: a colour of the chord, or a tone of the scale of the other view.
func (i *refNote) isColour() bool {
	if bothScales(i.slot).Has(i.class()) {
		return true
	}
	for _, semitones := range coloursOf(i.slot.Chord, i.resolves) {
		if i.over() == semitones {
			return true
		}
	}
	return false
}

func coloursOf(c harmony.Chord, resolves bool) []int {
	has := c.Formula.Has
	kind := c.Kind()
	switch {
	case kind == "dominant" && (has(harmony.FlatFive) || has(harmony.SharpFive)):
		return []int{1, 3, 6, 8}
	case kind == "dominant" && (has(harmony.FlatNine) || has(harmony.SharpNine)) && resolves:
		return []int{1, 3, 6, 8, 9}
	case kind == "dominant" && (has(harmony.FlatNine) || has(harmony.SharpNine)):
		return []int{1, 3, 6, 9}
	case kind == "dominant" && resolves:
		return []int{1, 2, 3, 6, 8, 9}
	case kind == "dominant":
		return []int{2, 3, 6, 9}
	case kind == "suspended" && has(harmony.FlatSeven) && resolves:
		return []int{1, 4, 8}
	case kind == "suspended" && has(harmony.FlatSeven):
		return []int{4, 8}
	case kind == "half-diminished":
		return []int{2, 5, 8, 9}
	case kind == "diminished":
		return []int{2, 5, 8, 11}
	case kind == "minor" && has(harmony.FlatSeven):
		return []int{2, 9}
	case kind == "minor", kind == "minor sixth":
		return []int{10}
	}
	return nil
}

// isAgainst: a note that makes one wince where it is held. What the symbol itself
// asks for does not.
func (i *refNote) isAgainst() bool {
	c, over := i.slot.Chord, i.over()
	tonicMinor := c.Kind() == "minor sixth" || c.Kind() == "minor" && !c.Formula.Has(harmony.FlatSeven)
	if i.chordTone() {
		return false
	}
	switch over {
	case 11:
		return c.Kind() == "dominant"
	case 4:
		return c.Kind() == "minor" || c.Kind() == "minor sixth" || c.Kind() == "half-diminished"
	case 7:
		return c.Kind() == "half-diminished"
	case 1:
		return c.Kind() == "major" || tonicMinor
	}
	return false
}

// hangs: a tone that wants to go a semitone down. A tone of the chord is at rest.
func (i *refNote) hangs() bool {
	c, over := i.slot.Chord, i.over()
	if i.chordTone() {
		return false
	}
	switch c.Kind() {
	case "major":
		return over == 5 || over == 8
	case "minor", "minor sixth":
		return over == 1 || over == 8
	case "dominant":
		return over == 5
	case "half-diminished":
		return over == 1
	case "diminished":
		return c.Set().Has(tone.ClassOf(i.key - 1))
	}
	return false
}

// degree is how players say a tone that the chord does not hold (common practice).
func (i *refNote) degree() string {
	root := i.slot.Chord.Root.Class()
	holds := func(semitones int) bool {
		return i.slot.Chord.Set().Has(tone.ClassOf(int(root) + semitones))
	}
	switch over := i.over(); {
	case over == 3 && holds(4) && holds(10):
		return "#9"
	case over == 4 && holds(3):
		return "maj3"
	case over == 6 && holds(7):
		return "#11"
	case over == 9 && holds(10):
		return "13"
	default:
		return []string{"1", "b9", "9", "b3", "3", "4", "b5", "5", "b13", "6", "b7", "maj7"}[over]
	}
}

// resolves: the next chord with another root, past the end of the chorus too, lies a
// fifth or a semitone below; no chord resolves nothing.
func resolves(t *changes.Timeline, slot int) bool {
	root := t.Slots[slot].Chord.Root.Class()
	for k := 1; k < len(t.Slots); k++ {
		next := t.Slots[(slot+k)%len(t.Slots)].Chord
		if next.None() {
			return false
		}
		if up := tone.ClassOf(int(next.Root.Class()) - int(root)); up != 0 {
			return up == 5 || up == 11
		}
	}
	return false
}

// heardIn returns the scale that the notes of i's stretch are heard in where it
// is not the default one. A push into the next chord that lies in neither scale of
// its own chord is not among them.
func (j *judge) heardIn(i *refNote) harmony.Scale {
	if !j.chart || i.still {
		return harmony.Scale{}
	}
	held := func(s tone.Set) int {
		count := 0
		for _, note := range j.notes {
			pushed := note.fate == fate.Push && !bothScales(note.slot).Has(note.class())
			if note.stretch == i.stretch && !note.glitch && note.pedal == nil && !pushed && s.Has(note.class()) {
				count++
			}
		}
		return count
	}
	var best harmony.Scale
	most := held(i.slot.Own.Set())
	for _, s := range i.slot.Admitted {
		if n := held(s.Set()); n > most {
			best, most = s, n
		}
	}
	return best
}

// blue: the flat third or seventh of the centre, over its first or fourth degree;
// over anything in a blues.
func (j *judge) blue(i *refNote) bool {
	tonic := int(i.slot.Centre.Tonic.Class())
	above := func(c tone.Class) int { return int(tone.ClassOf(int(c) - tonic)) }
	if blueFlats>>above(i.class())&1 == 0 {
		return false
	}
	root := above(i.slot.Chord.Root.Class())
	return i.slot.Centre.Mode == blues || root == 0 || root == aFourth
}

// sinceBeat counts beats without a chart: in the song where a clock tells it, else
// from where the meter was told.
func sinceBeat(events []analyse.Event, tick int64, meter timebase.Meter) int64 {
	since, told, stands := tick, false, false
	for _, e := range events {
		m := timebase.Meter{Num: uint8(e.Value >> 8), Den: uint8(e.Value)}
		switch {
		case e.Kind == analyse.Origin && e.Key == 1:
			since, told, stands = e.Value+tick-e.Tick, true, false
		case e.Kind == analyse.Origin:
			told, stands = true, true
		case e.Kind == analyse.Meter && m.Valid() && !told:
			since = tick - e.Tick
		}
	}
	if stands {
		return -1
	}
	return timebase.Mod(timebase.Mod(since, meter.Bar()), meter.Beat())
}

func barAt(t *changes.Timeline, within int64) *changes.Bar {
	bar := &t.Bars[0]
	for i := range t.Bars {
		if t.Bars[i].Start <= within {
			bar = &t.Bars[i]
		}
	}
	return bar
}
