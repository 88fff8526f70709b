package feel

import "math"

// A trend holds how far onsets lay from the beat, and when, so that their mean, their
// scatter and the slope of the straight line through them can be told: the ordinary
// least squares, by sums about the means that are brought up to date with each onset
// and can be put together (T. F. Chan, G. H. Golub, R. J. LeVeque, Algorithms for
// Computing the Sample Variance, The American Statistician 37/3, 1983; from memory).
// Microseconds.
type trend struct {
	n          float64
	t, y       float64 // means: since the beats began, from the beat
	tt, ty, yy float64 // sums of the products of the deviations from them
}

// A slope is a drift where it is as steep as steepest (a part of the time), leads as far
// as farthest (in microseconds) and is more than drifting times its standard error, over
// enough onsets. The bounds are this project's own.
const (
	steepest, farthest = 30e3 / 60e6, 30e3
	drifting           = 4
	enough             = 16
)

// count takes an onset.
func (r *trend) count(t, y float64) { r.add(&trend{n: 1, t: t, y: y}) }

// add puts other onsets to these.
func (r *trend) add(other *trend) {
	if other.n == 0 {
		return
	}
	n := r.n + other.n
	dt, dy, weight := other.t-r.t, other.y-r.y, r.n*other.n/n
	r.tt += other.tt + dt*dt*weight
	r.ty += other.ty + dt*dy*weight
	r.yy += other.yy + dy*dy*weight
	r.t += dt * other.n / n
	r.y += dy * other.n / n
	r.n = n
}

// drift returns the slope of the line where it is a drift, else 0. It leads from one
// end to the other of onsets that are spread evenly in time: the square root of twelve
// standard deviations.
func (r *trend) drift() float64 {
	if r.n < enough || r.tt == 0 {
		return 0
	}
	slope := r.ty / r.tt
	length := math.Sqrt(12 * r.tt / r.n)
	doubt := math.Sqrt(max(0, r.yy-slope*r.ty) / (r.n - 2) / r.tt)
	if steep := math.Abs(slope); steep <= steepest || steep*length <= farthest || steep <= drifting*doubt {
		return 0
	}
	return slope
}

// told returns the mean and the standard deviation once a drift is taken out: as it
// was when the beats began.
func (r *trend) told(drift float64) (mean, deviation float64) {
	if r.n == 0 {
		return 0, 0
	}
	squares := r.yy - 2*drift*r.ty + drift*drift*r.tt
	return r.y - drift*r.t, math.Sqrt(max(0, squares/r.n))
}

// start returns where the straight line through the onsets begins, drift or not: onsets that
// are spread evenly in time begin the square root of three standard deviations before their
// mean.
func (r *trend) start() float64 {
	if r.tt == 0 {
		return r.y
	}
	return r.y - r.ty*math.Sqrt(3/(r.tt*r.n))
}
