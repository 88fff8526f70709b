package main

import (
	"encoding/json"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"time"

	"github.com/stretchr/testify/require"

	"shedlight/listen/beat"
	"shedlight/listen/sound"
)

// countIns is what a bar of the count-in is called by tellBars; bars have their numbers.
const countIns = 1<<14 - 1

// tellBars is a part that strikes each bar with its number.
func (e *evening) tellBars(form *beat.Form, s beat.Stretch, strike func(int64, sound.Note)) {
	if s.State != beat.Running {
		return
	}
	end := s.Song + s.To - s.From
	for at := s.Song; at < end; {
		place := form.Place(at)
		if place.Offset > 0 {
			at += place.Meter.Bar() - place.Offset
			continue
		}
		number := countIns
		if at >= 0 {
			number = form.BarsIn(at, 0)
		}
		strike(s.From+at-s.Song, sound.Note{Voice: sound.Blip, Key: uint8(number & 0x7F), Velocity: uint8(number>>7 + 1)})
		at += place.Meter.Bar()
	}
}

// sounds takes what the conductor sends, as a sound process would, and holds what
// sounds up to now against what must.
func (e *evening) sounds() {
	for _, c := range e.conductor.Tend(e.now, e.clock.Line()) {
		switch c.Kind {
		case sound.Forget:
			e.due = slices.DeleteFunc(e.due, func(s sound.Command) bool { return s.At >= c.At })
		case sound.Strike:
			e.due = append(e.due, c)
		}
	}
	slices.SortStableFunc(e.due, func(a, b sound.Command) int { return int(a.At - b.At) })
}

func (e *evening) hear() {
	n := 0
	for ; n < len(e.due) && e.due[n].At <= e.now; n++ {
		switch c := e.due[n]; c.Voice {
		case sound.Blip:
			e.barSounds(int(c.Velocity-1)<<7 | int(c.Key))
		case sound.Bass, sound.Piano:
			const least = 40 * time.Millisecond // between two of one key
			e.sounded.band++
			before, ok := e.struck[c.Key]
			require.False(e.t, ok && c.At-before < least, "key %d is struck twice, at %v", c.Key, c.At)
			e.struck[c.Key] = c.At
		}
	}
	e.due = slices.Delete(e.due, 0, n)
}

func (e *evening) barSounds(number int) {
	e.sounded.bars++
	require.False(e.t, e.stands, "nothing sounds while the song stands")
	if e.countIn > 0 {
		require.Equal(e.t, countIns, number, "it is counted in")
		e.countIn--
		return
	}
	if e.late && number == e.next+1 {
		e.next++
	}
	e.late = false
	require.Equal(e.t, e.next, number, "the bar that sounds, at %v", e.now)
	e.next++
	e.begun = max(e.begun, number/e.bars+1)
}

// bar is the one that is played, from the count of all; below 0 before the top.
func (e *evening) bar() int {
	if e.countIn > 0 || e.stands || e.next <= e.top {
		return -1
	}
	return e.next - 1
}

// measure is what a chorus costs.
type measure struct {
	heap   uint64 // 0: not asked
	took   time.Duration
	events int
}

// measure notes what a chorus costs.
func (e *evening) measure() {
	if len(e.measured) >= e.begun {
		return
	}
	one := measure{took: time.Since(e.since), events: e.events}
	if e.begun == 50 || e.begun == e.choruses {
		var m runtime.MemStats
		runtime.GC()
		runtime.ReadMemStats(&m)
		one.heap = m.HeapAlloc
	}
	for len(e.measured) < e.begun {
		e.measured = append(e.measured, one)
	}
	e.since, e.events = time.Now(), 0
}

// hold holds what came out against what had to.
func (e *evening) hold() {
	t := e.t
	want, forgotten := int64(0), 0
	for chorus, n := range e.counted {
		if !e.lost[chorus] {
			want += n
		} else {
			forgotten++
		}
	}
	live := e.session.analyser.Summary()
	require.Equal(t, want, live.Notes)
	require.Equal(t, e.passed, live.Passed)
	require.Positive(t, e.passed)
	require.Len(t, live.Forgotten, forgotten)
	for _, a := range []beat.Action{beat.BarOn, beat.BarBack, beat.Again, beat.Stop, beat.Forget, beat.Mark, beat.NextView} {
		require.GreaterOrEqual(t, e.acted[a], e.choruses/50, "%v", a)
	}
	require.GreaterOrEqual(t, e.unplugs, e.choruses/50)
	require.Zero(t, e.session.lines.dropped.Load())
	if e.choruses == 1000 && !e.follows {
		require.EqualValues(t, 100_000, e.fastest)
	}
	met, of := e.plan.tune.Setup.Goal.Kind.Met(live.ChorusesDetail)
	require.Positive(t, met)
	page := e.session.analyser.Snapshot()
	require.Equal(t, [2]int{met, of}, [2]int{page.GoalMet, page.GoalOf}, "of the goal, on the screen and at the end")
	e.holdCosts()
	e.sameAsReviewed()
}

// holdCosts holds what the last choruses cost against the first. Time is that of the
// fastest chorus, for each event: others are held up.
func (e *evening) holdCosts() {
	const (
		early, some = 50, 50    // choruses
		perChorus   = 2 << 10   // bytes
		slack       = 300 << 10 // of what is not collected
		slower      = 5         // a busy machine and a fast tempo make two or three of it; with the choruses it would be twelve
	)
	perEvent := func(from int) time.Duration {
		least := time.Hour
		for _, m := range e.measured[from : from+some] {
			least = min(least, m.took/time.Duration(max(1, m.events)))
		}
		return least
	}
	first, last := e.measured[early-1].heap, e.measured[e.choruses-1].heap
	grown := int64(last) - int64(first)
	before, after := perEvent(early), perEvent(e.choruses-some)
	e.t.Logf("%d bars, %d notes of the band, %d of the player counted and %d passed over; heap %d kB after %d choruses, %d kB after %d: %d bytes a chorus; an event %v and %v",
		e.sounded.bars, e.sounded.band, e.session.analyser.Summary().Notes, e.passed, first>>10, early, last>>10, e.choruses, grown/int64(e.choruses-early), before, after)
	require.Less(e.t, grown, int64(perChorus*(e.choruses-early)+slack))
	require.Less(e.t, after, slower*before)
}

// sameAsReviewed holds what is told at the end against the review of the take, field by
// field and byte for byte.
func (e *evening) sameAsReviewed() {
	t := e.t
	out, err := os.Create(filepath.Join(t.TempDir(), "told"))
	require.NoError(t, err)
	defer out.Close()
	require.NoError(t, (&program{out: out, messages: io.Discard}).writeSummary(e.session, e.plan))
	text, err := os.ReadFile(out.Name())
	require.NoError(t, err)
	var told struct{ Summary map[string]json.RawMessage }
	require.NoError(t, json.Unmarshal(text, &told))
	reviewed, said, code := runHere(t, "review", e.session.recorder.Status().Path, "--json")
	require.Zero(t, code, said)
	var page map[string]json.RawMessage
	require.NoError(t, json.Unmarshal([]byte(reviewed), &page))
	require.Contains(t, told.Summary, "choruses_detail")
	for name, field := range told.Summary {
		require.Equal(t, string(field), string(page[name]), name)
	}
}
