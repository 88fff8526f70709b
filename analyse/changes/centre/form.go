package centre

import "shedlight/analyse/harmony"

// lineBars, in bars, is a line of a chart, where a centre may change as well as
// with a section.
const lineBars = 4

// name gives each chord its centre by name. What leads into a section still
// belongs to the one before it, and like sections have like centres.
func (h *hearing) name() {
	h.named = append([]int(nil), h.landed...)
	starts, names := h.sectionStarts()
	if len(starts) < 2 {
		return // one section: there is no other to lead into
	}
	for k, start := range starts {
		before := starts[(k+len(starts)-1)%len(starts)]
		h.holdBack(before, start)
	}
	h.likeNamed(starts, names)
}

// sectionStarts returns the first chord of each section; a section without a
// chord of its own at its start is none.
func (h *hearing) sectionStarts() (starts []int, names []string) {
	i := 0
	for _, s := range h.tune.Sections {
		for i < len(h.tune.Chords) && h.tune.Chords[i].Start < s.Start {
			i++
		}
		if i < len(h.tune.Chords) && h.tune.Chords[i].Start == s.Start {
			starts, names = append(starts, i), append(names, s.Name)
		}
	}
	return starts, names
}

// holdBack moves a change of centre that comes inside the last line of a section,
// before, to the next one, start, where all between them leads on.
func (h *hearing) holdBack(before, start int) {
	n := len(h.landed)
	to := h.landed[start]
	from := start
	for from != before && h.landed[h.last(from)] == to && h.onTheMove(h.last(from)) {
		from = h.last(from)
	}
	if from == before || h.landed[h.last(from)] == to {
		return // it changes with the section, or something stands before the change
	}
	leads := h.tune.Chords[h.last(start)].End - h.tune.Chords[from].Start
	if leads >= lineBars*h.bar {
		return // it changes with the line
	}
	for i := from; i != start; i = (i + 1) % n {
		h.named[i] = h.landed[h.last(from)]
	}
}

// onTheMove reports whether a chord leads on, or is N.C.; the tonic and IV7 of a
// blues are at home.
func (h *hearing) onTheMove(i int) bool {
	return h.tune.Chords[i].Chord.None() || h.at(i).does != standing && !bluesHome(h.at(i), h.landed[i])
}

// likeNamed gives the same chord at the same place of sections of one name the
// centre that most of them have there, the first of several.
func (h *hearing) likeNamed(starts []int, names []string) {
	type place struct {
		section    string
		start, end int64 // from the section's start
		chord      harmony.Chord
	}
	chords := map[place][]int{}
	for k, from := range starts {
		to := len(h.tune.Chords)
		if k+1 < len(starts) {
			to = starts[k+1]
		}
		at := h.tune.Chords[from].Start
		for i := from; i < to; i++ {
			c := &h.tune.Chords[i]
			p := place{names[k], c.Start - at, c.End - at, c.Chord}
			chords[p] = append(chords[p], i)
		}
	}
	for _, like := range chords {
		var times [states]int
		most := h.named[like[0]]
		for _, i := range like {
			times[h.named[i]]++
		}
		for _, i := range like {
			if times[h.named[i]] > times[most] {
				most = h.named[i]
			}
		}
		for _, i := range like {
			h.named[i] = most
		}
	}
}

// ending is where a tune comes to rest: a chord of the loop and its tonic.
type ending struct {
	known     bool
	at, tonic int
}

// ending finds where the last bars come to rest: on the last chord where it
// stands, or where it leads; where they do not, the tune's first chord that
// stands takes its place. A bare loop has no end.
func (h *hearing) ending() ending {
	if h.tune.Sections == nil {
		return ending{}
	}
	last := h.place[len(h.place)-1]
	if e := &h.loop[last]; e.does != standing && e.resolved {
		return ending{known: true, at: last, tonic: e.target}
	}
	for _, at := range append([]int{last}, h.place...) {
		if e := &h.loop[at]; e.does == standing {
			return ending{known: true, at: at, tonic: e.root}
		}
	}
	return ending{}
}
