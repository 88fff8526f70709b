package song

import (
	"iter"

	"shedlight/analyse/changes"
	"shedlight/analyse/tone"
)

// Key is a key in which choruses of a chart are played.
type Key struct {
	Name      string            // as players read it: "F", "F minor"
	Semitones int               // from the chart as written up to it, 0 to 11
	Timeline  *changes.Timeline // the chart in it: the same bars, and chords of the same lengths
}

// Keys are the keys of the choruses, one after the other from the top that was last
// counted off to, and then from the first again. The first is that of the chart as
// written. Without any all choruses are in that.
type Keys []Key

// Row returns the row of the key in which a chorus is played, which comes so many
// choruses after the top. Before the top it is the first.
func (k Keys) Row(after int) int {
	if after < 0 || len(k) == 0 {
		return 0
	}
	return after % len(k)
}

// Timelines lists the chart in the keys.
func (k Keys) Timelines() (out []*changes.Timeline) {
	for i := range k {
		out = append(out, k[i].Timeline)
	}
	return out
}

// keyRow is the row of the key of a chorus by its number, 0 for what lies in none.
func (s *Song) keyRow(chorus int) int { return s.keys.Row(chorus - s.Top()) }

// Keys returns the names of the key that a position is in, and of the key of the chorus
// after it; both are empty where the key does not change.
func (s *Song) Keys(p *Position) (now, next string) {
	if len(s.keys) == 0 {
		return "", ""
	}
	chorus := max(p.Chorus, s.Top())
	return s.Context(chorus, 0).Key, s.Context(chorus+1, 0).Key
}

// In returns the timeline in the key of a chorus by its number.
func (s *Song) In(chorus int) *changes.Timeline {
	if len(s.keys) > 0 {
		return s.keys[s.keyRow(chorus)].Timeline
	}
	return s.Timeline
}

// Context returns the context of a slot in the key of a chorus by its number. Without a
// chart the slot is a row of Contexts.
func (s *Song) Context(chorus, slot int) *Context {
	if len(s.keys) > 0 {
		slot += s.keyRow(chorus) * len(s.Timeline.Slots)
	}
	return &s.Contexts[slot]
}

// At returns the context of the slot that sounds at a position.
func (s *Song) At(p *Position) *Context { return s.Context(p.Chorus, p.Slot) }

// after returns the context of the slot after a row of the timeline in a chorus, and its
// row.
func (s *Song) after(chorus, slot int) (c *Context, row int) {
	if slot++; slot == len(s.Timeline.Slots) {
		slot, chorus = 0, chorus+1
	}
	return s.Context(chorus, slot), slot
}

// From lists the contexts of a chorus that come after a position, over the top.
func (s *Song) From(p *Position) iter.Seq[*Context] {
	return func(yield func(*Context) bool) {
		slot, chorus := p.Slot, max(p.Chorus, s.Top())
		for range s.Timeline.Slots {
			var c *Context
			if c, slot = s.after(chorus, slot); slot == 0 {
				chorus++
			}
			if !yield(c) {
				return
			}
		}
	}
}

// before returns the context of the slot before a row of the timeline in a chorus.
func (s *Song) before(chorus, slot int) *Context {
	if slot--; slot < 0 {
		slot, chorus = len(s.Timeline.Slots)-1, chorus-1
	}
	return s.Context(chorus, slot)
}

// inKeys lists the contexts of a timeline in each of its keys, one key after the other,
// whose rows begin at one, and the names of its centres as written.
func inKeys(t *changes.Timeline, keys Keys, view View, row int) (contexts []Context, centres []string) {
	contexts, centres = contextsOf(t, view, row)
	for i := 1; i < len(keys); i++ {
		moved, _ := contextsOf(keys[i].Timeline, view, row+i*len(t.Slots))
		contexts = append(contexts, moved...)
	}
	for i := range contexts {
		if key := i / len(t.Slots); len(keys) > 0 {
			contexts[i].Key, contexts[i].Moved = keys[key].Name, keys[key].Semitones
		}
		if i >= len(t.Slots) {
			written := &contexts[i%len(t.Slots)]
			contexts[i].written, contexts[i].CentreRow = written, written.CentreRow
		}
	}
	return contexts, centres
}

// Written is the context of the same slot in the chart as written: what is counted is
// counted there. It is c itself where the key does not change.
func (c *Context) Written() *Context {
	if c.written == nil {
		return c
	}
	return c.written
}

// Back returns what a class is in the chart as written.
func (c *Context) Back(class tone.Class) tone.Class { return tone.ClassOf(int(class) - c.Moved) }
