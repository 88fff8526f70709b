package display

import (
	"fmt"

	"shedlight/analyse"
)

// paintCounts writes the running summary, the most telling first, so that a
// narrow screen drops the least.
func (p *painter) paintCounts(f *Frame) {
	s, at := &f.Snapshot, p.at[counts]
	if at.n == 0 {
		return
	}
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
	p.line(p.margin(), p.right(), at.y, pieces)
}
