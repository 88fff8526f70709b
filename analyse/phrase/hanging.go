package phrase

import (
	"shedlight/analyse/song"
)

// Hanging counts the tones of the dim half that were left where they are
// restless: held for a beat or more, or the last of a phrase. A tone of the
// written chord is at rest in either half and is not among them, nor is one that
// is played up to six tenths of a beat ahead of a chord in which it is at rest.
// It is news, no reproach: what is left hanging can be what was wanted.
type Hanging struct {
	Held      int64 `json:"held"`       // a beat or more, within a phrase
	PhraseEnd int64 `json:"phrase_end"` // the last note of a phrase
}

// hold looks at the note before the next one of the same phrase.
func (p *Finder) hold(n *song.Note) {
	if isRestless(&p.prev) && n.HeldOver >= p.prev.Position.BeatTicks {
		p.chorus.hanging.Held++
	}
}

// isRestless reports whether a note lies in the dim half and is not at rest.
func isRestless(n *song.Note) bool {
	class := n.Class()
	ahead := n.Next != nil && n.Position.CanPush() && n.Next.Rests(class)
	return n.Place == song.Dim && !n.Context.ChordTone.Has(class) && !ahead
}

// endsHanging reports whether a phrase ends on a tone of the dim half that the
// chord lacks.
func (at *phrase) endsHanging() bool {
	return at.landing == LeftHanging && at.to.context.Place[at.to.class()] == song.Dim
}
