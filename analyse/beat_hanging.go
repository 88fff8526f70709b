package analyse

// Hanging counts the tones of the dim half that were left where they are
// restless: held for a beat or more, or the last of a phrase. A tone of the
// written chord is at rest in either half and is not among them, nor is one that
// is played up to six tenths of a beat ahead of a chord in which it is at rest.
// It is news, no reproach: what is left hanging can be what was wanted.
type Hanging struct {
	Held      int64 `json:"held"`       // a beat or more, within a phrase
	PhraseEnd int64 `json:"phrase_end"` // the last note of a phrase
}

// hangingNote looks at the newest note of the line until the next one comes.
type hangingNote struct {
	restless bool
	beat     int64
	counts   Hanging
}

// next takes the next note of the line, which is in its phrase already.
func (h *hangingNote) next(p *played, first bool, a *Analyser) {
	switch {
	case first && a.phrases.number > 1:
		h.phraseOver(a.phrases.at(a.phrases.number - 1))
	case !first && h.restless:
		before := &a.line.last[1]
		if min(before.off, p.tick)-before.tick >= h.beat {
			h.counts.Held++
		}
	}
	class := p.class()
	ahead := p.next != nil && p.position.left*tenths <= pushMost*p.position.beatTicks &&
		(p.next.home | p.next.chordTone).Has(class)
	h.restless = p.place == Dim && !p.context.chordTone.Has(class) && !ahead
	h.beat = p.position.beatTicks
}

// phraseOver looks at how a phrase ended.
func (h *hangingNote) phraseOver(at *phrase) {
	if at.landing == LeftHanging && at.to.context.place[at.to.class()] == Dim {
		h.counts.PhraseEnd++
	}
}

// finish takes the end of the session, when the last phrase is over.
func (h *hangingNote) finish(p *phrases) {
	if p.number > 0 {
		h.phraseOver(p.latest())
	}
}
