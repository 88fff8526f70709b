package backing

import (
	"shedlight/analyse/changes"
	"shedlight/analyse/harmony"
)

// stay is the time on one chord, however often the chart writes it.
type stay struct {
	start, end int64
	chord      harmony.Chord // none: silence
	key        harmony.Scale
	pedal      bool // its bass lies still under the chord before or after, which is another
}

// staysOf returns the stays of a chorus.
func staysOf(tune *changes.Timeline) []stay {
	var out []stay
	for i := range tune.Slots {
		s := &tune.Slots[i]
		if n := len(out); n > 0 && out[n-1].chord == s.Chord {
			out[n-1].end = s.End
			continue
		}
		out = append(out, stay{start: s.Start, end: s.End, chord: s.Chord, key: s.Key})
	}
	for i := 1; i < len(out); i++ {
		before, now := &out[i-1], &out[i]
		if inverted(before.chord) || inverted(now.chord) {
			still := !before.chord.None() && !now.chord.None() && before.chord.Bass.Class() == now.chord.Bass.Class()
			before.pedal, now.pedal = before.pedal || still, still
		}
	}
	return out
}

// inverted reports whether a chord has another bass than its root.
func inverted(c harmony.Chord) bool { return !c.None() && c.Bass.Class() != c.Root.Class() }

// stayAt returns the index of the stay at a tick, their number beyond the last.
func (b *Band) stayAt(tick int64) int {
	for i := range b.stays {
		if tick < b.stays[i].end {
			return i
		}
	}
	return len(b.stays)
}
