package beat

import "math"

// mark is a pulse as the line goes through it.
type mark struct {
	number float64 // pulses since the first
	at     float64 // microseconds
}

// straight is a line from pulse number to time, in microseconds.
type straight struct {
	interval float64 // of a pulse
	offset   float64 // when pulse 0 was due
}

// due returns when a pulse is due.
func (s straight) due(number float64) float64 { return s.offset + number*s.interval }

// through lays a line through two pulses or more, twice: the second time what lies
// farther off than reach is drawn near.
func through(marks []mark, reach float64) straight {
	return least(marks, least(marks, straight{}, math.Inf(1)), reach)
}

// least fits by least squares, with no pulse farther off the line before than reach.
func least(marks []mark, before straight, reach float64) straight {
	origin := marks[len(marks)-1] // sums stay small
	n := float64(len(marks))
	var x, y, xx, xy float64
	for _, m := range marks {
		at := m.at
		if !math.IsInf(reach, 1) {
			at = before.due(m.number) + limited(m.at-before.due(m.number), reach)
		}
		dx, dy := m.number-origin.number, at-origin.at
		x, y, xx, xy = x+dx, y+dy, xx+dx*dx, xy+dx*dy
	}
	interval := (n*xy - x*y) / (n*xx - x*x)
	return straight{interval: interval, offset: origin.at + (y-interval*x)/n - interval*origin.number}
}

// bend returns how much better a line would fit that bends at a pulse, in squares of
// the scatter: the square of how many deviations the bend is away from none. s is the
// line that does not bend; nothing counts for more than reach off it. The bend must have
// pulses on both sides.
func (s straight) bend(marks []mark, at int, reach, scatter float64) float64 {
	from := marks[at].number
	n := float64(len(marks))
	var x, xx float64     // of all
	var h, hh, hx float64 // how far pulses lie behind the bend
	var rises float64     // what lies off the line, times that
	for i, m := range marks {
		dx := m.number - from
		x, xx = x+dx, xx+dx*dx
		if i <= at {
			continue
		}
		h, hh, hx = h+dx, hh+dx*dx, hx+dx*dx
		rises += dx * limited(m.at-s.due(m.number), reach)
	}
	// What of the bend a straight line would take up is none of it.
	hh -= (h*h*xx - 2*h*hx*x + hx*hx*n) / (n*xx - x*x)
	return rises * rises / hh / (scatter * scatter)
}

func limited(v, reach float64) float64 { return min(max(v, -reach), reach) }
