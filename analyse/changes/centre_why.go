package changes

import (
	"fmt"
	"strings"

	"shedlight/analyse/tone"
)

// why says in a player's words what a stretch rests on: its best cadence, then
// its tonic, or what stands in for them.
func (r *reading) why(chords []Change, p part) string {
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
func (r *reading) subdominant(chords []Change, p part) string {
	for i := p.from; i < p.to && p.mode == Blues; i++ {
		if e := &r.loop[r.place[i%len(chords)]]; e.kind == dominant && mod12(e.root-p.tonic) == fourth {
			return "IV7 in " + r.bars(chords, i, i)
		}
	}
	return ""
}

// without names what a stretch rests on that never has its tonic.
func (r *reading) without(chords []Change, p part) string {
	for i := p.from; i < p.to; i++ {
		if e := &r.loop[r.place[i%len(chords)]]; e.does == leading && e.target == p.tonic {
			return r.dominantName(e, p.tonic) + " in " + r.bars(chords, i, i) + ", no landing"
		}
	}
	return "the chords of the key in " + r.bars(chords, p.from, p.to-1)
}

// cadenceAt names the cadence that lands on a standing chord, with its bars.
func (r *reading) cadenceAt(chords []Change, landing int) string {
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
func (r *reading) lastChange(chords []Change, at int) int {
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
func (r *reading) bars(chords []Change, from, last int) string {
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

// usualTonics are the names under which players know the twelve tonics.
var usualTonics = [...][octave]string{
	Major: {"C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B"},
	Minor: {"C", "C#", "D", "Eb", "E", "F", "F#", "G", "G#", "A", "Bb", "B"},
	Blues: {"C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"},
}

// otherTonics are the tonics that players name both ways, with the name that is
// not the usual one.
var otherTonics = [...]map[int]string{
	Major: {1: "C#", 6: "F#"},
	Minor: {1: "Db", 3: "D#", 6: "Gb", 8: "Ab"},
	Blues: {1: "C#", 6: "Gb"},
}

// spell names the tonic of a stretch: as the key is written where it is the
// key's own tonic; as the stretch writes the tonic chord; on the key's side,
// sharp or flat; under its usual name.
func spell(chords []Change, p part, key tone.Name, keyGiven bool) tone.Name {
	if keyGiven && int(key.Class()) == p.tonic {
		return key
	}
	for i := p.from; i < p.to; i++ {
		chord := chords[i%len(chords)].Chord
		if root := chord.Root; !chord.None() && int(root.Class()) == p.tonic && usable(root) {
			return root
		}
	}
	usual, _ := tone.ParseName(usualTonics[p.mode][p.tonic])
	other, err := tone.ParseName(otherTonics[p.mode][p.tonic])
	if keyGiven && err == nil && side(key) == int(other.Alter) {
		return other
	}
	return usual
}

// side returns 1 for a key written with sharps, -1 for one with flats, 0 for C.
func side(key tone.Name) int {
	switch {
	case key.Alter != 0:
		return int(key.Alter)
	case key.Letter == letterC:
		return 0
	case key.Letter == letterF:
		return -1
	}
	return 1
}

const (
	letterC tone.Letter = 0
	letterF tone.Letter = 3
)

// usable reports whether a written root can name a centre: it has at most one
// accidental and is not a white key by another name.
func usable(n tone.Name) bool {
	switch n.String() {
	case "Cb", "Fb", "E#", "B#":
		return false
	}
	return n.Alter >= -1 && n.Alter <= 1
}
