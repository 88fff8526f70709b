package figure

import (
	"shedlight/analyse/song"
	"shedlight/analyse/tone"
)

// findFigures appends the figures of a sweep that goes one way, in order.
func findFigures(s []walkNote, up bool, out []figure) []figure {
	if len(s) < 2 {
		return out
	}
	best, ok := longest(s)
	if !ok {
		for i := 1; i < len(s); i++ {
			if tone.Apart(s[i-1].key, s[i].key) > third {
				out = append(out, figure{kind: Leap, up: up, first: s[i-1], last: s[i], notes: 2})
			}
		}
		return out
	}
	out = findFigures(s[:best.from+1], up, out)
	out = append(out, best.figure(s, up))
	return findFigures(s[best.to:], up, out)
}

// span is a figure as a part of its sweep, both ends in it.
type span struct {
	kind         Kind
	from, to     int
	tones, skips int // of an arpeggio
	chords       chordSet
}

// longest returns the figure of a sweep that stands before all others: the
// longest, of equal ones one without seconds, then one that starts on the beat,
// then the earliest, then the arpeggio.
func longest(s []walkNote) (best span, ok bool) {
	for i := 0; i+arpeggioLeast <= len(s) && len(s)-i >= best.length(); i++ {
		if to, chords := arpeggioFrom(s, i); to-i+1 >= max(arpeggioLeast, best.length()) {
			p := span{kind: Arpeggio, from: i, to: to, chords: chords}
			if p.tones, p.skips = intervals(s[i : to+1]); p.tones >= arpeggioLeast && p.skips > 0 && p.before(&best, s) {
				best, ok = p, true
			}
		}
		if to, tones := runFrom(s, i); tones >= runLeast {
			if p := (span{kind: Run, from: i, to: to}); p.before(&best, s) {
				best, ok = p, true
			}
		}
	}
	return best, ok
}

// before reports whether a span stands before the best so far.
func (p *span) before(best *span, s []walkNote) bool {
	n, most := p.length(), best.length()
	switch wide, bestWide := p.skips == n-1, best.skips == most-1; {
	case n != most:
		return n > most
	case wide != bestWide:
		return wide
	}
	return s[p.from].beat == song.OnTheBeat && s[best.from].beat != song.OnTheBeat
}

// intervals counts the different tones of some notes, and the intervals between
// them that are more than a step of a scale.
func intervals(s []walkNote) (tones, skips int) {
	played := tone.Set(0)
	for i := range s {
		played |= 1 << tone.ClassOf(s[i].key)
		if i > 0 && tone.Apart(s[i-1].key, s[i].key) > tone.WholeStep {
			skips++
		}
	}
	return played.Len(), skips
}

// length is the number of notes; of no figure 0.
func (p span) length() int {
	if p.kind == None {
		return 0
	}
	return p.to - p.from + 1
}

// arpeggioFrom returns how far some chord goes from note i on, and the chords
// that go so far.
func arpeggioFrom(s []walkNote, i int) (to int, chords chordSet) {
	chords = ^chordSet(0)
	for to = i; to+1 < len(s) && chords&s[to+1].follows != 0; to++ {
		chords &= s[to+1].follows
	}
	return to, chords
}

// runFrom returns how far a run goes from note i on, and how many tones of the
// scale it has.
func runFrom(s []walkNote, i int) (to, tones int) {
	if s[i].index < 0 {
		return i, 0
	}
	for to, tones = i, 1; ; tones++ {
		switch {
		case to+1 < len(s) && adjacent(&s[to], &s[to+1]):
			to++
		case to+2 < len(s) && halfStepIn(s[to:]):
			to += 2
		default:
			return to, tones
		}
	}
}

// adjacent reports whether two notes are neighbours in the scale, or, where the
// scale changes between them, a half or a whole step apart.
func adjacent(a, b *walkNote) bool {
	d := tone.Apart(a.key, b.key)
	if a.index < 0 || b.index < 0 || d > tone.WholeStep {
		return false
	}
	between := tone.ClassOf(min(a.key, b.key) + 1)
	return d == 1 || a.context.Set != b.context.Set || !b.context.Set.Has(between)
}

// halfStepIn reports whether the three notes at the head of s are two tones a
// whole step apart with the half step between them, which is outside.
func halfStepIn(s []walkNote) bool {
	return s[0].index >= 0 && s[1].index < 0 && s[2].index >= 0 &&
		tone.Apart(s[0].key, s[1].key) == 1 && tone.Apart(s[1].key, s[2].key) == 1
}

// figure makes the whole of a span.
func (p span) figure(s []walkNote, up bool) figure {
	g := figure{kind: p.kind, up: up, first: s[p.from], last: s[p.to], notes: p.length(), tones: p.tones, chords: p.chords}
	if p.kind != Run {
		return g
	}
	for i := p.from + 1; i < p.to; i++ {
		if s[i].index >= 0 {
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
	case half == song.NoPlace || !on && !off:
		return 0
	case its == on:
		return 1
	}
	return -1
}

// tail returns the arpeggio that the last note of a sweep is in: of the chords
// that go back furthest and, since a figure is heard from the beat and from
// behind a longer note, of those too that have gone three tones or more from
// there on. ok is false where there is none.
func tail(s []walkNote, up bool) (g figure, ok bool) {
	if len(s) < arpeggioLeast {
		return figure{}, false
	}
	last := len(s) - 1
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
	tones, _ := intervals(s[from:])
	if tones < arpeggioLeast {
		return figure{}, false
	}
	if s[from].beat == song.OffTheBeat {
		chords |= onBeat
	}
	return figure{
		kind: Arpeggio, up: up, first: s[from], last: s[last],
		notes: last - from + 1, tones: tones, chords: chords | behind,
	}, true
}

// longer reports whether the first of three notes lasts at least one and a half
// times as long as the second, onset to onset.
func longer(s []walkNote) bool {
	return (s[1].tick-s[0].tick)*looseTwice >= (s[2].tick-s[1].tick)*looseOnce
}
