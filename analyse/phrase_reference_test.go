package analyse_test

import (
	"maps"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"shedlight/analyse"
	"shedlight/analyse/changes"
	"shedlight/analyse/fate"
	"shedlight/analyse/harmony"
	"shedlight/analyse/phrase"
	"shedlight/analyse/song"
)

// Phrases found a second time: with the whole line in hand, by going through it
// from the first note for every question. Nothing is shared with the analyser
// but the rules.

const (
	phraseOverlap = 4 // of the latest notes can keep a phrase open
	goodNotes     = 4 // a good phrase has at least
	goodMost      = 3 // are told
	mostWaiting   = 16
)

// refPhrase is a phrase as notes of the reference judge.
type refPhrase struct {
	notes []*refNote
	end   int64 // its last release
	leapt bool  // no rest follows
}

func (p *refPhrase) first() *refNote { return p.notes[0] }
func (p *refPhrase) last() *refNote  { return p.notes[len(p.notes)-1] }

// refPhrases cuts the line at its rests. over is the tick of the session's end.
func refPhrases(line []*refNote, over int64) []*refPhrase {
	var out []*refPhrase
	for _, note := range line {
		if n := len(out); n == 0 || out[n-1].isOverBefore(note) {
			out = append(out, &refPhrase{})
		}
		p := out[len(out)-1]
		p.notes = append(p.notes, note)
	}
	for _, p := range out {
		p.end = min(lastRelease(p), max(over, p.last().tick))
	}
	for i, p := range out[:max(0, len(out)-1)] {
		next := out[i+1].first()
		p.leapt = !p.restsBefore(next)
		p.end = min(p.end, next.tick)
	}
	return out
}

// restsBefore reports whether a rest that ends the phrase lies before a note: a beat,
// but at least a quarter of a second and at most 0.36 of one, in whole ticks.
func (p *refPhrase) restsBefore(n *refNote) bool {
	last, rest := p.last(), n.tick-lastRelease(p)
	lasts := func(micros int64) bool { return (rest+1)*last.quarter > micros*960 }
	return rest > 0 && (rest >= last.beat && lasts(250_000) || lasts(360_000))
}

// isOverBefore reports whether a note begins another phrase: there is a rest before it,
// or it leaps away from a note of two beats.
func (p *refPhrase) isOverBefore(n *refNote) bool {
	last := p.last()
	return p.restsBefore(n) || n.tick-last.tick >= 2*last.beat && distance(n, last) > 4
}

// isGood reports whether it has the length, the end and the rest of a good phrase.
func (p *refPhrase) isGood(s analyse.Setup) bool {
	long, slot := p.end-p.first().tick, p.endSlot(s)
	degree := harmony.DegreeOver(slot.Chord, p.last().class())
	landing := p.landing(s)
	return !p.leapt && long > p.last().bar && long <= 4*p.last().bar && landing != phrase.LeftHanging && landing != phrase.NoLanding &&
		len(p.notes) >= goodNotes && slices.Contains([]string{"3", "5", "6", "9", "13"}, degree)
}

// lastRelease is when the last note that sounds goes up, pedal points left out.
func lastRelease(p *refPhrase) int64 {
	var end int64
	for _, note := range p.notes[max(0, len(p.notes)-phraseOverlap):] {
		end = max(end, note.released)
	}
	return end
}

// endSlot is the chord that its last note is heard in.
func (p *refPhrase) endSlot(s analyse.Setup) *changes.Slot { return p.heard(s).slot }

// heard is the last note in the chord that it is heard in.
func (p *refPhrase) heard(s analyse.Setup) refNote {
	last := *p.last()
	if next := last.song.next; last.song.running && next.Chord != last.song.sounding.Chord && last.slot == last.song.sounding {
		ahead := last.song.left*10 <= 6*last.beat
		its := (next.Chord.Set() | next.Key.Home() | next.Own.Home()).Has(last.class())
		over := min(last.released, p.end) >= last.tick+last.song.left+last.beat/10
		if ahead && (over && next.Chord.Set().Has(last.class()) || its && !last.chordTone()) {
			last.slot, last.scale = next, scaleOf(next, s.View)
			for i := range s.Timeline.Slots {
				if &s.Timeline.Slots[i] == next {
					last.resolves = resolves(s.Timeline, i)
				}
			}
		}
	}
	return last
}

// landing says how it ends, from what the last note is in the chord that it is
// heard in.
func (p *refPhrase) landing(s analyse.Setup) phrase.Landing {
	last := p.heard(s)
	switch {
	case last.chordTone():
		return phrase.LandedOnChord
	case last.scale.None():
		return phrase.NoLanding
	case last.hangs(), last.outside() && !last.isColour():
		return phrase.LeftHanging
	}
	return phrase.EndedAtRest
}

// crossings names how each change of chord was crossed.
func (p *refPhrase) crossings(s analyse.Setup) []string {
	out := []string{}
	for i := 1; i < len(p.notes); i++ {
		a, b := p.notes[i-1], p.notes[i]
		if a.slot.Chord == b.slot.Chord || a.slot.Chord.None() || b.slot.Chord.None() {
			continue
		}
		change := b.tick - b.song.since
		for at := slices.IndexFunc(s.Timeline.Slots, func(x changes.Slot) bool { return x.Start == b.slot.Start }); at > 0; at-- {
			slot, before := s.Timeline.Slots[at], s.Timeline.Slots[at-1]
			if slot.Chord != before.Chord {
				break
			}
			change -= slot.Start - before.Start
		}
		switch {
		case min(a.released, b.tick) >= change+b.beat/10:
			out = append(out, "held")
		case a.key == b.key:
			out = append(out, "repeated")
		case distance(a, b) <= 2:
			out = append(out, "step")
		default:
			out = append(out, "leap")
		}
	}
	return out
}

// requirePhrases plays a take and finds the same phrases both ways.
func requirePhrases(t require.TestingT, s analyse.Setup, events []analyse.Event, tail int64) []*refPhrase {
	end := events[len(events)-1].Tick + tail
	a, err := analyse.New(s)
	require.NoError(t, err)
	seen := map[int64]phrase.Phrase{}
	look := func() {
		if p := a.Snapshot().Phrase; p.Number > 0 {
			seen[p.Number] = p
		}
	}
	for _, e := range events {
		a.Add(e)
		look()
	}
	a.Finish(end)
	look()
	got := a.Summary().Phrases

	j := &judge{chart: s.Timeline != nil, notes: refNotes(s, events), tempo: tempoMap(inOrder(events))}
	j.takeGlitchesOut(s)
	verdicts := reference(s, events)
	now := int64(0)
	for _, e := range events {
		now = max(now, e.Tick)
	}
	want := refPhrases(j.line, max(now, end))

	require.Equal(t, int64(len(want)), got.Phrases, "phrases of\n%s", written(events))
	var notes, rest, sounding int64
	longest := 0
	landings := map[string]int64{"chord": 0, "home": 0, "hanging": 0}
	crossings := map[string]int64{"held": 0, "repeated": 0, "step": 0, "leap": 0}
	var starts song.PlaceCounts
	degrees := map[string]int64{}
	var good []int64
	for i, p := range want {
		number := int64(i) + 1
		notes += int64(len(p.notes))
		longest = max(longest, len(p.notes))
		sounding += p.end - p.first().tick
		if i > 0 {
			rest += p.first().tick - want[i-1].end
		}
		landing := p.landing(s)
		if landing != phrase.NoLanding {
			landings[string(landing)]++
		}
		for _, kind := range p.crossings(s) {
			crossings[kind]++
		}
		countHalf(&starts, p.first())
		if at, ok := p.first().scale.Index(p.first().class()); ok {
			degrees[p.first().scale.Label(at)]++
		}
		outside, unresolved, against := 0, 0, 0
		for _, note := range p.notes {
			if note.outside() {
				outside++
			}
			if verdicts[note.n].fate == fate.Unresolved {
				unresolved++
			}
			if verdicts[note.n].against != "" && verdicts[note.n].fate != fate.Unresolved {
				against++
			}
		}
		if unresolved+against == 0 && p.isGood(s) {
			good = append(good, number)
		}
		if told, ok := seen[number]; ok {
			require.Equal(t, []int64{p.first().n, p.last().n}, []int64{told.First, told.Last}, "phrase %d", number)
			require.Equal(t, []int{len(p.notes), outside}, []int{told.Notes, told.Outside}, "phrase %d", number)
			require.Equal(t, landing, told.Landing, "phrase %d", number)
			if i == len(want)-1 {
				require.Equal(t, []int{unresolved, against, 0}, []int{told.Unresolved, told.Against, told.Open}, "phrase %d", number)
			}
		}
	}
	require.Equal(t, notes, got.Notes)
	require.Equal(t, longest, got.Longest)
	require.Equal(t, landings, got.Landings)
	require.Equal(t, crossings, got.Crossings, "crossings of\n%s", written(events))
	require.Equal(t, starts, got.Starts.Halves)
	require.Equal(t, degrees, got.Starts.Degrees)
	if total := rest + sounding; total > 0 {
		require.Equal(t, (200*rest+total)/(2*total), got.Rest)
	}
	if len(want) <= mostWaiting {
		told := []int64{}
		for _, p := range got.Good {
			told = append(told, p.Number)
		}
		require.Equal(t, append([]int64{}, good[:min(len(good), goodMost)]...), told)
	}
	return want
}

// Phrases found while playing are those found afterwards, over anything that
// can be played.
func TestPhrasesAgree(t *testing.T) {
	charts := chartsToJudge(t)
	drawn := takes(charts)
	t.Run("over charts", func(t *testing.T) {
		rapid.Check(t, func(t *rapid.T) {
			take := drawn.Draw(t, "take")
			requirePhrases(t, take.setup, take.events, tail(t))
		})
	})
	t.Run("improvised lines", func(t *testing.T) {
		names := slices.Sorted(maps.Keys(charts))
		rapid.Check(t, func(t *rapid.T) {
			s := setup(t)
			s.Timeline = charts[rapid.SampledFrom(names).Draw(t, "chart")]
			requirePhrases(t, s, improvised(t, s.Timeline, s.View), tail(t))
		})
	})
	t.Run("accidents", func(t *testing.T) {
		rapid.Check(t, func(t *rapid.T) {
			s := setup(t)
			if rapid.Bool().Draw(t, "chart") {
				s.Timeline = twoChords()
			}
			requirePhrases(t, s, anyEvents(t), tail(t))
		})
	})
	t.Run("the examples have all that is asked for", func(t *testing.T) {
		const examples, fewest = 1500, 20
		landings, kinds := map[phrase.Landing]int{}, map[string]int{}
		for seed := range examples {
			take := drawn.Example(seed)
			for _, p := range requirePhrases(t, take.setup, take.events, 0) {
				landings[p.landing(take.setup)]++
				for _, kind := range p.crossings(take.setup) {
					kinds[kind]++
				}
			}
		}
		t.Log(landings, kinds)
		for _, l := range []phrase.Landing{phrase.LandedOnChord, phrase.EndedAtRest, phrase.LeftHanging} {
			require.GreaterOrEqual(t, landings[l], fewest, l)
		}
		for _, kind := range []string{"held", "repeated", "step", "leap"} {
			require.GreaterOrEqual(t, kinds[kind], fewest, kind)
		}
	})
}

// countHalf counts a note by the half of the scale it lies in.
func countHalf(c *song.PlaceCounts, note *refNote) {
	switch {
	case note.scale.None():
	case note.outside():
		c.Outside++
	case note.scale.Home().Has(note.class()):
		c.Home++
	default:
		c.Dim++
	}
}
