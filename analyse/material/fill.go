package material

import (
	"math"
	"math/rand/v2"
	"slices"

	"shedlight/analyse/tone"
)

// hole is a phrase that is to be filled: it begins with the note that is struck at
// from and ends with the one at to, in eighths of the form.
type hole struct {
	from, to int
	hold     int64                // how long the last note is held, in ticks
	before   int                  // the key that came before a rest; 0: none
	prefix   []Note               // what the phrase has already
	wish     func(at int) float64 // the height that the line makes for, as a key
	lowest   int                  // the keys that it may use
	highest  int
	peakAt   int  // the eighth of the one note that may be higher than highest; -1: none
	peak     int  // its key
	falls    bool // the last note lies lower than the first
	figures  figures
}

// figures says what a phrase may be made of.
type figures struct {
	only         FigureKind // one run or one arpeggio and a run back (levels 1 and 2); 0: anything
	long         float64    // how much longer tones are liked, 0 to 1
	arps         bool
	chromatic    bool // approaches and enclosures
	mostApproach int
	mostEnclose  int
	triplets     bool
	pairs        bool
	homeOnly     bool // of the arpeggios
}

// filler fills one hole by trying figures at random and going back where it gets no
// further.
type filler struct {
	g      *ground
	r      *rand.Rand
	h      hole
	notes  []Note
	figs   []Figure
	tries  int
	forced int // the key that the next note must have; 0: free
	depth  int
	count  [Triplet + 1]int
	wishes []float64 // the wish of each eighth of the hole
}

// mostTries bounds the figures that are tried in one hole.
const mostTries = 50

// option is a figure that may come next.
type option struct {
	kind   FigureKind
	keys   [18]uint8
	n      int
	length [4]int8 // of the notes in eighths; 0: one
	forced int
	weight float64
	arp    *arpeggio
	ladder *ladder
}

// add puts a tone behind the others; one off the keyboard takes the figure out.
func (o *option) add(key int) {
	if key < 0 || key > tone.MaxKey {
		o.weight, key = 0, 0
	}
	o.keys[o.n] = uint8(key)
	o.n++
}

// fill returns the notes of a phrase and its figures. ok is false where none was
// found.
func (g *ground) fill(r *rand.Rand, h hole) (notes []Note, figs []Figure, ok bool) {
	f := filler{g: g, r: r, h: h, tries: mostTries, notes: slices.Clone(h.prefix), wishes: make([]float64, h.to-h.from+1)}
	for i := range f.wishes {
		f.wishes[i] = h.wish(h.from + i)
	}
	if !f.from(h.from) {
		return nil, nil, false
	}
	return f.notes, f.figs, true
}

// from fills what is left from an eighth on.
func (f *filler) from(at int) bool {
	if at == f.h.to {
		return f.land(at)
	}
	options := f.options(at)
	const breadth = 5 // figures that are tried at one place
	for range min(breadth, len(options)) {
		if f.tries--; f.tries < 0 {
			return false
		}
		o := draw(f.r, options)
		if o == nil {
			return false
		}
		notes, figs, forced := len(f.notes), len(f.figs), f.forced
		behind := f.play(at, o)
		f.depth++
		if f.g.keeps(f.recent(notes), false) && f.from(behind) {
			return true
		}
		f.depth--
		f.notes, f.figs, f.forced = f.notes[:notes], f.figs[:figs], forced
		f.count[o.kind]--
		o.weight = 0
	}
	return false
}

// recent is what has to be looked at again when notes were added behind the first n.
func (f *filler) recent(n int) []Note { return f.notes[max(0, n-mostSteps-2):] }

// draw takes an option by its weight.
func draw(r *rand.Rand, options []option) *option {
	sum := 0.0
	for i := range options {
		sum += options[i].weight
	}
	if sum <= 0 {
		return nil
	}
	at := r.Float64() * sum
	var last *option
	for i := range options {
		if options[i].weight == 0 {
			continue
		}
		last = &options[i]
		if at -= last.weight; at < 0 {
			break
		}
	}
	return last
}

// play adds a figure at an eighth and returns the one behind it.
func (f *filler) play(at int, o *option) int {
	fig := Figure{Kind: o.kind, From: len(f.notes), To: len(f.notes) + o.n, Up: o.keys[o.n-1] > o.keys[0]}
	if o.arp != nil {
		fig.Set, fig.Bass, fig.Scale = o.arp.set, o.arp.bass, o.arp.ladder.scale
	}
	if o.ladder != nil {
		fig.Scale = o.ladder.scale
	}
	tick := int64(at) * eighth
	for i, key := range o.keys[:o.n] {
		length := int64(eighth)
		if i < len(o.length) && o.length[i] > 0 {
			length = int64(o.length[i]) * eighth
		}
		if o.kind == Triplet {
			length = 2 * eighth / 3
		}
		f.notes = append(f.notes, Note{Tick: tick, Length: length, Key: key})
		tick += length
	}
	f.figs = append(f.figs, fig)
	f.forced = o.forced
	f.count[o.kind]++
	return int(tick / eighth)
}

// widestLanding is the largest leap into the last note, in semitones: it is where the
// phrase was going, not one more place.
const widestLanding = 4

// land adds the last note.
func (f *filler) land(at int) bool {
	s := f.g.stayAt(at)
	push := isPush(Note{Tick: int64(at) * eighth, Length: f.h.hold}, int64(s.to)*eighth)
	if push && f.g.places[at].stay+1 < len(f.g.stays) {
		s = &f.g.stays[f.g.places[at].stay+1]
	}
	var options []option
	for key := f.h.lowest; key <= f.h.highest; key++ {
		class := tone.ClassOf(key)
		if f.forced != 0 && key != f.forced || !s.lands.Has(class) || push && !s.rests.Has(class) {
			continue
		}
		w := f.join(key, true) * f.wished(at, key)
		apart := tone.Apart(f.last(), key)
		if f.h.figures.only != 0 && (apart == 0 || apart > tone.WholeStep) {
			continue // the scale goes on
		}
		if len(f.notes) > 0 && apart > widestLanding {
			continue
		}
		switch {
		case s.guides.Has(class):
			w *= 2
		case at == s.from: // the change is not heard in it
			w *= 0.05
		}
		if f.h.falls && len(f.notes) > 0 && key > int(f.notes[0].Key) {
			w = 0
		}
		o := option{kind: Landing, weight: w}
		o.add(key)
		options = append(options, o)
	}
	for range options {
		o := draw(f.r, options)
		if o == nil {
			return false
		}
		n := len(f.notes)
		f.notes = append(f.notes, Note{Tick: int64(at) * eighth, Length: f.h.hold, Key: o.keys[0]})
		if f.g.keeps(f.recent(n), true) {
			f.figs = append(f.figs, Figure{Kind: Landing, From: n, To: n + 1})
			return true
		}
		f.notes = f.notes[:n]
		o.weight = 0
	}
	return false
}

func (g *ground) stayAt(at int) *stay { return &g.stays[g.places[at].stay] }

// last is the key before the next note; 0: none.
func (f *filler) last() int {
	if len(f.notes) == 0 {
		return f.h.before
	}
	return int(f.notes[len(f.notes)-1].Key)
}

// join weighs how a note follows the one before it. anchor says that it is met at a
// change or at the end, where a step is what is wanted.
func (f *filler) join(key int, anchor bool) float64 {
	if f.last() == 0 {
		return 1
	}
	apart := tone.Apart(f.last(), key)
	if len(f.notes) == 0 { // behind a rest
		return math.Exp(-float64(apart) / 6)
	}
	switch {
	case apart == 0:
		return 0.02
	case apart <= tone.WholeStep:
		return 1
	case anchor:
		return 0.04
	case apart <= 4:
		return 0.2
	case apart <= fifth:
		return 0.07
	}
	return 0.03
}

// wished weighs how near a key is to the height that is wanted.
func (f *filler) wished(at, key int) float64 {
	const spread = 5 // semitones
	d := (float64(key) - f.wishes[at-f.h.from]) / spread
	if d *= d; d < 16 {
		return 1 / (1 + d*(1+d/2)/2) // the bell, near enough
	}
	return 0
}

// boundary returns the next eighth at which something is to be met: a change of
// chord, the peak, the end.
func (f *filler) boundary(at int) int {
	to := min(f.g.stayAt(at).to, f.h.to)
	if c := f.crossing(at); c-crossBeat > at {
		to = min(to, c-crossBeat)
	}
	if f.h.peakAt > at {
		to = min(to, f.h.peakAt)
	}
	return to
}

// crossBeat is how long before another centre the line turns to it: a beat.
const crossBeat = 2

// crossing returns the eighth, behind another, at which the line that runs on enters
// another centre; -1 where it does not before its chord is over.
func (f *filler) crossing(at int) int {
	s := f.g.stayAt(at)
	next := f.g.places[at].stay + 1
	if s.to > f.h.to || next == len(f.g.stays) || !f.g.stays[next].enters || f.g.stays[next].silent || s.to-at < crossBeat || !f.g.places[s.to-crossBeat].beat {
		return -1
	}
	return s.to
}

// least is a weight that is worth a look.
const least = 1e-4

// starts returns the keys that a figure may begin with at an eighth, with what they
// weigh.
func (f *filler) starts(at int, yield func(key int, w float64)) {
	s := f.g.stayAt(at)
	change := at == s.from && at > 0
	if at == f.h.peakAt {
		yield(f.h.peak, 1)
		return
	}
	for key := f.h.lowest; key <= f.h.highest; key++ {
		class := tone.ClassOf(key)
		if f.forced != 0 && key != f.forced || !s.allowed.Has(class) {
			continue
		}
		w := f.join(key, change) * f.wished(at, key)
		if change {
			switch {
			case s.guides.Has(class):
			case s.tones.Has(class):
				w *= 0.05
			default:
				w = 0
			}
		}
		if w > least {
			yield(key, w)
		}
	}
}

// options lists the figures that may come at an eighth.
func (f *filler) options(at int) (out []option) {
	if len(f.g.pages) == f.depth {
		f.g.pages = append(f.g.pages, make([]option, 0, 256))
	}
	out = f.g.pages[f.depth][:0]
	defer func() { f.g.pages[f.depth] = out }()
	s := f.g.stayAt(at)
	left := f.boundary(at) - at
	add := func(o option) {
		if o.weight <= 0 {
			return
		}
		for _, key := range o.keys[:o.n] {
			if int(key) < f.h.lowest || int(key) > f.h.highest && (at != f.h.peakAt || int(key) > f.h.peak || key != o.keys[0]) {
				return
			}
		}
		out = append(out, o)
	}
	switch {
	case f.h.figures.only == Run:
		f.starts(at, func(key int, w float64) { f.runs(s, at, left, key, w, add) })
		return out
	case f.h.figures.only == Arpeggio:
		f.starts(at, func(key int, w float64) {
			if len(f.figs) == 0 {
				f.homes(s, left, key, w, add)
				return
			}
			f.runs(s, at, left, key, w, add)
		})
		return out
	case !f.g.places[at].beat:
		f.pickUps(s, at, add)
		return out
	}
	if c := f.crossing(at); c == at+crossBeat {
		f.cross(f.g.stayAt(c), at, add)
		return out
	}
	f.starts(at, func(key int, w float64) {
		f.runs(s, at, left, key, w, add)
		f.arpeggios(s, at, left, key, w, add)
		f.plain(s, at, left, key, w, add)
		f.leading(s, at, left, key, w, add)
	})
	return out
}

// turns counts how often a line changes its direction.
func turns(notes []Note) (n int) {
	dir := 0
	for i := 1; i < len(notes); i++ {
		now := int(notes[i].Key) - int(notes[i-1].Key)
		if now == 0 {
			continue
		}
		if dir != 0 && now > 0 != (dir > 0) {
			n++
		}
		dir = now
	}
	return n
}

// highest returns the highest key of some notes.
func highest(notes []Note) uint8 {
	return slices.MaxFunc(notes, func(a, b Note) int { return int(a.Key) - int(b.Key) }).Key
}
