package analyse_test

import (
	"cmp"
	"fmt"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/analysetest/linegen"
	"shedlight/analyse/song"
	"shedlight/analyse/timebase"
)

// goalEvening is a line over some choruses, with the time that goes with it: the third
// chorus is counted off again in its middle, where that is asked for. end is in the bar behind the last
// chorus.
func goalEvening(t *testing.T, setup *analyse.Setup, seed uint64, again bool, forgets ...int64) (events []analyse.Event, end int64) {
	const choruses = 6
	line := setup.Timeline
	events = linegen.Events(linegen.Spoil(withDim(line, linegen.Line(line, song.KeyView, seed, choruses)), 0.1, seed))
	end = choruses*line.Length + timebase.Quarter
	events = append(events, analyse.Event{Kind: analyse.Tempo, Value: 400_000}, startsAt(0))
	if again {
		off := 2*line.Length + 2*forgetBar
		top := off + forgetBar
		events = append(events,
			analyse.Event{Tick: off, Kind: analyse.Origin, Key: 1, Value: -forgetBar},
			analyse.Event{Tick: top, Kind: analyse.Origin, Key: 1, Value: 3 * line.Length})
		end = top + 3*line.Length + timebase.Quarter
	}
	for _, chorus := range forgets {
		events = append(events, analyse.Event{Tick: chorus*line.Length - timebase.Quarter, Kind: analyse.Forget})
	}
	order := func(e analyse.Event) int { // time before notes
		return map[bool]int{true: 1}[e.Kind <= analyse.NoteOn]
	}
	slices.SortStableFunc(events, func(x, y analyse.Event) int {
		return cmp.Or(cmp.Compare(x.Tick, y.Tick), cmp.Compare(order(x), order(y)))
	})
	last := end - timebase.Quarter - song.Early(timebase.Quarter) // what is struck later is the next chorus's
	return slices.DeleteFunc(events, func(e analyse.Event) bool { return e.Kind == analyse.NoteOn && e.Tick >= last }), end
}

// What stands on the screen when a chorus is over is what the review of the same events
// says, however often the screen asks: with choruses forgotten, counted off again, and traded.
func TestGoalsOnTheScreenAreTheReviews(t *testing.T) {
	for _, kind := range []analyse.GoalKind{analyse.NoSlip, analyse.ThirdOnChange, analyse.FamilyChord} {
		forgotten, all := 0, 0
		for seed := range uint64(3) {
			for _, trade := range []int{0, 2} {
				for _, again := range []bool{false, true} {
					for _, forgets := range [][]int64{nil, {1}, {2, 5}} {
						setup := goalsOver(analyse.Setup{Timeline: generic(t, "two-five-one", "C"), Trade: trade}, kind, seed == 1)
						events, end := goalEvening(t, &setup, seed, again, forgets...)
						live, review := analyser(t, setup), analyser(t, setup)
						tick := int64(0)
						for _, e := range events {
							for ; tick < e.Tick; tick += timebase.Quarter / 2 {
								live.AdvanceTo(tick)
								live.Snapshot()
							}
							live.Add(e)
							review.Add(e)
						}
						live.AdvanceTo(end + forgetBar - 2*timebase.Quarter)
						review.Finish(end)
						now, s := live.Snapshot(), review.Summary()
						met, of := s.GoalKind.Met(s.ChorusesDetail)
						what := fmt.Sprintf("kind %d, seed %d, trade %d, again %t, forgotten %v", kind, seed, trade, again, forgets)
						require.Equal(t, [2]int{met, of}, [2]int{now.GoalMet, now.GoalOf}, what)
						require.NotZero(t, of, what)
						require.Len(t, s.Forgotten, len(forgets), what)
						if all += of; forgets != nil {
							forgotten += of
						}
					}
				}
			}
		}
		require.Less(t, forgotten, all*2/3, "what is forgotten is in no count")
	}
}

// Nothing is allocated for a note, whatever the goal.
func TestGoalsAllocateNothing(t *testing.T) {
	for _, kind := range []analyse.GoalKind{analyse.ThirdOnChange, analyse.FamilyChord} {
		line := generic(t, "turnaround", "C")
		events := linegen.Events(linegen.Line(line, song.KeyView, 7, 200))
		a := analyser(t, goalsOver(analyse.Setup{Timeline: line}, kind, false))
		a.Add(startsAt(0))
		const warm, runs, each = 8000, 20, 50
		require.Greater(t, len(events), warm+(runs+1)*each)
		for _, e := range events[:warm] {
			a.Add(e)
		}
		next := events[warm:]
		allocs := testing.AllocsPerRun(runs, func() {
			for _, e := range next[:each] {
				a.Add(e)
			}
			next = next[each:]
		})
		require.Less(t, allocs, 1.0, "but for a row a chorus")
		require.NotZero(t, a.Snapshot().GoalOf)
	}
}
