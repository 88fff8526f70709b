package centre

import (
	"fmt"
	"strings"
)

// why says in a player's words what a stretch rests on: its best cadence, then
// its tonic, or what stands in for them.
func (r *reading) why(chords []Chord, p part) string {
	var cadence, tonic string
	best := noCadence
	var longest int64
	n := len(chords)
	for i := p.from; i < p.to; i++ {
		at := r.place[i%n]
		e := &r.loop[at]
		if chords[i%n].Chord.None() || e.root != p.tonic || e.does != standing && p.mode != Blues {
			continue
		}
		if e.does == standing && e.reached > best {
			best, cadence = e.reached, r.cadenceAt(chords, at)
		}
		to := i
		var length int64
		for to < p.to && r.loop[r.place[to%n]].root == p.tonic {
			length += chords[to%n].End - chords[to%n].Start
			to++
		}
		if to--; length > longest {
			longest = length
			tonic = "tonic in " + r.bars(chords, i, to)
			if e.static && p.mode != Blues {
				tonic = "the tonic stays in " + r.bars(chords, i, to)
			}
		}
	}
	if cadence == "" {
		cadence = r.subdominant(chords, p)
	}
	said := make([]string, 0, 2)
	for _, s := range [...]string{cadence, tonic} {
		if s != "" {
			said = append(said, s)
		}
	}
	if len(said) == 0 {
		return r.without(chords, p)
	}
	return strings.Join(said, ", ")
}

// subdominant names the IV7 of a blues.
func (r *reading) subdominant(chords []Chord, p part) string {
	for i := p.from; i < p.to && p.mode == Blues; i++ {
		if e := &r.loop[r.place[i%len(chords)]]; e.kind == dominant && mod12(e.root-p.tonic) == fourth {
			return "IV7 in " + r.bars(chords, i, i)
		}
	}
	return ""
}

// without names what a stretch rests on that never has its tonic.
func (r *reading) without(chords []Chord, p part) string {
	for i := p.from; i < p.to; i++ {
		if e := &r.loop[r.place[i%len(chords)]]; e.does == leading && e.target == p.tonic {
			return r.dominantName(e, p.tonic) + " in " + r.bars(chords, i, i) + ", no landing"
		}
	}
	return "the chords of the key in " + r.bars(chords, p.from, p.to-1)
}

// cadenceAt names the cadence that lands on a standing chord, with its bars.
func (r *reading) cadenceAt(chords []Chord, landing int) string {
	tonic := r.loop[landing].root
	five := r.before(landing)
	for r.loop[five].does == passing {
		five = r.before(five)
	}
	name := r.dominantName(&r.loop[five], tonic)
	from, last := r.loop[five].first, r.lastChange(chords, five)
	if r.loop[landing].reached == twoFiveCadence {
		two := r.before(five)
		for r.loop[two].does == leading {
			two = r.before(two)
		}
		e := &r.loop[two]
		from = e.first
		degree := map[int]string{wholeStep: "ii", fourth: "iv"}[mod12(e.root-tonic)]
		switch {
		case degree == "":
			degree = "two"
		case e.kind == halfDiminished:
			degree += "ø"
		}
		name = degree + "-" + name
	}
	return name + " in " + r.bars(chords, from, last)
}

// lastChange returns the last change of the run that starts a chord of the loop.
func (r *reading) lastChange(chords []Chord, at int) int {
	last := r.loop[at].first
	for range chords {
		next := (last + 1) % len(chords)
		if r.place[next] != at || next == r.loop[at].first {
			break
		}
		last = next
	}
	return last
}

// dominantName names a dominant by how it leads to the tonic: "V7b9", "subV7",
// "bVII7".
func (r *reading) dominantName(e *loopChord, tonic int) string {
	if e.kind == diminished {
		return "vii°7"
	}
	degree := map[int]string{fourth: "V7", semitoneBelow: "subV7", wholeStep: "bVII7"}[mod12(tonic-e.five)]
	if e.flat9 {
		return degree + "b9"
	}
	return degree
}

// bars names the bars that the changes from to last touch: "bar 4", "bars 5-6",
// and over the end of the loop "bars 12-1".
func (r *reading) bars(chords []Chord, from, last int) string {
	from, last = from%len(chords), last%len(chords)
	first, end := chords[from].Bar, int((chords[last].End-1)/r.bar)+1
	end = max(end, chords[last].Bar)
	if last+1 < len(chords) {
		end = min(end, chords[last+1].Bar)
	}
	if first == end {
		return fmt.Sprintf("bar %d", first)
	}
	return fmt.Sprintf("bars %d-%d", first, end)
}
