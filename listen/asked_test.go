package listen

import (
	"context"
	"math/rand/v2"
	"strings"
	"testing"
	"testing/synctest"
	"time"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/changes"
	"shedlight/analyse/timebase"
	"shedlight/listen/beat"
	"shedlight/listen/hands"
)

// counted is a clock over bars of C6 and G7 at two ticks a millisecond.
func counted(t testing.TB, countIn int) (beat.Setup, *changes.Timeline) {
	t.Helper()
	chart, ok := changes.Generic("two-five-one")
	require.True(t, ok)
	line, err := chart.Unroll()
	require.NoError(t, err)
	form := beat.Chorus(&line)
	return beat.Setup{Form: &form, Quarter: 480_000, CountIn: countIn}, &line
}

// awkward are charts that a clock can stumble over: of four bars, with meters and a
// pick-up, a part of that which begins in another meter, one in 6/8.
func awkward(t testing.TB) (lines []*changes.Timeline) {
	t.Helper()
	_, plain := counted(t, 0)
	lines = append(lines, plain)
	read := func(text string) *changes.Timeline {
		chart, err := changes.Parse(strings.NewReader(text))
		require.NoError(t, err)
		line, err := chart.Unroll()
		require.NoError(t, err)
		return &line
	}
	steps := read("title: Five Steps\nkey: C\nmeter: 4/4\npickup: 1\n\n| C6 | {meter 3/4} G7 | Dm7 | {meter 5/4} G7 | {meter 4/4} C6 |\n")
	part, err := steps.Loop(2, 4)
	require.NoError(t, err)
	return append(lines, steps, &part, read("title: Ferry Rope\nkey: F\nmeter: 6/8\npickup: 1\n\n| F6 | C7 | {meter 4/4} F6 |\n"))
}

// asking opens a live port whose controls ask for something.
func asking(t testing.TB, clock beat.Setup, controls ...string) (*fakeSystem, *Live, hands.Map) {
	t.Helper()
	parsed, err := hands.Parse(controls)
	require.NoError(t, err)
	system := &fakeSystem{ports: []string{"Keys"}}
	l, err := openLive(system, Options{Beat: clock, Hands: parsed})
	require.NoError(t, err)
	return system, l, parsed
}

// What is asked for by a pedal is told at its tick, behind the pedal's own message,
// and what comes of it in its place: here the top again, after a bar.
func TestAPedalCountsOffAgain(t *testing.T) {
	const bar = 4 * timebase.Quarter
	synctest.Test(t, func(t *testing.T) {
		clock, _ := counted(t, 1)
		system, l, _ := asking(t, clock, "cc67=again")
		ctx, cancel := context.WithCancel(t.Context())
		go func() {
			defer cancel()
			pass(3 * time.Second) // into the first chorus
			system.send(0, 0xB0, 67, 127)
			pass(100 * time.Millisecond)
			system.send(0, 0xB0, 67, 0)
			pass(3 * time.Second)
		}()
		var got []analyse.Event
		for e, err := range l.Events(ctx, nil) {
			require.NoError(t, err)
			if e.Kind != analyse.Advance {
				got = append(got, e)
			}
		}
		require.NoError(t, l.Close())
		const asked = 3000 * ticksPerMillisecond
		require.Equal(t, []analyse.Event{
			{Kind: analyse.Tempo, Value: 480_000},
			{Kind: analyse.Meter, Value: 4<<8 | 4},
			{Kind: analyse.Origin, Key: 1, Value: -bar},
			{Tick: asked, Kind: analyse.Control, Key: 67, Velocity: 127},
			{Tick: asked, Kind: analyse.Asked, Value: int64(beat.Again)},
			{Tick: asked + 1, Kind: analyse.Origin, Key: 1, Value: -bar},
			{Tick: asked + 200, Kind: analyse.Control, Key: 67},
			{Tick: asked + 1 + bar, Kind: analyse.Origin, Key: 1, Value: clock.Form.Length},
		}, got)
		require.EqualValues(t, clock.Form.Length, l.Line().Top(got[len(got)-1].Tick), "it was counted off to the second chorus")
	})
}

// With --begin note the first note is bar 1; a key that asks for something is none.
func TestTheFirstNoteBegins(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		clock, _ := counted(t, 2)
		clock.Begin = beat.OnNote
		system, l, _ := asking(t, clock, "note21=tap")
		ctx, cancel := context.WithCancel(t.Context())
		go func() {
			defer cancel()
			pass(time.Second)
			system.send(0, 0x90, 21, 80)
			pass(time.Second)
			system.send(0, 0x90, 60, 80)
			pass(time.Second)
		}()
		var origins []analyse.Event
		for e := range l.Events(ctx, nil) {
			if e.Kind == analyse.Origin {
				origins = append(origins, e)
			}
		}
		require.NoError(t, l.Close())
		require.Len(t, origins, 2)
		require.Equal(t, uint8(0), origins[0].Key, "it waits")
		require.Equal(t, uint8(1), origins[1].Key)
		require.InDelta(t, 2000*ticksPerMillisecond, origins[1].Tick, 1)
	})
}

// Whatever is asked for, and whenever, the events that were kept give the findings
// that were shown, and ticks never decrease.
func TestWhatIsAskedForIsReviewedAsItWasHeard(t *testing.T) {
	forgotten, marked, turned := 0, 0, 0
	charts := awkward(t)
	for seed := range uint64(60) {
		synctest.Test(t, func(t *testing.T) {
			r := rand.New(rand.NewPCG(seed, 0))
			clock, line := counted(t, r.IntN(3))
			line = charts[seed%uint64(len(charts))]
			form := beat.Chorus(line)
			clock.Form = &form
			clock.Begin, clock.Lag = beat.Begin(r.IntN(2)), time.Duration(r.IntN(80)-20)*time.Millisecond
			system, l, controls := asking(t, clock, "cc67=again/forget", "note21=tap", "program5=stop", "cc66=forward", "cc65=back", "cc68=forget", "cc69latching=mark", "cc70=view")
			setup := analyse.Setup{Timeline: line, Asks: controls.Asks()}
			ctx, cancel := context.WithCancel(t.Context())
			go func() {
				defer cancel()
				fumble(r, system, l)
			}()
			live, err := analyse.New(setup)
			require.NoError(t, err)
			var shown []analyse.Finding
			var kept []analyse.Event
			last, back := int64(0), false
			for e, err := range l.Events(ctx, nil) {
				require.NoError(t, err)
				require.GreaterOrEqual(t, e.Tick, last, "seed %d", seed)
				if last = e.Tick; e.Kind == analyse.Advance {
					shown = append(shown, live.AdvanceTo(e.Tick)...)
					continue
				}
				kept = append(kept, e)
				back = back || e.Kind == analyse.Asked && e.Value == int64(beat.BarBack)
				news := live.Add(e)
				for _, f := range news {
					if f.Stage == analyse.Heard {
						lies(t, l.Line(), &f, back)
					}
				}
				shown = append(shown, news...)
			}
			require.NoError(t, l.Close())
			shown = append(shown, live.Finish(last)...)

			review, err := analyse.New(setup)
			require.NoError(t, err)
			var found []analyse.Finding
			for _, e := range kept {
				found = append(found, review.Add(e)...)
			}
			found = append(found, review.Finish(last)...)
			require.Equal(t, shown, found, "seed %d", seed)
			require.Equal(t, live.Summary(), review.Summary(), "seed %d", seed)
			forgotten, marked = forgotten+len(live.Summary().Forgotten), marked+len(live.Summary().Marks)
			turned += len(live.Summary().Views) - 1
			for _, f := range shown {
				require.NotEqual(t, uint8(21), f.Key, "a key that asks is not judged")
			}
		})
	}
	require.Greater(t, forgotten, 20)
	require.Greater(t, marked, 20)
	require.Greater(t, turned, 20)
}

// lies holds a note to where the clock's line, which is what is sounded and shown, has
// it: in its chorus, or in the next where it is early on that. back says that the player
// has gone a bar back, so that the next top may be one again.
func lies(t require.TestingT, line *beat.Line, f *analyse.Finding, back bool) {
	song, state := line.Song(f.Tick)
	if state == beat.Waiting {
		return
	}
	const early = timebase.Quarter / 6 // a tenth of a beat, of 6/8 too
	length := line.Form().Length
	chorus := func(song int64) int64 { return max(0, (song+length)/length) } // 0 in a count-in
	may := []int64{chorus(song)}
	switch {
	case song >= 0:
		may = append(may, chorus(song+early))
	case song+early >= 0:
		may = append(may, chorus(line.Top(f.Tick))) // that is counted off to
		if back {
			may = append(may, chorus(line.Top(f.Tick))+1)
		}
	}
	require.Contains(t, may, int64(f.Chorus), "note %d at song tick %d", f.N, song)
}

// fumble plays and asks at awkward moments: on a bar line, twice at once, in the
// count-in, while a note is held.
func fumble(r *rand.Rand, system *fakeSystem, l *Live) {
	for range 150 {
		key := byte(55 + r.IntN(24))
		switch r.IntN(15) {
		case 14:
			system.send(0, 0xB0, 70, 127)
			system.send(0, 0xB0, 70, 0)
		case 12:
			system.send(0, 0xB0, 68, 127)
			system.send(0, 0xB0, 68, 0)
		case 13:
			system.send(0, 0xB0, 69, byte(127*r.IntN(2)))
		case 0:
			system.send(0, 0xB0, 67, 127)
			if r.IntN(3) == 0 {
				pass(time.Duration(500+r.IntN(200)) * time.Millisecond)
			}
			system.send(0, 0xB0, 67, 0)
		case 1:
			system.send(0, 0x90, 21, 80)
			system.send(0, 0x80, 21, 0)
		case 2:
			system.send(0, 0xB0, 65+byte(r.IntN(2)), 127)
			system.send(0, 0xB0, 65, 0)
			system.send(0, 0xB0, 66, 0)
		case 3:
			l.Do(beat.Action(1 + r.IntN(int(beat.PhraseBack))))
			l.Do(beat.Action(1 + r.IntN(int(beat.PhraseBack))))
		case 4:
			if r.IntN(3) == 0 {
				system.send(0, 0xC0, 5)
			}
		default:
			system.send(0, 0x90, key, 80)
			pass(time.Duration(r.IntN(300)) * time.Millisecond)
			system.send(0, 0x80, key, 0)
		}
		pass(time.Duration([]int{0, 1, 29, 30, 50, 120, 240, 480}[r.IntN(8)]) * time.Millisecond)
	}
}
