package linegen

import (
	"shedlight/analyse/changes"
	"shedlight/analyse/song"
	"shedlight/analyse/tone"
)

// cell is one place on the grid and the harmony that is active there.
type cell struct {
	tick   int64
	beat   int64    // length of the beat in ticks
	sub    int      // 0 on the beat
	subs   int      // cells in this beat
	scale  tone.Set // empty where there is none
	home   tone.Set // its home half
	family []tone.Set
	goals  tone.Set // tones to land on: of the chord and the scale both, else of the home half
	slot   int      // counts chords through all choruses
}

// newGrid lays out the places of all choruses.
func newGrid(t *changes.Timeline, view song.View, choruses int) []cell {
	var out []cell
	for chorus := range choruses {
		start := int64(chorus) * t.Length
		for i, bar := range t.Bars {
			end := t.Length
			if i+1 < len(t.Bars) {
				end = t.Bars[i+1].Start
			}
			subs := 2
			if bar.Meter.Compound() {
				subs = 3
			}
			width := bar.Meter.Beat() / int64(subs)
			for n, tick := 0, bar.Start; tick < end; n, tick = n+1, tick+width {
				slot := t.SlotAt(tick, 0)
				c := cellOver(&t.Slots[slot], view)
				c.tick, c.beat, c.sub, c.subs = start+tick, bar.Meter.Beat(), n%subs, subs
				c.slot = chorus*len(t.Slots) + slot
				out = append(out, c)
			}
		}
	}
	return out
}

func cellOver(slot *changes.Slot, view song.View) cell {
	scale := slot.Key
	if view == song.ChordView {
		scale = slot.Own
	}
	if scale.None() || slot.Chord.None() {
		return cell{}
	}
	c := cell{scale: scale.Set(), home: scale.Home()}
	if c.goals = slot.Chord.Set() & c.scale; c.goals == 0 {
		c.goals = c.home
	}
	// The two chords whose families are practised most, as places in the scale:
	// the home chord, and the chord with the seventh in its place.
	for _, pattern := range [...][4]int{{0, 2, 4, 6}, {0, 2, 4, 7}} {
		for step := range 8 {
			c.family = append(c.family, chordOn(scale.Set(), scale.Root.Class(), pattern, step))
		}
	}
	return c
}

// chordOn returns the chord that a pattern of places makes when every tone has
// moved up the scale by a number of steps.
func chordOn(scale tone.Set, root tone.Class, pattern [4]int, step int) tone.Set {
	var places []tone.Class
	for i := range 12 {
		if c := tone.ClassOf(int(root) + i); scale.Has(c) {
			places = append(places, c)
		}
	}
	var out tone.Set
	for _, place := range pattern {
		out |= tone.SetOf(places[(place+step)%len(places)])
	}
	return out
}

func has(s tone.Set, key int) bool { return s.Has(tone.ClassOf(key)) }

// next returns the next key of a set above or below a key.
func next(s tone.Set, key int, up bool) int {
	d := -1
	if up {
		d = 1
	}
	for key += d; !has(s, key); key += d {
	}
	return key
}

// near returns the key of a set nearest to a key, the upper one of two.
func near(s tone.Set, key int) int {
	for d := 0; ; d++ {
		switch {
		case has(s, key+d):
			return key + d
		case has(s, key-d):
			return key - d
		}
	}
}
