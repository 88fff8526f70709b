package main

import (
	"cmp"
	"flag"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/timebase"
	"shedlight/analyse/tone"
	"shedlight/cmd/shedlight/internal/settings"
	"shedlight/cmd/shedlight/internal/tunes"
	"shedlight/listen/take"
)

var update = flag.Bool("update", false, "write what the tests compare with")

// How the written line is played: swung, a little behind, with a human spread.
const (
	swungOffbeat = timebase.Quarter * 6 / 10 // where the second eighth of a beat starts, in ticks
	latest       = 24                        // ticks a note comes late at most: 11 ms at 138
	legato       = 20                        // ticks between a note and the next
	endOfTake    = 2 * timebase.Quarter      // silence after the last bar, in ticks
)

// written turns the written line into what a keyboard sends. Bar 1 comes after
// a bar of count-in.
func written(t *testing.T, text string) (events []analyse.Event, bars int64) {
	const bar = 4 * timebase.Quarter
	r := rand.New(rand.NewPCG(16, 138))
	eighth := func(n int64) int64 { return n/2*timebase.Quarter + n%2*swungOffbeat }
	note := func(name string, from, to int64) {
		pitch, err := tone.ParsePitch(name)
		require.NoError(t, err)
		start := bar*(bars+1) + eighth(from) + r.Int64N(latest)
		key := uint8(pitch.Key())
		events = append(events,
			analyse.Event{Tick: start, Kind: analyse.NoteOn, Key: key, Velocity: uint8(70 + 20*(from%2) + r.Int64N(12))},
			analyse.Event{Tick: bar*(bars+1) + eighth(to) - legato, Kind: analyse.NoteOff, Key: key, Velocity: 64})
	}
	number := func(s string) int64 {
		n, err := strconv.ParseInt(s, 10, 64)
		require.NoError(t, err)
		return n
	}
	for line := range strings.Lines(text) {
		if line = strings.TrimSpace(line); line == "" || line[0] == '#' {
			continue
		}
		var at int64
		for _, word := range strings.Fields(line) {
			if chord, ok := strings.CutPrefix(word, "+"); ok {
				names, length, _ := strings.Cut(chord, "/")
				for _, name := range strings.Split(names, ",") {
					note(name, at, at+number(length))
				}
				continue
			}
			name, length, long := strings.Cut(word, ".")
			n := int64(1)
			if long {
				n = number(length)
			}
			if name != "-" {
				note(name, at, at+n)
			}
			at += n
		}
		require.Equal(t, int64(8), at, "a bar is eight eighths: %s", line)
		bars++
	}
	slices.SortStableFunc(events, func(a, b analyse.Event) int { return cmp.Compare(a.Tick, b.Tick) })
	return events, bars
}

// The built-in take is the written line over the written chart, recorded by
// the program's own recorder. Run with -update after a change to either.
func TestDemoTakeIsTheWrittenLine(t *testing.T) {
	line, err := os.ReadFile("../../testdata/demo/lanterns.line")
	require.NoError(t, err)
	played, bars := written(t, string(line))
	require.GreaterOrEqual(t, bars, int64(16))

	tune, err := tunes.Of(settings.Tune{Chart: "../../testdata/demo/lanterns.chart"}, settings.Hand{}, nil)
	require.NoError(t, err)
	under := take.Settings{Source: "a keyboard"}
	tune.Tell(&under)
	start := time.Date(2026, time.March, 14, 20, 30, 0, 0, time.UTC)
	recorder, err := take.Start(t.TempDir(), under, start, take.Options{Markers: tunes.Markers})
	require.NoError(t, err)
	for _, e := range append(opening(t, tune, 1), played...) {
		require.True(t, recorder.Add(e))
	}
	path, err := recorder.Close((bars+1)*4*timebase.Quarter + endOfTake)
	require.NoError(t, err)
	want, err := os.ReadFile(path)
	require.NoError(t, err)
	if *update {
		require.NoError(t, os.WriteFile("demo.mid", want, 0o644))
		return
	}
	require.Equal(t, want, demoTake)
}
