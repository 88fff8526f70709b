package main

import (
	"context"
	"io"
	"iter"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/backing"
	"shedlight/analyse/timebase"
	"shedlight/cmd/shedlight/internal/reviews"
	"shedlight/cmd/shedlight/internal/settings"
	"shedlight/cmd/shedlight/internal/tunes"
	"shedlight/display"
	"shedlight/listen/beat"
	"shedlight/listen/sound"
)

// lateBoat is what the evening is played over: seven bars, one of them in three, so that
// neither beats nor bars of a chorus are a round number.
const lateBoat = `title: Late Boat
key: F
form: A B
[A]
| F6 D7b9 | Gm7 C7 | {meter 3/4} Am7 | {meter 4/4} D7b9 |
[B]
| Gm7 | C7 | F6 |
`

// A thousand choruses with everything on, in no time: the session, its take, the beat
// clock and the conductor are the program's own, the instrument and the clock on the
// wall are the test's (evening). What must come out is written down where it is held:
//
//   - bars: each bar of each chorus is sounded once, in order, but for those that the
//     player leaves or asks for again; a number of a chorus never comes twice;
//   - judged: each note is judged in the chorus and the bar that sounds;
//   - trade: notes in the bars of the others are counted nowhere, all others once;
//   - band: none of its notes is struck twice;
//   - rise: to 600 a minute and no further;
//   - memory: 2 KB a chorus, an event costs no more at the end than at first;
//   - summary: what is told at the end is byte for byte what is told of the take.
func TestAThousandChoruses(t *testing.T) {
	few := 150
	if os.Getenv("SHEDLIGHT_FULL") != "" {
		few = 1000
	}
	all := []string{"--trade", "4", "--goal", "no slip in B", "--move", "5"}
	rising := []string{"--tempo", "280", "--faster", "4/2", "--choruses", "1000"}
	for _, test := range []struct {
		name     string
		choruses int
		flags    []string
	}{
		{"a band", 1000, append(rising, "--backing", "full")},
		{"a click that falls silent", few, append(rising, "--gaps", "2/8", "--begin", "note")},
		{"another's clock", few, []string{"--sync", "clock", "--backing", "full"}},
	} {
		t.Run(test.name, func(t *testing.T) {
			e := newEvening(t, test.choruses, slices.Concat(all, test.flags)...)
			e.play()
			e.hold()
		})
	}
}

// evening is the instrument of a session, its player, and the clock on the wall.
type evening struct {
	t       *testing.T
	plan    *sessionPlan
	session *session
	random  *rand.Rand

	now       time.Duration
	clock     *beat.Clock
	conductor *sound.Conductor
	due       []sound.Command // that were sent and do not sound yet
	follows   bool
	pulses    struct {
		next, every time.Duration
	}

	// What the player does.
	choruses int           // to play
	strike   time.Duration // when the next note is struck
	held     uint8         // 0: nothing
	act      time.Duration // when something else is asked for
	acted    map[beat.Action]int
	unplugs  int

	// What must come out of that.
	bars     int     // of a chorus
	next     int     // the bar that comes, over all choruses, from 0
	countIn  int     // bars of it that come before that
	stands   bool    // until it is counted off again
	top      int     // the bar that was last counted off to
	begun    int     // choruses
	counted  []int64 // notes of each chorus
	passed   int64
	lost     map[int]bool // choruses that are forgotten
	sounded  struct{ bars, band int }
	late     bool // the first bar after it was begun may come too late to be sounded
	heard    *analyse.Finding
	struck   map[uint8]time.Duration // when, of the band's keys
	fastest  int64                   // tempo, in microseconds a quarter note
	events   int
	since    time.Time
	measured []measure
}

// newEvening makes the session of a call of listen, as openPort does over a port.
func newEvening(t *testing.T, choruses int, flags ...string) *evening {
	t.Helper()
	configured(t, "")
	folder := t.TempDir()
	chart := filepath.Join(folder, "late-boat.chart")
	require.NoError(t, os.WriteFile(chart, []byte(lateBoat), 0o600))
	c, _ := asCalled(t, append([]string{"--chart", chart, "--takes", filepath.Join(folder, "takes")}, flags...)...)
	require.NoError(t, c.check())
	tune, err := tunes.Of(c.Tune, c.Hand, nil)
	require.NoError(t, err)
	setup := c.beat(tune.Beat(c.Tempo), true)
	if c.Faster != "" {
		setup.Rise, err = settings.Rise(c.Faster)
		require.NoError(t, err)
	}
	clock, err := beat.New(setup)
	require.NoError(t, err)
	analyser, err := analyse.New(tune.Setup)
	require.NoError(t, err)
	e := &evening{
		t: t, random: rand.New(rand.NewPCG(17, uint64(choruses))), clock: clock, choruses: choruses, follows: c.Follows(),
		acted: map[beat.Action]int{}, bars: len(tune.Setup.Timeline.Bars),
		counted: make([]int64, choruses+2), lost: map[int]bool{}, struck: map[uint8]time.Duration{}, fastest: timebase.Nominal,
	}
	parts := []sound.Part{e.tellBars, pattern(c.Click).Part(tune.Setup.Gaps)}
	if c.Plays() {
		parts = append(parts, sound.Backing(backing.New(tune.Setup.Timeline, 1, tune.Setup.Keys.Timelines()...), c.Backing == "full", 0))
	}
	e.conductor = sound.NewConductor(parts...)
	e.plan = &sessionPlan{command: c, tune: tune, name: "Keys", takes: c.Takes, json: true}
	e.session = &session{
		analyser: analyser, source: e, slips: reviews.NewSlips(), screen: &glance{},
		lines: &lines{queue: make(chan line, linesQueue)},
		limit: &limit{line: clock.Line, choruses: int64(choruses), length: tune.Setup.Timeline.Length, lastChord: tune.LastChord()},
	}
	e.session.coming = &coming{line: clock.Line, limit: e.session.limit, gaps: tune.Setup.Gaps}
	return e
}

// glance is a screen that is free now and then.
type glance struct{ asked int }

func (g *glance) Run(context.Context) error { return nil }
func (g *glance) Post(display.Frame)        {}
func (g *glance) Free() bool                { g.asked++; return g.asked%1000 == 0 }
func (g *glance) Freed() <-chan struct{}    { return nil }

func (e *evening) play() {
	e.t.Helper()
	(&program{messages: io.Discard}).startTake(e.session, e.plan)
	require.NoError(e.t, e.session.play(e.t.Context()))
	require.NoError(e.t, e.session.closeTake(e.session.now))
}

// Events implements listen.Source.
func (e *evening) Events(context.Context, <-chan struct{}) iter.Seq2[analyse.Event, error] {
	const (
		step  = 10 * time.Millisecond
		every = 5 // steps, of the conductor
	)
	return func(yield func(analyse.Event, error) bool) {
		tell := func(events ...analyse.Event) {
			for _, one := range events {
				require.True(e.t, yield(one, nil), "the session ends by itself")
				e.events++
				if one.Kind == analyse.Tempo {
					e.fastest = min(e.fastest, one.Value)
				}
				e.read()
			}
		}
		e.start()
		for n := 0; e.begun <= e.choruses; n++ {
			if n%every == 0 {
				e.sounds()
			}
			e.now += step
			e.hear()
			e.pulse(tell)
			tell(e.clock.Pass(e.now)...)
			tell(analyse.Event{Tick: e.clock.Tick(e.now), Kind: analyse.Advance})
			e.move(tell)
			e.measure()
		}
	}
}

// start lets the other's clock begin, and waits for what begins with a note.
func (e *evening) start() {
	if e.follows {
		e.pulses.every = 9 * time.Millisecond // 278 a minute
		e.clock.Start(0)
	}
	e.countIn, e.late = countInSounding, false
	if e.follows || e.plan.command.(*listenCommand).Begin == "note" {
		e.countIn, e.late = 0, true
	}
}

// pulse lets the other's clock send what is due: slower and faster by turns, each pulse
// up to a millisecond late.
func (e *evening) pulse(tell func(...analyse.Event)) {
	for e.follows && e.pulses.next <= e.now {
		at := e.pulses.next + time.Duration(e.random.IntN(1000))*time.Microsecond
		tell(e.clock.Pulse(min(at, e.now))...)
		e.pulses.next += e.pulses.every
		e.pulses.every += time.Duration(e.random.IntN(3)-1) * 5 * time.Microsecond
		e.pulses.every = min(max(e.pulses.every, 8*time.Millisecond), 10*time.Millisecond)
	}
}

// move lets the player play, and ask for something now and then.
func (e *evening) move(tell func(...analyse.Event)) {
	song, state := e.clock.Line().Song(e.clock.Tick(e.now))
	if state == beat.Waiting && !e.follows {
		e.note(tell)
		return
	}
	if e.now >= e.act && e.stands {
		e.ask(tell, beat.Again)
		return
	}
	if state != beat.Running || e.bar() < 0 {
		return
	}
	place := e.clock.Line().Form().Place(song)
	if in := place.Offset % place.Meter.Beat(); e.now >= e.strike && in*10 > place.Meter.Beat() && in*10 < 8*place.Meter.Beat() {
		e.note(tell)
	}
	if quarter := place.Offset * 4 / place.Meter.Bar(); quarter == 1 && e.now >= e.act {
		e.act = e.now + time.Duration(300+e.random.IntN(4000))*time.Millisecond
		e.something(tell)
	}
}

// note strikes a note, and lets go of the one before. In the bars of the others the
// player keeps away from the beats at either end, which are a phrase's own.
func (e *evening) note(tell func(...analyse.Event)) {
	e.strike = e.now + time.Duration(60+e.random.IntN(200))*time.Millisecond
	bar := max(0, e.bar())
	in := bar - e.top
	yours := in/4%2 == 0
	if !yours && in%4 != 1 && in%4 != 2 {
		return
	}
	tell(e.clock.Note(e.now)...)
	tick := e.clock.Tick(e.now)
	if e.held > 0 {
		tell(analyse.Event{Tick: tick, Kind: analyse.NoteOff, Key: e.held})
	}
	e.held = uint8(55 + e.random.IntN(30))
	e.heard = nil
	tell(analyse.Event{Tick: tick, Kind: analyse.NoteOn, Key: e.held, Velocity: 80})
	if !yours {
		e.passed++
		require.Nil(e.t, e.heard, "it is nobody's turn but the others', in bar %d", bar)
		return
	}
	e.counted[bar/e.bars+1]++
	require.NotNil(e.t, e.heard)
	require.Equal(e.t, [2]int{bar/e.bars + 1, bar%e.bars + 1}, [2]int{e.heard.Chorus, e.heard.Bar}, "at %v", e.now)
}

// read takes what the session says of the notes.
func (e *evening) read() {
	for len(e.session.lines.queue) > 0 {
		one := <-e.session.lines.queue
		if one.verdict == nil && one.status == nil && one.snapshot == nil && one.finding.Stage == analyse.Heard {
			e.heard = &one.finding
		}
	}
}

// something asks for something, in the second quarter of a bar: no other is on its way
// to the loudspeaker, nor is one that it leads to. Nobody counts off for a while, so that the tempo reaches its limit.
func (e *evening) something(tell func(...analyse.Event)) {
	patient := e.begun > 300 && e.begun < 620
	switch n := e.random.IntN(20); {
	case n < 4:
		e.ask(tell, beat.BarOn)
	case n < 8 && e.bar() > e.top:
		e.ask(tell, beat.BarBack)
	case n < 10 && e.bar()%e.bars > 0: // in its first bar the one before may be meant
		e.ask(tell, beat.Forget)
	case n < 12:
		e.ask(tell, beat.Mark)
	case n < 14:
		e.ask(tell, beat.NextView)
	case n == 14:
		e.unplug(tell)
	case n == 15 && !patient:
		e.ask(tell, beat.Again)
	case n == 16 && !patient:
		e.ask(tell, beat.Stop)
	case n == 17:
		e.ask(tell, beat.Faster)
	case n == 18:
		e.ask(tell, beat.Slower)
	default: // the player rests
		e.strike = e.act
	}
}

// ask asks for something by a pedal, and says what must come of it.
func (e *evening) ask(tell func(...analyse.Event), a beat.Action) {
	e.acted[a]++
	tick := e.clock.Tick(e.now)
	tell(analyse.Event{Tick: tick, Kind: analyse.Asked, Value: int64(a)})
	told := map[beat.Action]analyse.Kind{beat.Forget: analyse.Forget, beat.Mark: analyse.Mark, beat.NextView: analyse.NextView}
	if kind, ok := told[a]; ok {
		tell(analyse.Event{Tick: tick, Kind: kind})
	}
	tell(e.clock.Do(a, e.now)...)
	switch a {
	case beat.BarOn:
		e.next++
		e.begun = max(e.begun, (e.next-1)/e.bars+1)
	case beat.BarBack:
		e.next--
	case beat.Stop:
		e.stands = true
	case beat.Again:
		e.stands, e.top = false, e.begun*e.bars
		e.next, e.late, e.countIn = e.top, e.follows, countInSounding
		if e.follows {
			e.countIn = 0
		}
	case beat.Forget:
		e.lost[e.bar()/e.bars+1] = true
	}
}

// unplug pulls the cable and puts it in again.
func (e *evening) unplug(tell func(...analyse.Event)) {
	e.unplugs++
	tick := e.clock.Tick(e.now)
	tell(analyse.Event{Tick: tick, Kind: analyse.Release, Value: int64(analyse.Unplugged)})
	if e.held > 0 {
		tell(analyse.Event{Tick: tick, Kind: analyse.NoteOff, Key: e.held})
	}
	tell(analyse.Event{Tick: tick, Kind: analyse.Found})
	e.held = 0
}

// Close implements listen.Source.
func (e *evening) Close() error { return nil }
