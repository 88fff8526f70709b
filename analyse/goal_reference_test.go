package analyse_test

import (
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/analysetest/linegen"
	"shedlight/analyse/changes"
	"shedlight/analyse/figure"
	"shedlight/analyse/phrase"
	"shedlight/analyse/song"
	"shedlight/analyse/timebase"
	"shedlight/analyse/tone"
)

// goalsOver are the goals that are counted over a chart: in all its bars, or in its last
// two.
func goalsOver(setup analyse.Setup, kind analyse.GoalKind, last bool) analyse.Setup {
	const d = 2
	bars := len(setup.Timeline.Bars)
	setup.Goal = analyse.Goal{Kind: kind, Bars: make([]bool, bars), On: d}
	for i := range bars {
		setup.Goal.Bars[i] = !last || i >= bars-2
	}
	return setup
}

// heardWith plays events and returns the analyser, the notes as they were settled and the phrases.
func heardWith(t *testing.T, setup analyse.Setup, events []analyse.Event, end int64) (*analyse.Analyser, []analyse.Finding, []phrase.Phrase) {
	a := analyser(t, setup)
	var found []analyse.Finding
	var phrases []phrase.Phrase
	look := func() {
		if p, ok := a.Phrase(int64(len(phrases)) + 1); ok {
			phrases = append(phrases, p)
		}
	}
	for _, e := range events {
		found = append(found, a.Add(e)...)
		look()
	}
	found = append(found, a.Finish(end)...)
	look()
	require.Len(t, phrases, int(a.PhrasesOver()))
	return a, together(found), phrases
}

// What is counted of generated lines is what a slow recount finds that knows the notes, the
// phrases they are in and the chart alone.
func TestGoalsAreARecount(t *testing.T) {
	const choruses = 6
	var counted [3]int
	for _, name := range []string{"two-five-one", "turnaround", "minor-two-five-one"} {
		line := generic(t, name, "C")
		for seed := range uint64(4) {
			notes := linegen.Spoil(withDim(line, linegen.Line(line, song.KeyView, seed, choruses)), 0.1, seed)
			events := append([]analyse.Event{{Kind: analyse.Tempo, Value: 400_000}, startsAt(0)}, linegen.Events(notes)...)
			end := choruses*line.Length + 2*timebase.Quarter
			for _, last := range []bool{false, true} {
				for i, kind := range []analyse.GoalKind{analyse.NoSlip, analyse.ThirdOnChange, analyse.FamilyChord} {
					setup := goalsOver(analyse.Setup{Timeline: line, Whole: true}, kind, last)
					a, found, phrases := heardWith(t, setup, events, end)
					s := a.Summary()
					met, of := kind.Met(s.ChorusesDetail)
					what := fmt.Sprintf("%s, seed %d, kind %d, last bars %t", name, seed, kind, last)
					r := goalRecount{setup: &setup, found: found, phrases: phrases, offs: offsOf(events)}
					wantMet, wantOf := [...]func(*analyse.Summary) (int, int){r.slips, r.thirds, r.chords}[i](&s)
					require.Equal(t, [2]int{wantMet, wantOf}, [2]int{met, of}, what)
					counted[i] += met
					now := a.Snapshot()
					require.Equal(t, [2]int{met, of}, [2]int{now.GoalMet, now.GoalOf}, "%s: on the screen in the bar behind the end", what)
				}
			}
		}
	}
	t.Log(counted)
	for _, met := range counted {
		require.Greater(t, met, 10)
	}
}

// withDim is a line with the diminished seventh chord of D through a bar of every other
// chorus.
func withDim(line *changes.Timeline, notes []linegen.Note) (out []linegen.Note) {
	bar := len(line.Bars)
	for of, notes := range [][]linegen.Note{notes, linegen.Outlined(line, notes, bar, tone.SetOf(2, 5, 8, 11))} {
		for _, n := range notes {
			if int(n.Tick/line.Length)%2 == of {
				out = append(out, n)
			}
		}
	}
	slices.SortStableFunc(out, func(a, b linegen.Note) int { return int(a.Tick - b.Tick) })
	return out
}

// goalRecount is what the slow recount knows.
type goalRecount struct {
	setup   *analyse.Setup
	found   []analyse.Finding
	phrases []phrase.Phrase
	offs    []int64 // when the key of each note went up
}

// offsOf is when the key of each note goes up or is struck again.
func offsOf(events []analyse.Event) (offs []int64) {
	for i, e := range events {
		if e.Kind != analyse.NoteOn {
			continue
		}
		next := slices.IndexFunc(events[i+1:], func(o analyse.Event) bool { return o.Kind <= analyse.NoteOn && o.Key == e.Key })
		offs = append(offs, events[i+1+next].Tick)
	}
	return offs
}

// lies reports whether a bar, by its number, is one of the goal's.
func (r *goalRecount) lies(bar int) bool { return bar > 0 && r.setup.Goal.Bars[bar-1] }

func (r *goalRecount) slips(*analyse.Summary) (met, of int) {
	played, slipped := map[int]bool{}, map[int]bool{}
	for _, f := range r.found {
		if r.lies(f.Bar) {
			played[f.Chorus] = true
			if f.Slip() {
				slipped[f.Chorus] = true
			}
		}
	}
	return len(played) - len(slipped), len(played)
}

// chords are the arpeggios of the phrases, by their tones: every other one of the scale from
// the goal's on, and with the next but one in place of the last. Where a half step is in it, it has more.
func (r *goalRecount) chords(s *analyse.Summary) (met, of int) {
	var wanted []tone.Set
	for _, f := range s.Family {
		if place, ok := f.Scale.Index(r.setup.Goal.On); ok {
			tones := f.Scale.Tones()
			at := func(steps ...int) (set tone.Set) {
				for _, step := range steps {
					set |= tone.SetOf(tones[(place+step)%len(tones)].Class())
				}
				return set
			}
			wanted = append(wanted, at(0, 2, 4, 6), at(0, 2, 4, 7))
		}
	}
	played, struck := map[int]bool{}, map[int]bool{}
	for _, f := range r.found {
		if r.lies(f.Bar) {
			played[f.Chorus] = true
		}
	}
	for _, p := range r.phrases {
		for _, g := range p.Figures {
			var set tone.Set
			for _, f := range r.found[g.First : g.First+int64(g.Notes)] {
				set |= tone.SetOf(tone.Class(f.Key % 12))
			}
			is := func(chord tone.Set) bool { return set == chord || g.HalfSteps > 0 && set&chord == chord }
			if f := r.found[g.First]; g.Kind == figure.Arpeggio && r.lies(f.Bar) && slices.ContainsFunc(wanted, is) {
				struck[f.Chorus] = true
			}
		}
	}
	return len(struck), len(played)
}

// thirds looks at every change of the chart for what stands on it. Windows in ticks: a
// tenth and a quarter of a beat, six tenths.
func (r *goalRecount) thirds(*analyse.Summary) (met, of int) {
	const beat, early, late, held, pushed = timebase.Quarter, 96, 240, 96, 576
	line := r.setup.Timeline
	inPhrase := func(n int64) int64 {
		for _, p := range r.phrases {
			if p.First <= n && n <= p.Last {
				return p.Number
			}
		}
		return 0
	}
	last := r.found[len(r.found)-1].Tick
	for chorus := int64(0); chorus*line.Length <= last+pushed; chorus++ {
		for i := range line.Slots {
			slot, before := &line.Slots[i], &line.Slots[(i+len(line.Slots)-1)%len(line.Slots)]
			change := chorus*line.Length + slot.Start
			third, has := slot.Chord.Third()
			if change == 0 || slot.Chord == before.Chord || !has {
				continue
			}
			var prev, on, next *analyse.Finding
			for i := range r.found {
				switch f := &r.found[i]; {
				case f.Tick < change-early:
					prev = f
				case f.Tick > change+late:
					if next == nil {
						next = f
					}
				case on == nil:
					on = f
				case f.N == on.N+1 && f.Tick-on.Tick < beat/5 && f.MS-on.MS <= 90 && (f.Key-on.Key+2 <= 4) && f.Key != on.Key:
					on = f // a grace note stood before it
				}
			}
			stands, counts := on, on != nil
			if on == nil && prev != nil {
				off := r.offs[prev.N]
				coming := slot.Key.Home() | slot.Own.Home() | slot.Chord.Set()
				class := tone.Class(prev.Key % 12)
				goesOn := next != nil && inPhrase(prev.N) == inPhrase(next.N)
				landed := prev.Tick >= change-pushed && coming.Has(class) && !before.Chord.Set().Has(class)
				if stands = prev; off < change+held && (goesOn || !landed) {
					stands = nil
				}
				counts = stands != nil || goesOn
			}
			bar := line.Bars[line.BarAt(slot.Start, 0)].Number
			if !counts || !r.lies(bar) {
				continue
			}
			of++
			if stands != nil && tone.Class(stands.Key%12) == third {
				met++
			}
		}
	}
	return met, of
}
