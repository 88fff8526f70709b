//go:build unix

package main

import (
	"context"
	"fmt"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/timebase"
	"shedlight/listen/beat"
)

// class is a recital that knows when its ticks are, in free time.
type class struct {
	recital
	line *beat.Line
}

func (c class) Line() *beat.Line { return c.line }

// classOf is what a player does, a message every so often, with the Advances of an
// idle source in between and behind.
func classOf(t *testing.T, every time.Duration, messages ...analyse.Event) class {
	t.Helper()
	clock, err := beat.New(beat.Setup{})
	require.NoError(t, err)
	c := class{line: clock.Line()}
	const look = 10 * time.Millisecond
	tick := func(at time.Duration) int64 {
		return int64(at / time.Microsecond * timebase.Quarter / timebase.Nominal)
	}
	for i, e := range append(messages, analyse.Event{Kind: analyse.Advance}, analyse.Event{Kind: analyse.Advance}) {
		from := time.Duration(i) * every
		e.Tick = tick(from)
		c.recital = append(c.recital, e)
		for at := from + look; at < from+every; at += look {
			c.recital = append(c.recital, analyse.Event{Tick: tick(at), Kind: analyse.Advance})
		}
	}
	return c
}

// Two lines are learnt one after the other, a control that is taken and one that was
// not the same twice are asked for again, and the sustain pedal only after a question.
func TestThePlayerTeachesTheirPedals(t *testing.T) {
	cc := func(controller, value uint8) analyse.Event {
		return analyse.Event{Kind: analyse.Control, Key: controller, Velocity: value}
	}
	note := func(key uint8) analyse.Event { return analyse.Event{Kind: analyse.NoteOn, Key: key, Velocity: 70} }
	for _, agrees := range []bool{true, false} {
		source := classOf(t, 2500*time.Millisecond,
			cc(66, 127), cc(66, 0), // latching, but taken
			note(21), note(22), // not the same
			cc(67, 0), cc(67, 127), // latching
			note(23), note(23), // a key
		)
		lines := []string{"learn=again", "cc66=stop", "learn=mark/forget"}
		if agrees { // the last lesson is the sustain pedal's, twice there and back
			source.recital = append(source.recital[:len(source.recital):len(source.recital)], sustained(source)...)
			lines[2] = "learn=mark"
			lines = append(lines, "learn=forget")
		}
		var said []string
		asked := 0
		teacher := teacher{
			say:    func(format string, args ...any) { said = append(said, fmt.Sprintf(format, args...)) },
			agrees: func(context.Context, string) bool { asked++; return agrees },
		}
		require.NoError(t, teacher.teach(t.Context(), source, lines))
		want := []string{"cc67latching=again", "cc66=stop", "note23=mark/forget"}
		if agrees {
			want = []string{"cc67latching=again", "cc66=stop", "note23=mark", "cc64sustaining=forget"}
			require.Equal(t, 1, asked)
		}
		require.Equal(t, want, lines, said)
		require.Contains(t, said, "Learnt, and kept for the next time: --map cc67latching=again")
		require.Contains(t, said[2], "there twice")
		require.Equal(t, "that was not the same twice. Again, for again: press it and let it go.", said[4])
	}
}

// sustained are two presses of the sustain pedal behind a class.
func sustained(c class) (out []analyse.Event) {
	tick := c.recital[len(c.recital)-1].Tick
	for range 2 {
		for _, value := range []uint8{127, 0} {
			tick += 200
			out = append(out, analyse.Event{Tick: tick, Kind: analyse.Control, Key: 64, Velocity: value})
		}
		for range 200 {
			tick += 20
			out = append(out, analyse.Event{Tick: tick, Kind: analyse.Advance})
		}
	}
	return out
}

// Who does not agree is asked for another control.
func TestTheSustainPedalIsAskedFor(t *testing.T) {
	source := classOf(t, time.Second)
	source.recital = append(source.recital, sustained(source)...)
	lines := []string{"learn=again"}
	var said []string
	teacher := teacher{
		say:    func(format string, args ...any) { said = append(said, fmt.Sprintf(format, args...)) },
		agrees: func(context.Context, string) bool { return false },
	}
	require.NoError(t, teacher.teach(t.Context(), source, lines))
	require.Equal(t, []string{"learn=again"}, lines)
	require.Equal(t, "not the sustain pedal, then. Again, for again: press it and let it go.", said[len(said)-1])
}
