package advise

import (
	"math"
	"slices"

	"shedlight/analyse"
	"shedlight/analyse/fit"
)

// How fast an exercise is: what is to be mended at three quarters of the tempo, what is new
// at nine tenths, to the nearest ten, and never under forty. Where the choruses were at
// several tempi it is a share of the fastest, but no faster than a chorus that was clean;
// where none was, of the slowest. Common practice, no source.

const (
	mending, learning = 75, 90 // percent of the tempo
	slowest           = 40     // beats a minute: a metronome begins there

	// A chorus is clean that has cleanNotes at least, of which cleanPercent slipped at
	// most, as in the median of real solos (DEVELOPERS.md, Measured), and in which nothing
	// goes elsewhere or nowhere.
	cleanNotes   = 32
	cleanPercent = 1
)

// pace is how fast the choruses were, in beats a minute; 0 where no beat is known.
type pace struct {
	from, to float64 // the slowest and the fastest, as they began
	clean    float64 // the fastest that was clean; 0: none was
}

// paceOf looks at the choruses; those that are off are not clean whatever else is in them.
func paceOf(s *analyse.Summary, off ...int) (p pace) {
	for i := range s.ChorusesDetail {
		c := &s.ChorusesDetail[i]
		if c.Tempo == 0 || c.Notes == 0 {
			continue
		}
		if p.from == 0 || c.Tempo < p.from {
			p.from = c.Tempo
		}
		p.to = max(p.to, c.Tempo)
		if clean(s, c) && !slices.Contains(off, c.Chorus) {
			p.clean = max(p.clean, c.Tempo)
		}
	}
	if p.to == 0 {
		p.from, p.to = s.Tempo, s.Tempo
	}
	return p
}

func clean(s *analyse.Summary, c *analyse.ChorusCount) bool {
	return c.Notes >= cleanNotes && c.Slips()*percent <= cleanPercent*c.Notes &&
		!slices.ContainsFunc(s.Fit, func(v fit.Verdict) bool { return v.Chorus == c.Chorus && v.Span != fit.Phrase && v.Claims() })
}

// at is a share of the tempo, in percent, as a metronome is set.
func (p pace) at(share float64) int {
	const ten = 10
	if p.to == 0 {
		return 0
	}
	tempo, most := p.to, p.clean
	if p.clean == 0 {
		tempo, most = p.from, p.from
	}
	set := math.Round(share * tempo / percent / ten)
	return max(int(min(slowest, most)), ten*int(min(set, math.Floor(most/ten))))
}
