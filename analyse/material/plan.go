package material

import (
	"math/rand/v2"

	"shedlight/analyse/changes"
	"shedlight/analyse/timebase"
)

// span of a phrase in the form, in eighths: it begins at from, its last note is struck
// at to and held until end.
type phrase struct {
	from, to, end int
	motif         bool
	last          bool // of the chorus
}

// What an etude keeps to (common practice).
const (
	groupBars   = 4
	leastSilent = 0.20 // share of the time
	mostSilent  = 0.35
	mostEighths = 0.70 // share of the notes that are eighths
	longNote    = 3    // eighths: each four bars have a note so long
	peakFrom    = 0.60 // where in the chorus its highest note stands
	peakTo      = 0.80
)

// planner lays out the phrases of an etude.
type planner struct {
	g     *ground
	r     *rand.Rand
	bars  []int // the first eighth of each bar, and the end
	form  int   // bars in a chorus
	every int   // bars after which the motif comes back
	level int
	opens int // eighths behind the bar line at which the motif begins
}

// repeated returns a timeline of so many choruses of one.
func repeated(t *changes.Timeline, choruses int) *changes.Timeline {
	out := &changes.Timeline{Title: t.Title, Tempo: t.Tempo}
	for range choruses {
		appendTimeline(out, t)
	}
	return out
}

// wholeEighths reports whether bars and changes lie on eighths.
func wholeEighths(t *changes.Timeline) bool {
	for _, b := range t.Bars {
		if b.Meter.Bar()%eighth != 0 || b.Start%eighth != 0 || b.Meter.Bar() < 2*timebase.Quarter {
			return false
		}
	}
	for _, s := range t.Slots {
		if s.Start%eighth != 0 {
			return false
		}
	}
	return true
}

func newPlanner(g *ground, r *rand.Rand, form, level int) *planner {
	p := &planner{g: g, r: r, form: form, level: level, every: 2 * groupBars}
	if form%(2*groupBars) != 0 || form < 4*groupBars {
		p.every = groupBars
	}
	for _, b := range g.line.Bars {
		p.bars = append(p.bars, int(b.Start/eighth))
	}
	p.bars = append(p.bars, int(g.line.Length/eighth))
	return p
}

// beat is how many eighths a beat of a bar has.
func (p *planner) beat(bar int) int {
	if p.g.line.Bars[bar].Meter.Compound() {
		return 3
	}
	return 2
}

// plan draws phrases until they keep to what an etude keeps to; ok is false where they
// do not.
func (p *planner) plan() ([]phrase, bool) {
	const tries = 200
	for range tries {
		var out []phrase
		p.opens = p.start(0)
		for chorus := 0; chorus*p.form < len(p.bars)-1; chorus++ {
			for at := 0; at < p.form; {
				n := min(groupBars, p.form-at)
				if rest := p.form - at - n; rest < 3 { // too few for a phrase and a landing
					n += rest
				}
				out = append(out, p.group(chorus*p.form+at, n, at, at+n == p.form)...)
				at += n
			}
		}
		if p.good(out) {
			return out, true
		}
	}
	return nil, false
}

// group draws the one or two phrases of some bars, four or at the end of a chorus up to
// six, from the bar first on, which is bar at of the chorus.
func (p *planner) group(first, n, at int, last bool) (out []phrase) {
	motif := at%p.every == 0
	start := func(bar int) int {
		if motif && bar == first {
			return p.bars[bar] + p.opens
		}
		return p.bars[bar] + p.start(bar)
	}
	add := func(from, bar, beats int) {
		to := p.bars[bar] + min(beats*p.beat(bar), p.bars[bar+1]-p.bars[bar]-p.beat(bar))
		if p.level == MaxLevel && p.r.IntN(4) == 0 && to > from+2 {
			to--
		}
		for p.bars[first+n]-to < longNote { // there is room for it
			to -= p.beat(bar)
		}
		end := min(to+pick(p.r, longNote, longNote, 4, 4, 5), p.bars[first+n])
		out = append(out, phrase{from: from, to: to, end: end})
	}
	switch {
	case last && n > groupBars:
		add(start(first), first+1, pick(p.r, 0, 1))
		add(start(first+2), first+n-2, pick(p.r, 0, 1, 2))
	case last:
		add(start(first), first+n-2, pick(p.r, 0, 0, 1, 2))
	case p.r.IntN(5) < 3:
		bar := first + 2
		if p.r.IntN(2) == 0 {
			bar++
		}
		add(start(first), bar, pick(p.r, 0, 0, 1, 2))
	default:
		add(start(first), first+1, pick(p.r, 1, 1, 2))
		add(start(first+2), first+n-1, pick(p.r, 0, 1, 1, 2))
	}
	for i := range out {
		out[i].last = last && i == len(out)-1
	}
	out[0].motif = motif
	return p.sounding(out)
}

// start draws how many eighths behind its bar line a phrase begins: from level 4 on off
// the beat, too.
func (p *planner) start(bar int) int {
	beat := p.beat(bar)
	s := pick(p.r, 0, 1, 1, 1, 2) * beat
	if p.level >= cadenceLevel && p.r.IntN(3) > 0 {
		s += 1 - 2*p.r.IntN(2)
	}
	return min(max(0, s), p.bars[bar+1]-p.bars[bar]-1)
}

// sounding cuts phrases where there is no chord, and drops what is left too short.
func (p *planner) sounding(all []phrase) (out []phrase) {
	const least = 5 // eighths
	for _, ph := range all {
		for ph.from < ph.to && p.g.stayAt(ph.from).silent {
			ph.from++
		}
		for i := ph.from; i < ph.end; i++ {
			if p.g.stayAt(i).silent {
				ph.end, ph.to = i, min(ph.to, i-longNote)
				break
			}
		}
		if ph.to-ph.from >= least {
			out = append(out, ph)
		}
	}
	return out
}

// good reports whether a plan has the silence, the starts and the long notes that it is
// to have, all phrases apart, and a motif that comes back.
func (p *planner) good(all []phrase) bool {
	sound, downs, motifs := 0, 0, 0
	for i, ph := range all {
		if i > 0 && ph.from < all[i-1].end+2 {
			return false
		}
		sound += ph.end - ph.from
		if ph.motif {
			motifs++
		}
		if p.g.places[ph.from].down {
			downs++
		}
	}
	time := 0
	for i := range len(p.bars) - 1 {
		if !p.g.stayAt(p.bars[i]).silent {
			time += p.bars[i+1] - p.bars[i]
		}
	}
	silent := 1 - float64(sound)/float64(time)
	return len(all) > 0 && all[0].motif && motifs > 1 && silent >= leastSilent && silent <= mostSilent && 2*downs < max(2, len(all))
}
