package fit

// The stretches that are asked about while playing, in bars, the longest first:
// from four bars up.
var recentLengths = [...]int{16, 8, 4}

const recentBars = 16 // the longest of them

// recent is where the last bars began, the open one too.
type recent struct {
	bars [recentBars]mark
	next int // where the next one goes
	kept int
}

// push makes room for a bar that begins.
func (r *recent) push() *mark {
	r.next = (r.next + 1) % recentBars
	r.kept = min(r.kept+1, recentBars)
	return r.back(1)
}

// back returns the beginning of the bar a number of bars ago; 1 is the open one.
func (r *recent) back(n int) *mark { return &r.bars[(r.next+recentBars-n)%recentBars] }

// Now returns what is to be said in a rest at a song tick about the last bars,
// the open one among them: that they are half a bar or a bar behind or ahead, or
// a half or whole step off. ok is false where nothing is. The longest stretch
// that claims speaks; the verdict's Span is 0.
func (f *Fit) Now(song int64) (v Verdict, ok bool) {
	if f.form == nil {
		return Verdict{}, false
	}
	for _, bars := range recentLengths {
		if f.recent.kept < bars {
			continue
		}
		s := f.lastBars(bars, song)
		v := f.form.verdict(0, &s)
		if v.Says == Elsewhere && f.form.grids[s.grid].atOnce(v.Elsewhere) {
			return v, true
		}
	}
	return Verdict{}, false
}

// lastBars is the open bar and those before it.
func (f *Fit) lastBars(bars int, song int64) stretch {
	s := f.since(f.recent.back(bars), song)
	s.beats = f.form.beats(s.from, s.to)
	for i := bars; i > 0; i-- {
		m := f.recent.back(i)
		if s.first == noNote {
			s.first = m.first
		}
		if m.grid != s.grid { // the places of several meters do not add up
			s.shifts = shifts{}
		}
	}
	return s
}

// atOnce reports whether a move is one that a player can make good in the next
// bar: half a bar or a bar, a half or a whole step.
func (g *grid) atOnce(m Move) bool {
	const wholeStep = 2
	bar := g.barBeats()
	return max(m.Beats, -m.Beats) <= bar && max(m.Semitones, -m.Semitones) <= wholeStep
}
