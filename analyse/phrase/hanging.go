package phrase

import (
	"cmp"
	"slices"

	"shedlight/analyse/song"
	"shedlight/analyse/tone"
)

// Hanging counts the tones that were left hanging: that stay open over their chord
// (harmony.Chord.Hanging) and were held for a beat or more, or ended a phrase. One
// that is played up to six tenths of a beat ahead of a chord in which it is at rest
// is not among them. It is news, no reproach: what is left hanging can be what was
// wanted.
type Hanging struct {
	Held      int64 `json:"held"`       // a beat or more, within a phrase
	PhraseEnd int64 `json:"phrase_end"` // the last note of a phrase

	Over []HangingOver `json:"over"` // which tones over which chords, the most frequent first
}

// HangingOver is a tone that was left hanging over a chord.
type HangingOver struct {
	Chord string `json:"chord"` // the symbol
	Name  string `json:"name"`  // without octave
	Wants string `json:"wants"` // where it wants to go
	Times int64  `json:"times"`
}

// hung is a tone over a chord. There are as many as the chart has chords that leave
// tones open.
type hung struct{ chord, name, wants string }

// hanging is what was left hanging in a chorus or in the session.
type hanging struct {
	held, end int64
	over      map[hung]int64
}

func (h *hanging) atEnd(c *song.Context, class tone.Class) {
	h.end++
	c, class = c.Written(), c.Back(class)
	h.over[hung{c.Symbol, c.Name[class], wants(c, class)}]++
}

func (h *hanging) include(other *hanging) {
	h.held += other.held
	h.end += other.end
	addAll(h.over, other.over)
}

func (h *hanging) report() Hanging {
	r := Hanging{Held: h.held, PhraseEnd: h.end, Over: []HangingOver{}}
	for at, times := range h.over {
		r.Over = append(r.Over, HangingOver{Chord: at.chord, Name: at.name, Wants: at.wants, Times: times})
	}
	slices.SortFunc(r.Over, func(a, b HangingOver) int {
		return cmp.Or(cmp.Compare(b.Times, a.Times), cmp.Compare(a.Chord, b.Chord), cmp.Compare(a.Name, b.Name))
	})
	return r
}

// wants returns the tone that a tone which stays open over a chord wants to go to, a
// semitone down; empty for every other.
func wants(c *song.Context, class tone.Class) string {
	if !c.Hanging.Has(class) {
		return ""
	}
	return c.Name[tone.ClassOf(int(class)-1)]
}

// hold looks at the note before the next one of the same phrase.
func (p *Finder) hold(n *song.Note) {
	before := &p.prev
	class := before.Class()
	ahead := before.Next != nil && before.Position.CanPush() && before.Next.Rests(class)
	if before.Context.Hanging.Has(class) && !ahead && n.HeldOver >= before.Position.BeatTicks {
		h := &p.Now().hanging
		h.held++
		c := before.Context.Written()
		h.over[hung{c.Symbol, before.Charted, wants(c, before.Context.Back(class))}]++
	}
}

// endsHanging reports whether a phrase ends on a tone that stays open over its
// chord.
func (at *phrase) endsHanging() bool { return at.to.context.Hanging.Has(at.to.class()) }
