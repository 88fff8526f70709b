package main

import (
	"context"
	"fmt"
	"iter"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/gdamore/tcell/v2"
	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/analysetest/linegen"
	"shedlight/analyse/timebase"
	"shedlight/cmd/shedlight/internal/reviews"
	"shedlight/cmd/shedlight/internal/settings"
	"shedlight/cmd/shedlight/internal/tunes"
	"shedlight/display"
	"shedlight/listen/beat"
	"shedlight/listen/take"
)

// endless is a source that plays the same choruses again and again, with no pause
// between two events, for as many events as a benchmark asks for.
type endless struct {
	b       *testing.B
	opening []analyse.Event
	chorus  []analyse.Event
	length  int64 // ticks
}

func (s *endless) Events(context.Context, <-chan struct{}) iter.Seq2[analyse.Event, error] {
	return func(yield func(analyse.Event, error) bool) {
		for _, e := range s.opening {
			if !yield(e, nil) {
				return
			}
		}
		start, i := int64(0), 0
		for s.b.Loop() {
			e := s.chorus[i]
			e.Tick += start
			if !yield(e, nil) {
				return
			}
			if i++; i == len(s.chorus) {
				start, i = start+s.length, 0
			}
		}
	}
}

func (s *endless) Close() error { return nil }

// burst is a source that yields its events at once and then waits; in every turn
// that it is woken for it yields an Advance that goes nowhere.
type burst []analyse.Event

func (s burst) Events(ctx context.Context, wake <-chan struct{}) iter.Seq2[analyse.Event, error] {
	return func(yield func(analyse.Event, error) bool) {
		last := int64(0)
		for _, e := range s {
			if last = e.Tick; !yield(e, nil) {
				return
			}
		}
		for {
			select {
			case <-ctx.Done():
				return
			case <-wake:
				if !yield(analyse.Event{Tick: last, Kind: analyse.Advance}, nil) {
					return
				}
			}
		}
	}
}

func (s burst) Close() error { return nil }

// busy is a screen that is free only when it is told to be.
type busy struct {
	free   atomic.Bool
	freed  chan struct{}
	posted []display.Frame
}

func (s *busy) Run(context.Context) error { return nil }
func (s *busy) Post(f display.Frame)      { s.free.Store(false); s.posted = append(s.posted, f) }
func (s *busy) Free() bool                { return s.free.Load() }
func (s *busy) Freed() <-chan struct{}    { return s.freed }

// A frame is made at the start, at the event at which the screen is free, in the turn
// that a screen gives that becomes free when nothing is played, and at the end. A turn
// with nothing new makes none.
func TestFramesAreMadeWhenTheyAreDue(t *testing.T) {
	note := func(tick int64) analyse.Event {
		return analyse.Event{Tick: tick, Kind: analyse.NoteOn, Key: 60, Velocity: 80}
	}
	screen := &busy{freed: make(chan struct{})}
	analyser, err := analyse.New(analyse.Setup{})
	require.NoError(t, err)
	source := burst{note(1), note(2), note(3), note(4)}
	s := &session{analyser: analyser, slips: reviews.NewSlips(), screen: screen}
	s.source = free{burst: source, screen: screen, at: 3}
	ctx, stop := context.WithCancel(t.Context())
	played := make(chan error, 1)
	go func() { played <- s.play(ctx) }()
	for range 3 { // the first has the last note to show, the others nothing new
		screen.free.Store(true)
		screen.freed <- struct{}{}
		screen.freed <- struct{}{} // the turn before is over when the next is taken
	}
	stop()
	require.NoError(t, <-played)
	var notes []int64
	for _, f := range screen.posted {
		notes = append(notes, f.Snapshot.Counts.Notes)
	}
	require.Equal(t, []int64{0, 3, 4, 4}, notes)
}

// free is a burst before whose event at a tick the screen becomes free.
type free struct {
	burst
	screen *busy
	at     int64
}

func (s free) Events(ctx context.Context, wake <-chan struct{}) iter.Seq2[analyse.Event, error] {
	return func(yield func(analyse.Event, error) bool) {
		for e, err := range s.burst.Events(ctx, wake) {
			if e.Kind == analyse.NoteOn && e.Tick == s.at {
				s.screen.free.Store(true)
			}
			if !yield(e, err) {
				return
			}
		}
	}
}

// shownScreen is a terminal that tells how many notes are counted on each picture.
type shownScreen struct {
	tcell.SimulationScreen
	notes chan int
}

func (s *shownScreen) Init() error {
	err := s.SimulationScreen.Init()
	s.SetSize(120, 40)
	return err
}

func (s *shownScreen) Show() {
	s.SimulationScreen.Show()
	s.tell()
}

func (s *shownScreen) Sync() {
	s.SimulationScreen.Sync()
	s.tell()
}

func (s *shownScreen) tell() {
	cells, w, h := s.GetContents()
	for y := range h {
		var row strings.Builder
		for _, c := range cells[y*w : (y+1)*w] {
			row.Write(c.Bytes)
		}
		var notes int
		if n, _ := fmt.Sscanf(strings.TrimSpace(row.String()), "%d notes", &notes); n == 1 {
			s.notes <- notes
		}
	}
}

// Notes that come faster than pictures are all on the last one, though nothing is
// played behind them, and few pictures are made.
func TestTheLastNoteIsShown(t *testing.T) {
	const (
		notes    = 20_000
		patience = 20 * time.Second
	)
	var events burst
	for n := range int64(notes) {
		events = append(events, analyse.Event{Tick: n, Kind: analyse.NoteOn, Key: uint8(n % 88), Velocity: 80},
			analyse.Event{Tick: n + 1, Kind: analyse.NoteOff, Key: uint8(n % 88)})
	}
	analyser, err := analyse.New(analyse.Setup{})
	require.NoError(t, err)
	terminal := &shownScreen{SimulationScreen: tcell.NewSimulationScreen(""), notes: make(chan int, notes)}
	s := &session{analyser: analyser, source: events, slips: reviews.NewSlips(), screen: display.NewScreen(terminal, display.Options{})}
	ctx, stop := context.WithCancel(t.Context())
	defer stop()
	drawn, played := make(chan error, 1), make(chan error, 1)
	go func() { drawn <- s.screen.Run(ctx) }()
	go func() { played <- s.play(ctx) }()
	pictures := 0
	for shown := 0; shown < notes; pictures++ {
		select {
		case shown = <-terminal.notes:
		case <-time.After(patience):
			require.FailNow(t, "the last note is not shown")
		}
	}
	require.Less(t, pictures, notes/10)
	stop()
	require.NoError(t, <-drawn)
	require.NoError(t, <-played)
}

// opening returns what a session over a tune opens with.
func opening(t testing.TB, tune *tunes.Tune, countIn int) []analyse.Event {
	t.Helper()
	setup := tune.Beat(0)
	setup.CountIn = countIn
	clock, err := beat.New(setup)
	require.NoError(t, err)
	return slices.Clone(clock.Pass(0))
}

// In the last chorus nothing comes behind the last chord; before that the form,
// or the bars of it that are played over and over, goes on with its first.
func TestNothingComesBehindTheLastChord(t *testing.T) {
	const bar = 4 * timebase.Quarter
	for _, test := range []struct {
		name  string
		flags settings.Tune
		last  int64 // where the last chord of the form starts
	}{
		{"two bars of the last chord", settings.Tune{Chart: "two-five-one"}, 2 * bar},
		{"a loop", settings.Tune{Chart: "two-five-one", Bars: "1-2"}, bar},
		{"a loop of one chord", settings.Tune{Chart: "two-five-one", Bars: "3-4"}, 0},
	} {
		tune, err := tunes.Of(test.flags, settings.Hand{}, nil)
		require.NoError(t, err)
		setup := tune.Beat(0)
		setup.CountIn = 1
		clock, err := beat.New(setup)
		require.NoError(t, err)
		analyser, err := analyse.New(tune.Setup)
		require.NoError(t, err)
		s := &session{analyser: analyser}
		s.limit = &limit{line: clock.Line, choruses: 2, length: tune.Setup.Timeline.Length, lastChord: tune.LastChord()}
		for _, e := range clock.Pass(0) {
			analyser.Add(e)
		}
		length := tune.Setup.Timeline.Length
		require.False(t, s.limit.reached(bar+2*length-1), test.name)
		require.True(t, s.limit.reached(bar+2*length), test.name)
		for _, at := range []struct {
			song int64 // ticks behind bar 1
			want bool
		}{{-bar, false}, {length - 1, false}, {length + test.last - 1, false}, {length + test.last, true}, {2*length - 1, true}} {
			analyser.AdvanceTo(bar + at.song)
			require.Equal(t, at.want, s.frame().Ending, "%s, %d ticks behind bar 1", test.name, at.song)
		}
		s.limit = nil
		require.False(t, s.frame().Ending, "%s: without --choruses it goes on", test.name)
	}
}

// BenchmarkSessionEvent is the work of a session for each event. Judged is what
// it cannot do without: the analyser alone, in the same run; the others add the
// recorder, and what shows it.
func BenchmarkSessionEvent(b *testing.B) {
	tune, err := tunes.Of(settings.Tune{Chart: reviewChart}, settings.Hand{}, nil)
	require.NoError(b, err)
	const choruses = 8
	notes := linegen.Line(tune.Setup.Timeline, tune.Setup.View, 1, choruses)
	source := func(b *testing.B) *endless {
		return &endless{
			b: b, opening: opening(b, tune, 0), chorus: linegen.Events(notes),
			length: choruses * tune.Setup.Timeline.Length,
		}
	}
	start := func(b *testing.B) *session {
		analyser, err := analyse.New(tune.Setup)
		require.NoError(b, err)
		b.ReportAllocs()
		return &session{analyser: analyser, source: source(b), slips: reviews.NewSlips()}
	}
	record := func(b *testing.B, s *session) {
		s.recorder, err = take.Start(b.TempDir(), take.Settings{}, time.Date(2026, time.May, 2, 19, 0, 0, 0, time.UTC), take.Options{})
		require.NoError(b, err)
	}
	b.Run("judged", func(b *testing.B) {
		s := start(b)
		for e := range s.source.Events(b.Context(), nil) {
			s.analyser.Add(e)
		}
	})
	b.Run("bare", func(b *testing.B) {
		require.NoError(b, start(b).play(b.Context()))
	})
	b.Run("recorded", func(b *testing.B) {
		s := start(b)
		record(b, s)
		require.NoError(b, s.play(b.Context()))
		require.NoError(b, s.closeTake(s.now+timebase.Quarter))
	})
	b.Run("screen", func(b *testing.B) {
		s := start(b)
		record(b, s)
		terminal := tcell.NewSimulationScreen("")
		s.screen = display.NewScreen(terminal, display.Options{})
		ctx, stop := context.WithCancel(b.Context())
		ended := make(chan error)
		go func() { ended <- s.screen.Run(ctx) }()
		require.NoError(b, s.play(ctx))
		stop()
		require.NoError(b, <-ended)
		require.NoError(b, s.closeTake(s.now+timebase.Quarter))
	})
	b.Run("plain", func(b *testing.B) {
		s := start(b)
		record(b, s)
		s.lines, s.plain = &lines{queue: make(chan line, linesQueue), done: make(chan struct{})}, true
		go func() {
			defer close(s.lines.done)
			for range s.lines.queue {
			}
		}()
		require.NoError(b, s.play(b.Context()))
		s.lines.close()
		require.NoError(b, s.closeTake(s.now+timebase.Quarter))
	})
}
