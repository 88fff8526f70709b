package display

import (
	"fmt"

	"shedlight/analyse"
)

// paintFit says what there is to say at the moment: in the first bar of a chorus,
// or later on a quiet screen, how the last one went; in the rest after a phrase where
// the last bars would go better, else how the phrase went and what it was made of; and
// while one is played how many of the last notes something explains, unless the player
// wants it quiet.
func (p *painter) paintFit(f *Frame) {
	s, at, text := &f.Snapshot, p.at[lately], p.chorus.news(f)
	switch {
	case at.n == 0:
		return
	case text != "":
	case !s.InPhrase && s.Fits.Claims():
		text = youAre(&s.Fits)
	case s.Phrase.Number > 0 && !s.InPhrase:
		text = p.speller.phrase(&s.Phrase)
		room := p.right() - p.margin() - width(text) - gap
		p.line(p.margin(), p.right(), at.y, []piece{{text, plain}, {p.speller.figuresIn(&s.Phrase, room), faint}})
		return
	case s.Recent.Notes > 0 && !s.Scale.None() && !f.Status.Quiet:
		text = fmt.Sprintf("last %d bars: %d of %d explained", analyse.RecentBars, s.Recent.Explained, s.Recent.Notes)
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
	if c.Home+c.Dim+c.Outside > 0 {
		of := func(group ...analyse.Group) string {
			n := int64(0)
			for _, g := range group {
				n += c.Groups[g]
			}
			return share(n, c.Notes)
		}
		pieces = append(pieces,
			piece{"on the chord " + of(analyse.OnChord), plain},
			piece{"in the scale " + of(analyse.InScale), plain},
			piece{"on its way " + of(analyse.OnWay, analyse.AtChange), plain},
			piece{"colour " + of(analyse.AsColour), plain},
		)
		if !s.InPhrase {
			pieces = append(pieces, piece{fmt.Sprintf("slips %d", c.Slips()), slip})
		}
	}
	p.line(p.margin(), p.right(), at.y, pieces)
}
