package centre

// moves finds where tonics follow each other within moveBars, each with its own
// dominant, that are no degrees of one key: by thirds, or about as far. One that
// stays longer ends a move, and may begin the next with its last chord.
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
		if n := len(run); n > 0 {
			last := &run[n-1]
			switch {
			case next.state == last.state && next.from == last.to:
				last.to = next.to
				if h.tune.Chords[last.to-1].End-h.start(last.from) > moveBars*h.bar {
					end()
					run = []tonicAt{next}
				}
				continue
			case !next.led || related(last.state, next.state) || h.start(next.from)-h.start(last.to-1) > moveBars*h.bar:
				end()
			}
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

// tonics returns the chords of the tune that stand like tonics, in order.
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

// move makes a move of tonics that follow each other, from the last chord of the
// first on. The last is left out where it is home: there the move ends.
func (h *hearing) move(run []tonicAt) (Move, bool) {
	if len(run) == 0 {
		return Move{}, false
	}
	last := run[len(run)-1]
	m := Move{Start: h.start(run[0].to - 1), End: h.tune.Chords[last.to-1].End}
	if h.named[last.from]%octave == last.state%octave {
		m.End = h.start(last.from)
		run = run[:len(run)-1]
	}
	if len(run) < leastTonics {
		return Move{}, false // out and home again: a visit
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
