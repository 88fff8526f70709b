package centre

import "fmt"

// why says in a player's words what a stretch rests on: its best cadence, then
// its tonic, or what stands in for them. Only what sounds in the stretch is
// said, or leads into it in the bars before; nothing over the end of the loop.
func (h *hearing) why(p part) string {
	var cadence, tonic string
	best := noCadence
	var longest int64
	counted := p.from // up to here the runs on the tonic have been measured
	for i := p.from; i < p.to; i++ {
		e := h.at(i)
		if h.tune.Chords[i].Chord.None() || e.root != p.tonic || e.does != standing && p.mode != Blues {
			continue
		}
		if e.does == standing && e.reached > best {
			if said := h.cadence(p, i); said != "" {
				best, cadence = e.reached, said
			}
		}
		if i < counted {
			continue
		}
		to, length := i, int64(0)
		for ; to < p.to && h.at(to).root == p.tonic; to++ {
			length += h.tune.Chords[to].End - h.tune.Chords[to].Start
		}
		counted = to
		if length > longest {
			longest = length
			tonic = "tonic in " + h.bars(i, to-1)
			if length >= staticBars*h.bar && p.mode != Blues {
				tonic = "the tonic stays in " + h.bars(i, to-1)
			}
		}
	}
	if cadence == "" {
		cadence = h.subdominant(p)
	}
	switch {
	case cadence != "" && tonic != "":
		return cadence + ", " + tonic
	case cadence+tonic != "":
		return cadence + tonic
	}
	return h.without(p)
}

// subdominant names the IV7 of a blues.
func (h *hearing) subdominant(p part) string {
	for i := p.from; i < p.to && p.mode == Blues; i++ {
		if e := h.at(i); e.kind == dominant && mod12(e.root-p.tonic) == fourth {
			return "IV7 in " + h.bars(i, h.run(i, p.to)-1)
		}
	}
	return ""
}

// without names what a stretch rests on that never has its tonic.
func (h *hearing) without(p part) string {
	for i := p.from; i < p.to; i++ {
		if e := h.at(i); e.does == leading && e.target == p.tonic {
			if name := h.dominantName(e, p.tonic); name != "" {
				return name + " in " + h.bars(i, h.run(i, p.to)-1) + ", no landing"
			}
		}
	}
	return "the chords of the key in " + h.bars(p.from, p.to-1)
}

// run returns the end, exclusive, of the chords from i on that are one to the
// search, at most to.
func (h *hearing) run(i, to int) int {
	j := i
	for j < to && h.place[j] == h.place[i] {
		j++
	}
	return j
}

// cadence names what lands on a standing chord of a stretch, with its bars.
// Over the end of the loop it is said only where it sounds in the stretch.
func (h *hearing) cadence(p part, landing int) string {
	five := h.runStart(landing)
	for ok := true; ok; ok = h.at(five).does == passing {
		five = h.last(five)
	}
	tonic := h.at(landing).root
	name, from, last := h.dominantName(h.at(five), tonic), h.runStart(five), five
	if h.at(landing).reached == twoFiveCadence {
		two := h.last(from)
		for h.at(two).does == leading {
			two = h.last(two)
		}
		e := h.at(two)
		degree := map[int]string{wholeStep: "ii", fourth: "iv"}[mod12(e.root-tonic)]
		switch {
		case degree == "":
			degree = "two"
		case e.kind == halfDiminished:
			degree += "ø"
		}
		name, from = degree+"-"+name, h.runStart(two)
	}
	if from > last || last > landing && (from < p.from || last >= p.to) {
		return ""
	}
	return name + " in " + h.bars(from, last)
}

// last returns the chord before one, around the loop.
func (h *hearing) last(i int) int { return (i + len(h.place) - 1) % len(h.place) }

// runStart returns the first of the chords up to i that are one to the search,
// around the loop.
func (h *hearing) runStart(i int) int {
	for from := i; h.place[h.last(i)] == h.place[i] && h.last(i) != from; {
		i = h.last(i)
	}
	return i
}

// dominantName names a dominant by how it leads to the tonic: "V7b9", "subV7",
// "bVII7"; nothing where it is further back in a chain.
func (r *reading) dominantName(e *loopChord, tonic int) string {
	if e.kind == diminished {
		return "vii°7"
	}
	degree, direct := map[int]string{fourth: "V7", semitoneBelow: "subV7", wholeStep: "bVII7"}[mod12(tonic-e.five)]
	if e.flat9 && direct {
		return degree + "b9"
	}
	return degree
}

// bars names the bars that the chords from first to last touch: "bar 4",
// "bars 5-6". A chord held over the last bar lines of the tune is told by the bar
// it starts in.
func (h *hearing) bars(first, last int) string {
	chords := h.tune.Chords
	from, to := chords[first].Bar, chords[last].Bar
	if last+1 < len(chords) {
		to = max(to, chords[last+1].Bar-1)
	}
	if from == to {
		return fmt.Sprintf("bar %d", from)
	}
	return fmt.Sprintf("bars %d-%d", from, to)
}
