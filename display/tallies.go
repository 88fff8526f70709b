package display

import (
	"fmt"

	"shedlight/analyse"
)

// paintCounts writes the running summary.
func (p *painter) paintCounts(f *Frame) {
	if at := p.at[counts]; at.n > 0 {
		p.line(p.margin(), p.right(), at.y, p.running(&f.Snapshot))
	}
}

// running is the running summary, the most telling first, so that a narrow screen
// drops the least. Slips are counted in rests only.
func (p *painter) running(s *analyse.Snapshot) []piece {
	c := &s.Counts
	pieces := []piece{{count(c.Notes, "note"), faint}}
	if c.Home+c.Dim+c.Outside > 0 {
		of := func(group ...analyse.Group) string {
			n := int64(0)
			for _, g := range group {
				n += c.Groups[g]
			}
			return share(n, c.Notes)
		}
		pieces = append(pieces,
			piece{"on the chord " + of(analyse.OnChord), faint},
			piece{"in the scale " + of(analyse.InScale), faint},
			piece{"on its way " + of(analyse.OnWay, analyse.AtChange), faint},
			piece{"colour " + of(analyse.AsColour), faint},
		)
		if !s.InPhrase {
			pieces = append(pieces, piece{fmt.Sprintf("slips %d", c.Slips()), slip})
		}
	}
	return pieces
}
