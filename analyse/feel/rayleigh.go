package feel

import "math"

// Whether onsets lie in the beat as they would not by chance: the Rayleigh test of
// uniformity (K. V. Mardia, P. E. Jupp, Directional Statistics, 2000, section 6.3) on
// where in the beat they lie, once for each way to divide a beat.

const (
	// phaseBins is how finely it is kept where in the beat the onsets lie: 24
	// parts hold halves, thirds, quarters, sixths and eighths, and are fine enough for
	// fifths and sevenths. divisions is how many ways to divide a beat are asked for, one
	// to eight: a slow beat is played in sixteenths of twice its tempo, and these in threes.
	phaseBins, divisions = 24, 8
	// byChance is how seldom onsets anywhere in the beat are to be taken for
	// playing with it, all divisions together.
	byChance = 0.001
)

// phases counts onsets by where in the beat they lie.
type phases [phaseBins]int64

func (p *phases) add(since, length int64) { p[since*phaseBins/length]++ }

func (p *phases) include(other *phases) {
	for i := range p {
		p[i] += other[i]
	}
}

// keep reports whether for some division of the beat the Rayleigh statistic, the
// number of onsets times the square of their mean resultant length, is more than
// chance gives.
func (p *phases) keep() bool {
	var n float64
	for _, c := range p {
		n += float64(c)
	}
	for division := 1; division <= divisions; division++ {
		var x, y float64
		for i, c := range p {
			sin, cos := math.Sincos(2 * math.Pi * float64(i*division) / phaseBins)
			x, y = x+float64(c)*cos, y+float64(c)*sin
		}
		if n > 0 && (x*x+y*y)/n > math.Log(divisions/byChance) {
			return true
		}
	}
	return false
}
