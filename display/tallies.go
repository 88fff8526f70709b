package display

import (
	"fmt"

	"shedlight/analyse"
	"shedlight/analyse/fate"
)

// paintFit says what there is to say at the moment: in the first bar of a chorus,
// or later on a quiet screen, how the last one went; in the rest after a phrase how
// that went and what it was made of; and while one is played how the last bars lay
// on the scale, unless the player wants it quiet.
func (p *painter) paintFit(f *Frame) {
	s, at, text := &f.Snapshot, p.at[fit], p.chorus.news(f)
	switch {
	case at.n == 0:
		return
	case text != "":
	case s.Phrase.Number > 0 && !s.InPhrase:
		text = p.speller.phrase(&s.Phrase)
		room := p.right() - p.margin() - width(text) - gap
		p.line(p.margin(), p.right(), at.y, []piece{{text, plain}, {p.speller.figuresIn(&s.Phrase, room), faint}})
		return
	case s.Recent.Notes > 0 && !s.Scale.None() && !f.Status.Quiet:
		text = fmt.Sprintf("last %d bars: %d of %d on the scale", analyse.PageBars, s.Recent.Inside, s.Recent.Notes)
		if best := p.speller.fits(&s.Fit); best != "" && p.at[outlined].n == 0 {
			text += "; " + best
		}
	}
	p.line(p.margin(), p.right(), at.y, []piece{{text, plain}})
}

// paintCounts writes the running summary, the most telling first, so that a
// narrow screen drops the least.
func (p *painter) paintCounts(f *Frame) {
	s, at := &f.Snapshot, p.at[counts]
	if at.n == 0 {
		return
	}
	c := &s.Counts
	pieces := []piece{{fmt.Sprintf("%d notes", c.Notes), plain | bold}}
	unresolved := c.Of(fate.Unresolved)
	if f.keepsQuiet() {
		unresolved = s.SlipsBefore
	}
	if c.Home+c.Dim+c.Outside > 0 {
		pieces = append(pieces,
			piece{fmt.Sprintf("%s %d", homeWord(s.Scale.Kind), c.Home), home},
			piece{fmt.Sprintf("dim %d", c.Dim), half},
			piece{fmt.Sprintf("outside %d", c.Outside), plain},
			piece{fmt.Sprintf("unresolved %d", unresolved), slip},
			piece{"chord tones " + share(c.ChordTones, c.Notes), plain},
		)
	}
	p.line(p.margin(), p.right(), at.y, pieces)
}
