package fit_test

import (
	"math"
	"slices"

	"shedlight/analyse/changes"
	"shedlight/analyse/fit"
	"shedlight/analyse/harmony"
	"shedlight/analyse/tone"
)

// run is a stretch of a take in which song time runs on.
type run struct {
	from, to int64
	notes    []fit.Note
	ends     []phraseEnd
}

// phraseEnd says that the phrase of a note, by its index in the run, ends at a song tick.
type phraseEnd struct {
	after int
	at    int64
}

// The judge that has the whole take in hand: it takes the definitions one by one
// and counts every note of every span anew.

// refNote is a note with all that is asked about it.
type refNote struct {
	fit.Note
	lean   int64 // the song tick that judges it
	told   int64 // the song tick it is told at
	weight int64 // hundredths
	slot   int
}

type refSpan struct {
	span     fit.Span
	from, to int64
	first    changes.Bar // whose meter counts
	notes    []refNote
	bars     int
	beats    int64
}

func reference(line *changes.Timeline, runs []run) []fit.Verdict {
	var out []fit.Verdict
	take := refSpan{span: fit.Take, first: line.Bars[0]}
	for _, r := range runs {
		notes := weighed(line, r.notes)
		if n := len(notes); n > 0 { // the last may be early for a bar that is not reached
			r.to = max(r.to, notes[n-1].told)
		}
		out = append(out, phrases(line, r, notes)...)
		var joined []refSpan
		for start := r.from / line.Length * line.Length; start <= r.to; start += line.Length {
			chorus := part(line, fit.Chorus, r, notes, start, 0, len(line.Bars))
			if len(line.Bars) >= 8 {
				for _, s := range sections(line) {
					out = append(out, told(line, part(line, fit.Section, r, notes, start, s[0], s[1]))...)
				}
			}
			if len(chorus.notes) == 0 {
				continue
			}
			out = append(out, told(line, chorus)...)
			if len(take.notes) == 0 {
				take.from = chorus.from
			}
			take.to = chorus.to
			take.add(&chorus)
			joined = append(joined, chorus)
		}
		for n := (7 + len(line.Bars)) / len(line.Bars); n > 1 && len(joined) > 0; {
			n := min(n, len(joined))
			s := refSpan{span: fit.Section, from: joined[0].from, to: joined[n-1].to, first: line.Bars[0]}
			for i := range n {
				s.add(&joined[i])
			}
			out = append(out, told(line, s)...)
			joined = joined[n:]
		}
	}
	return append(out, told(line, take)...)
}

func (s *refSpan) add(o *refSpan) {
	s.notes = append(s.notes, o.notes...)
	s.bars += o.bars
	s.beats += o.beats
}

// sections lists the sections of a form as pairs of bars.
func sections(line *changes.Timeline) (out [][2]int) {
	var stretches [][2]int
	for i, b := range line.Bars {
		if i == 0 || b.Opens || b.Section != line.Bars[i-1].Section {
			stretches = append(stretches, [2]int{i, i})
		}
		stretches[len(stretches)-1][1] = i + 1
	}
	for _, s := range stretches {
		n := s[1] - s[0]
		pieces := 1
		if n > 16 || line.Bars[s[0]].Section == "" {
			pieces = max(1, n/8)
		}
		for i := range pieces {
			piece := [2]int{s[0] + 8*i, s[0] + 8*i + 8}
			if i == pieces-1 {
				piece[1] = s[1]
			}
			out = append(out, piece)
		}
	}
	return out
}

func barEnd(line *changes.Timeline, i int) int64 {
	if i+1 < len(line.Bars) {
		return line.Bars[i+1].Start
	}
	return line.Length
}

// weighed is the notes that lie over the form, with a chord or without.
func weighed(line *changes.Timeline, notes []fit.Note) (out []refNote) {
	for i, n := range notes {
		bar := line.Bars[0]
		start := int64(0)
		if n.Song >= 0 {
			start = n.Song / line.Length * line.Length
			bar = line.Bars[line.BarAt(n.Song-start, -1)]
		}
		beat := bar.Meter.Beat()
		r := refNote{Note: n, lean: n.Song + beat/10, weight: 100, told: max(0, n.Song)}
		if r.lean < 0 {
			continue
		}
		if end := start + barEnd(line, bar.Number-line.Bars[0].Number); r.lean >= end {
			r.told = end
		}
		r.slot = line.SlotAt(r.lean%line.Length, -1)
		if n.Timed && 10*((r.lean-start-bar.Start)%beat) > 3*beat {
			r.weight = r.weight * 60 / 100
		}
		if i+1 < len(notes) {
			next := notes[i+1]
			if apart := int(next.Key) - int(n.Key); next.Song-n.Song <= beat && (apart == 1 || apart == -1) {
				r.weight = r.weight * 30 / 100
			}
		}
		out = append(out, r)
	}
	return out
}

// part is what a run holds of some bars of a chorus.
func part(line *changes.Timeline, span fit.Span, r run, notes []refNote, start int64, first, last int) refSpan {
	s := refSpan{span: span, from: max(r.from, start+line.Bars[first].Start), first: line.Bars[first]}
	s.to = max(s.from, min(r.to, start+barEnd(line, last-1)))
	for i := first; i < last; i++ {
		from, to := max(r.from, start+line.Bars[i].Start), min(r.to, start+barEnd(line, i))
		if from < to {
			s.bars++
			s.beats += (to - from) * 1000 / line.Bars[i].Meter.Beat()
		}
	}
	for _, n := range notes {
		if n.lean >= start+line.Bars[first].Start && n.lean < start+barEnd(line, last-1) && !line.Slots[n.slot].Chord.None() {
			s.notes = append(s.notes, n)
		}
	}
	return s
}

func phrases(line *changes.Timeline, r run, notes []refNote) (out []fit.Verdict) {
	from := 0
	for _, end := range append(slices.Clone(r.ends), phraseEnd{after: len(r.notes) - 1, at: r.to}) {
		s := refSpan{span: fit.Phrase}
		for _, n := range notes {
			if i := slices.IndexFunc(r.notes, func(o fit.Note) bool { return o.N == n.N }); i < from || i > end.after || line.Slots[n.slot].Chord.None() {
				continue
			}
			s.notes = append(s.notes, n)
		}
		from = end.after + 1
		if len(s.notes) == 0 {
			continue
		}
		first, last := s.notes[0], s.notes[len(s.notes)-1]
		s.from, s.to = first.told, max(last.told+1, end.at)
		s.first = line.Bars[line.BarAt(first.lean%line.Length, -1)]
		for at := s.from; at < s.to; {
			start := at / line.Length * line.Length
			i := line.BarAt(at-start, -1)
			to := min(s.to, start+barEnd(line, i))
			s.beats += (to - at) * 1000 / line.Bars[i].Meter.Beat()
			at = to
		}
		out = append(out, told(line, s)...)
	}
	return out
}

// counts is what a class counts for over the chord of a slot, in hundredths.
func counts(line *changes.Timeline, slot int, class tone.Class) int64 {
	c := line.Slots[slot].Chord
	has := func(degrees ...harmony.Degree) bool {
		return slices.ContainsFunc(degrees, func(d harmony.Degree) bool { return c.Formula.Has(d) })
	}
	above := int(tone.ClassOf(int(class) - int(c.Root.Class())))
	third, seventh := -1, -1
	for _, d := range []harmony.Degree{harmony.Four, harmony.FlatThree, harmony.Three} {
		if c.Formula.Has(d) {
			third = d.Semitones()
		}
	}
	for _, d := range []harmony.Degree{harmony.Six, harmony.DoubleFlatSeven, harmony.FlatSeven, harmony.Seven} {
		if c.Formula.Has(d) {
			seventh = d.Semitones()
		}
	}
	altered, flatNine := has(harmony.FlatFive, harmony.SharpFive), has(harmony.FlatNine, harmony.SharpNine)
	resolves := resolves(line, slot)
	var tensions []int
	switch c.Kind() {
	case harmony.KindDominant:
		tensions = []int{2, 3, 6, 9}
		if resolves {
			tensions = []int{1, 2, 3, 6, 8, 9}
		}
		if flatNine {
			tensions = []int{1, 3, 6, 9}
		}
		if flatNine && resolves {
			tensions = []int{1, 3, 6, 8, 9}
		}
		if altered {
			tensions = []int{1, 3, 6, 8}
		}
	case harmony.KindSuspended:
		tensions = []int{2, 4, 8, 9}
		if resolves {
			tensions = append(tensions, 1)
		}
	case harmony.KindMajor, harmony.KindAugmented:
		tensions = []int{2, 6, 9, 11}
	case harmony.KindMinor:
		tensions = []int{2, 5, 9, 10}
	case harmony.KindMinorSixth:
		tensions = []int{2, 5, 9, 10, 11}
	case harmony.KindHalfDiminished:
		tensions = []int{2, 5, 8, 9}
	case harmony.KindDiminished:
		tensions = []int{2, 5, 8, 11}
	default:
		tensions = []int{2, 9}
	}
	switch {
	case above == third, above == seventh:
		return 84
	case c.Set().Has(class):
		return 60
	case slices.Contains(tensions, above):
		return -30
	}
	return -80
}

// resolves looks ahead for the next chord with another root.
func resolves(line *changes.Timeline, slot int) bool {
	here := line.Slots[slot].Chord.Root.Class()
	for i := range line.Slots {
		next := line.Slots[(slot+1+i)%len(line.Slots)].Chord
		if next.None() {
			return false
		}
		if up := tone.ClassOf(int(next.Root.Class()) - int(here)); up != 0 {
			return up == 5 || up == 11
		}
	}
	return false
}

// told is the verdict of a span, none where it has no notes.
func told(line *changes.Timeline, s refSpan) []fit.Verdict {
	if len(s.notes) == 0 {
		return nil
	}
	s.to = max(s.to, s.from+1)
	v := fit.Verdict{
		Span: s.span, FromN: s.notes[0].N, ToN: s.notes[len(s.notes)-1].N + 1, Notes: int64(len(s.notes)),
		BarBeats: s.first.Meter.Beats(),
		Chorus:   int(s.from/line.Length) + 1, ToChorus: int(max(0, s.to-1)/line.Length) + 1,
	}
	v.FromBar, v.FromBeat = position(line, s.from%line.Length)
	v.ToBar, v.ToBeat = position(line, s.to-int64(v.ToChorus-1)*line.Length)
	var score, chance, key, spread float64
	var inKey, dominants int
	var turned int64 // if the dim half of each chord's own scale were the chord
	for _, n := range s.notes {
		class, weight := tone.ClassOf(int(n.Key)), float64(n.weight)
		slot := &line.Slots[n.slot]
		score += weight * float64(counts(line, n.slot, class))
		dim := int64(-80)
		if slot.Own.Dim().Has(class) {
			dim = 72
		} else if slot.Own.Home().Has(class) {
			dim = -30
		}
		turned += n.weight * (dim - counts(line, n.slot, class))
		var mean, square, scale float64
		for c := range tone.All.Each() {
			x := weight * float64(counts(line, n.slot, c))
			mean += x / 12
			square += x * x / 12
			if slot.Key.Set().Has(c) {
				scale += x / 8
			}
		}
		chance += mean
		spread += square - mean*mean
		key += scale
		if slot.Key.Set().Has(class) {
			inKey++
		}
		if slot.Chord.Kind() == harmony.KindDominant {
			dominants++
		}
	}
	v.Score = score / 10_000 / float64(len(s.notes))
	sum, found := int64(math.MinInt64), false
	for _, move := range places(s.first) {
		if worth, differs := at(line, s, move); differs && worth > sum {
			sum, found, v.Elsewhere = worth, true, move
		}
	}
	if found {
		v.Evidence = 0.15 * float64(sum) / 10_000
		if turned >= sum {
			v.Evidence -= 0.15 * float64(turned) / 10_000
		}
	}
	long := s.span == fit.Take || s.bars >= 32
	deviation := math.Sqrt(spread)
	vocabulary := v.Elsewhere.Semitones == 6 && dominants == len(s.notes) ||
		(v.Elsewhere.Semitones == 5 || v.Elsewhere.Semitones == -5) && s.span != fit.Take
	switch {
	case len(s.notes) < 8, float64(len(s.notes)) < 0.6*float64(s.beats)/1000, !found:
		v.Says = fit.TooLittle
	case v.Evidence >= 2 && !vocabulary && score+float64(sum) > chance+2.75*deviation:
		v.Says = fit.Elsewhere
	case score > key+2*deviation:
		v.Says, v.With = fit.Fits, fit.Chords
	case float64(inKey) >= 0.9*float64(len(s.notes)):
		v.Says, v.With = fit.Fits, fit.Key
	case score > chance+2*deviation && score >= key-2*deviation:
		v.Says, v.With = fit.Fits, fit.Chords
	case long && score+float64(max(0, turned)) <= chance+2*deviation && score < key-2*deviation:
		v.Says = fit.Nowhere
	default:
		v.Says = fit.Fits
	}
	return []fit.Verdict{v}
}

func position(line *changes.Timeline, within int64) (int, float64) {
	if within == line.Length {
		return line.Bars[len(line.Bars)-1].Number + 1, 1
	}
	b := line.Bars[line.BarAt(within, -1)]
	return b.Number, float64(1000+(within-b.Start)*1000/b.Meter.Beat()) / 1000
}

// places lists the other places in the order in which they are preferred.
func places(first changes.Bar) (out []fit.Move) {
	beats := first.Meter.Beats()
	if beats%2 == 0 {
		out = append(out, fit.Move{Beats: -beats / 2}, fit.Move{Beats: beats / 2})
	}
	out = append(out, fit.Move{Beats: -beats}, fit.Move{Beats: beats}, fit.Move{Beats: -2 * beats}, fit.Move{Beats: 2 * beats})
	for _, semitones := range []int{-1, 1, -2, 2, -3, 3, -4, 4, -5, 5, 6} {
		out = append(out, fit.Move{Semitones: semitones})
	}
	return out
}

// at is what a span's notes are worth at another place, and whether a chord
// differs there.
func at(line *changes.Timeline, s refSpan, move fit.Move) (worth int64, differs bool) {
	for _, n := range s.notes {
		class := tone.ClassOf(int(n.Key))
		there := n.lean + int64(move.Beats)*s.first.Meter.Beat()
		for there < 0 {
			there += line.Length
		}
		slot := line.SlotAt(there%line.Length, -1)
		chord, written := line.Slots[slot].Chord, line.Slots[n.slot].Chord
		if chord.None() {
			continue
		}
		moved := tone.ClassOf(int(n.Key) + move.Semitones)
		worth += n.weight * (counts(line, slot, moved) - counts(line, n.slot, class))
		if move.Semitones != 0 {
			differs = differs || written.Set().Transpose(move.Semitones) != written.Set()
		} else {
			differs = differs || chord != written
		}
	}
	return worth, differs
}
