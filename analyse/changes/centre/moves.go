package centre

// moves finds where tonics follow each other within moveBars, each with its own
// dominant, that are no degrees of one key: by thirds, or about as far.
func (h *hearing) moves() []Move {
	var out []Move
	var run []tonicAt
	end := func() {
		if m, ok := h.move(run); ok {
			out = append(out, m)
		}
		run = nil
	}
	for _, next := range h.tonics() {
		switch n := len(run); {
		case n > 0 && next.state == run[n-1].state && next.from == run[n-1].to:
			run[n-1].to = next.to
			continue
		case n > 0 && next.led && h.start(next.from)-h.start(run[n-1].from) <= moveBars*h.bar && !related(run[n-1].state, next.state):
		default:
			end()
		}
		run = append(run, next)
	}
	end()
	return out
}

func (h *hearing) start(i int) int64 { return h.tune.Chords[i].Start }

// tonicAt is a chord that stands like a tonic, from and to (exclusive).
type tonicAt struct {
	state    int
	from, to int
	led      bool // its own dominant leads to it
}

// tonics returns the standing chords of the tune, but those that lie between two
// dominants of the same tonic.
func (h *hearing) tonics() []tonicAt {
	var out []tonicAt
	for i := range h.tune.Chords {
		e := h.at(i)
		if e.does != standing || h.tune.Chords[i].Chord.None() || !e.kind.isMajor() && !e.kind.isMinor() {
			continue
		}
		t := tonicAt{state: e.root, from: i, to: i + 1, led: h.arrives(h.place[i])}
		if e.kind.isMinor() {
			t.state += octave * int(Minor)
		}
		out = append(out, t)
	}
	return out
}

// move makes a move of tonics that follow each other. The last is left out where
// it is home: there the move ends.
func (h *hearing) move(run []tonicAt) (Move, bool) {
	if len(run) < leastTonics {
		return Move{}, false
	}
	last := run[len(run)-1]
	m := Move{Start: h.start(run[0].from), End: h.tune.Chords[last.to-1].End}
	if h.named[last.from]%octave == last.state%octave {
		m.End = h.start(last.from)
		run = run[:len(run)-1]
	}
	for _, t := range run {
		m.Tonics = append(m.Tonics, h.centre(t.from, t.state))
	}
	return m, true
}

// related reports whether two tonics are degrees of one key: one stands in the
// other's key without news.
func related(a, b int) bool {
	in := func(key, chord int) bool {
		kind := majorTonic
		if Mode(chord/octave) == Minor {
			kind = minorSeventh
		}
		return standingIn[key/octave][kind].at(mod12(chord-key)) <= rival
	}
	return in(a, b) || in(b, a)
}
