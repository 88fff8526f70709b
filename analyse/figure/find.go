package figure

import (
	"slices"

	"shedlight/analyse/song"
	"shedlight/analyse/tone"
)

// findFigures appends the figures of a stretch, in order.
func findFigures(s []walkNote, out []figure) []figure {
	if len(s) < 2 {
		return out
	}
	best := longest(s)
	if best.kind == None {
		for i := 1; i < len(s); i++ {
			if tone.Apart(s[i-1].key, s[i].key) > WidestSkip {
				out = append(out, figure{kind: Leap, up: s[i].way > 0, first: s[i-1], last: s[i], notes: 2})
			}
		}
		return out
	}
	out = findFigures(s[:best.from+1], out)
	out = append(out, best.figure(s))
	return findFigures(s[best.to:], out)
}

// span is a figure as a part of its stretch, both ends in it.
type span struct {
	kind     Kind
	from, to int
	broken   bool
	sort     sort
	shape    // of an arpeggio
	chords   chordSet
}

// longest returns the figure of a stretch that stands before all others, or none.
func longest(s []walkNote) (best span) {
	var runs [sorts]int // where the last run of each sort ended: one that starts in it is shorter
	for i := 0; i+arpeggioLeast <= len(s) && len(s)-i >= best.length(); i++ {
		best.take(arpeggioFrom(s, i, best.length()), s)
		for sort := range sorts {
			if i > 0 && i < runs[sort] {
				continue
			}
			to, tones := runFrom(s, i, sort)
			if runs[sort] = to; tones >= runLeast {
				best.take(span{kind: Run, from: i, to: to, sort: sort}, s)
			}
		}
		best.takeTurning(s, i)
	}
	return best
}

// take takes a span that stands before the best so far.
func (p *span) take(q span, s []walkNote) {
	if q.before(p, s) {
		*p = q
	}
}

// rank is the order of figures of one length.
func (p *span) rank() int {
	switch {
	case p.broken:
		return 2
	case p.kind == Cell:
		return 3
	case p.kind == Enclosure:
		return 4
	case p.kind == Thirds || p.kind == Repeated || p.kind == Trill:
		return 1
	}
	return 0
}

// before reports whether a span stands before the best so far.
func (p *span) before(best *span, s []walkNote) bool {
	if n, most := p.length(), best.length(); n != most {
		return n > most
	}
	if p.kind == None {
		return false
	}
	if a, b := p.rank(), best.rank(); a != b {
		return a < b
	}
	if a, b := p.wide(), best.wide(); a != b {
		return a
	}
	return s[p.from].beat == song.OnTheBeat && s[best.from].beat != song.OnTheBeat
}

// wide reports whether it is an arpeggio without a second.
func (p *span) wide() bool { return p.kind == Arpeggio && p.seconds == 0 }

// length is the number of notes; of no figure 0.
func (p *span) length() int {
	if p.kind == None {
		return 0
	}
	return p.to - p.from + 1
}

// shape is what an arpeggio is made of.
type shape struct{ tones, seconds, skips, halfSteps int }

// stands reports whether so many tones with such intervals are an arpeggio.
func (h shape) stands() bool {
	return h.tones >= arpeggioLeast && h.skips > h.seconds && (h.tones > arpeggioLeast || h.seconds == 0)
}

// shapeOf walks from tone to tone of one chord, past half steps that lead on.
func shapeOf(s []walkNote, chord chordSet) (h shape) {
	played := tone.SetOf(s[0].class())
	for at := 0; at+1 < len(s); {
		next := at + 1
		if s[next].follows&chord == 0 {
			next++
			h.halfSteps++
		}
		if tone.Apart(s[at].key, s[next].key) > tone.WholeStep {
			h.skips++
		} else {
			h.seconds++
		}
		played |= tone.SetOf(s[next].class())
		at = next
	}
	h.tones = played.Len()
	return h
}

// arpeggioFrom returns the longest arpeggio from note i on, none where that is shorter
// than least.
func arpeggioFrom(s []walkNote, i, least int) (p span) {
	var upTo [stretchMost]chordSet // the chords of which each note is a tone
	chords, passing, to := ^chordSet(0), chordSet(0), i
	for j := i + 1; j < len(s) && chords|passing != 0 && s[j].way != 0 && s[j].way == s[i+1].way; j++ {
		chords, passing = chords&s[j].follows|passing&s[j].over, chords&^s[j].follows
		upTo[j], to = chords, j
	}
	for ; to-i+1 >= max(arpeggioLeast, least); to-- {
		var fit chordSet
		for left := upTo[to]; left != 0; left &= left - 1 {
			chord := left & -left
			switch h := shapeOf(s[i:to+1], chord); {
			case !h.stands() || fit != 0 && h.halfSteps > p.halfSteps:
			case fit != 0 && h.halfSteps == p.halfSteps:
				fit |= chord
			default:
				fit, p.shape = chord, h
			}
		}
		if fit != 0 {
			p.kind, p.from, p.to, p.chords = Arpeggio, i, to, fit
			return p
		}
	}
	return span{}
}

// runFrom returns how far a run goes from note i on, and how many tones it has.
func runFrom(s []walkNote, i int, sort sort) (to, tones int) {
	if !s[i].slot.runs[sort].Has(s[i].class()) {
		return i, 0
	}
	for to, tones = i, 1; to+1 < len(s) && s[to+1].way != 0 && s[to+1].way == s[i+1].way; tones++ {
		switch {
		case adjacent(&s[to], &s[to+1], sort):
			to++
		case to+2 < len(s) && halfStepIn(s[to:], sort):
			to += 2
		default:
			return to, tones
		}
	}
	return to, tones
}

// adjacent reports whether two notes are neighbours in what a run goes through, or,
// where that changes between them, a half or a whole step apart.
func adjacent(a, b *walkNote, sort sort) bool {
	const augmentedSecond = 3 // semitones of the widest step of seven tones
	of, to := a.slot.runs[sort], b.slot.runs[sort]
	d := tone.Apart(a.key, b.key)
	if !of.Has(a.class()) || !to.Has(b.class()) || d > augmentedSecond {
		return false
	}
	if of != to {
		return d <= tone.WholeStep
	}
	low := min(a.key, b.key)
	for key := low + 1; key < low+d; key++ {
		if of.Has(tone.ClassOf(key)) {
			return false
		}
	}
	return true
}

// halfStepIn reports whether the three notes at the head of s are two tones of a run a
// whole step apart with the half step between them, which is in no scale there.
func halfStepIn(s []walkNote, sort sort) bool {
	return s[0].slot.runs[sort].Has(s[0].class()) && s[2].slot.runs[sort].Has(s[2].class()) &&
		s[1].index < 0 && !s[1].slot.runs[sort].Has(s[1].class()) && s[1].way == s[2].way &&
		tone.Apart(s[0].key, s[1].key) == 1 && tone.Apart(s[1].key, s[2].key) == 1
}

// figure makes the whole of a span.
func (p *span) figure(s []walkNote) figure {
	g := figure{
		kind: p.kind, up: s[p.to].key > s[p.from].key, first: s[p.from], last: s[p.to], notes: p.length(),
		tones: p.tones, chords: p.chords, sort: p.sort, broken: p.broken, halfSteps: p.halfSteps,
	}
	if p.broken {
		g.order = ranks(s[p.from : p.to+1])
	}
	if p.kind == Thirds {
		g.up = s[p.from+2].key > s[p.from].key
	}
	for i := p.from; i <= p.to; i++ {
		half := p.kind == Arpeggio && i < p.to && s[i].follows&p.chords == 0 && i > p.from && s[i+1].over&p.chords != 0
		if class := s[i].class(); !half && g.nPlayed < playedMost && !slices.Contains(g.played[:g.nPlayed], class) {
			g.played[g.nPlayed] = class
			g.nPlayed++
		}
	}
	if p.kind != Run {
		return g
	}
	for i := p.from + 1; i < p.to; i++ {
		if s[i].slot.runs[p.sort].Has(s[i].class()) {
			continue
		}
		g.halfSteps++
		if s[i-1].sense() < 0 && s[i+1].sense() > 0 {
			g.ontoBeat++
		}
	}
	return g
}

// sense is 1 where a tone stands as a line wants it, on the beat with the half that
// has more of the chord or off it with the other, and -1 for the reverse. Between
// the two places, where no beat is known and where the halves tie it is 0.
func (w *walkNote) sense() int {
	half := w.context.BeatHalf()
	on, off := w.beat == song.OnTheBeat, w.beat == song.OffTheBeat
	switch its := (w.index%2 == 0) == (half == song.Home); {
	case w.index < 0 || half == song.NoPlace || !on && !off:
		return 0
	case its == on:
		return 1
	}
	return -1
}

// tail returns the arpeggio that the last note of a stretch is in: of the chords
// that go back furthest and, since a figure is heard from the beat and from
// behind a longer note, of those too that have gone three tones or more from
// there on. ok is false where there is none.
func tail(s []walkNote) (g figure, ok bool) {
	last := len(s) - 1
	turn := max(0, last-1)
	for turn > 0 && s[turn].way != 0 && s[turn].way == s[last].way {
		turn--
	}
	if s = s[min(turn, len(s)):]; len(s) < arpeggioLeast || s[1].way == 0 {
		return figure{}, false
	}
	last = len(s) - 1
	chords, onBeat, behind := ^chordSet(0), chordSet(0), chordSet(0)
	from := last
	for ; from > 0 && chords&s[from].follows != 0; from-- {
		if last-from+1 >= arpeggioLeast && s[from].beat == song.OnTheBeat {
			onBeat |= chords
			if longer(s[from-1:]) {
				behind |= chords
			}
		}
		chords &= s[from].follows
	}
	h := shapeOf(s[from:], ^chordSet(0))
	if last-from+1 < arpeggioLeast || !h.stands() {
		return figure{}, false
	}
	if s[from].beat == song.OffTheBeat {
		chords |= onBeat
	}
	p := span{kind: Arpeggio, from: from, to: last, shape: h, chords: chords | behind}
	return p.figure(s), true
}

// longer reports whether the first of three notes lasts at least one and a half
// times as long as the second, onset to onset.
func longer(s []walkNote) bool {
	return (s[1].tick-s[0].tick)*looseTwice >= (s[2].tick-s[1].tick)*looseOnce
}
