//go:build unix

package main

import (
	"cmp"
	"encoding/json"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/analyse/timebase"
	"shedlight/listen/smf"
)

// melody is what a MIDI file of a test holds, at 500 ms to the quarter note.
type melody struct {
	title  string
	events []analyse.Event
	end    int64
}

// step is the time from note to note of a melody, in ticks: 50 ms.
const step = timebase.Quarter / 10

// sung is a melody of even notes, one after the other.
func sung(keys ...uint8) melody {
	var m melody
	for i, key := range keys {
		on := int64(i) * step
		m.events = append(m.events,
			analyse.Event{Tick: on, Kind: analyse.NoteOn, Key: key, Velocity: 80},
			analyse.Event{Tick: on + step, Kind: analyse.NoteOff, Key: key, Velocity: 64})
		m.end = on + step
	}
	return m
}

// long is a melody of so many notes up and down the white keys.
func long(notes int) melody {
	scale := []uint8{60, 62, 64, 65, 67, 69, 71, 72, 71, 69, 67, 65, 64, 62}
	keys := make([]uint8, notes)
	for i := range keys {
		keys[i] = scale[i%len(scale)]
	}
	return sung(keys...)
}

// improvised is a melody with all that makes playing hard to follow: overlaps,
// the same key twice, chords, releases as velocity 0, several channels, the
// pedal, notes off all at once.
func improvised(seed uint64, notes int) melody {
	r := rand.New(rand.NewPCG(seed, 0))
	var m melody
	add := func(tick int64, kind analyse.Kind, channel, key, velocity uint8) {
		m.events = append(m.events, analyse.Event{Tick: tick, Kind: kind, Channel: channel, Key: key, Velocity: velocity})
		m.end = max(m.end, tick+1)
	}
	tick := int64(0)
	for range notes {
		channel := uint8(r.IntN(3))
		for _, third := range []uint8{0, 4, 7}[:1+2*(r.IntN(5)/4)] { // a note, or now and then a chord
			key := 55 + third + uint8(r.IntN(20))
			add(tick+r.Int64N(8), analyse.NoteOn, channel, key, uint8(1+r.IntN(127)))
			if off := tick + r.Int64N(4*step); r.IntN(2) == 0 {
				add(off, analyse.NoteOff, channel, key, 64)
			} else {
				add(off, analyse.NoteOn, channel, key, 0)
			}
		}
		switch r.IntN(12) {
		case 0:
			add(tick, analyse.Control, channel, 64, uint8(r.IntN(128)))
		case 1:
			add(tick, analyse.Control, channel, 123, 0)
		case 2:
			add(tick, analyse.PitchBend, channel, uint8(r.IntN(128)), uint8(r.IntN(128)))
		}
		tick += r.Int64N(step)
	}
	slices.SortStableFunc(m.events, func(a, b analyse.Event) int { return cmp.Compare(a.Tick, b.Tick) })
	return m
}

// faster is the same melody so many times as fast.
func (m melody) faster(times int64) melody {
	m.events = slices.Clone(m.events)
	for i := range m.events {
		m.events[i].Tick /= times
	}
	m.end = m.end/times + 1
	return m
}

// notes counts what is struck.
func (m melody) notes() int {
	n := 0
	for _, e := range m.events {
		if e.Kind == analyse.NoteOn && e.Velocity > 0 {
			n++
		}
	}
	return n
}

// save writes a melody as a MIDI file of one track and returns its path.
func (m melody) save(t testing.TB, dir, name string) string {
	t.Helper()
	w := &smf.TrackWriter{}
	if m.title != "" {
		w.Meta(0, smf.MetaTrackName, []byte(m.title))
	}
	for _, e := range m.events {
		require.True(t, w.Event(e))
	}
	w.End(m.end)
	data := smf.AppendTrackHeader(smf.AppendHeader(nil, 0, 1), uint32(len(w.Bytes)))
	path := filepath.Join(dir, name)
	require.NoError(t, os.WriteFile(path, append(data, w.Bytes...), 0o600))
	return path
}

// object is any JSON object.
type object = map[string]any

// objects reads one JSON object a line, each with the schema in front, which is left
// out of what is returned; anything else fails the test.
func objects(t testing.TB, text string) []object {
	t.Helper()
	require.True(t, text == "" || strings.HasSuffix(text, "\n"), "the last line is whole")
	var all []object
	for line := range strings.Lines(text) {
		var o object
		require.NoError(t, json.Unmarshal([]byte(line), &o), line)
		require.True(t, strings.HasPrefix(line, `{"schema":1,"`), line)
		delete(o, "schema")
		all = append(all, o)
	}
	return all
}

// joined puts the lines of listen --json together, as its contract has it: the
// finding at once, then its role, then its fate if that was pending; the last
// line is the summary.
func joined(t testing.TB, lines []object) (findings []object, summary object) {
	t.Helper()
	require.NotEmpty(t, lines)
	last := lines[len(lines)-1]
	require.Contains(t, last, "summary")
	for _, line := range lines[:len(lines)-1] {
		if _, fit := line["fit"]; fit { // see claimed
			continue
		}
		n := int(line["n"].(float64))
		_, role := line["role"]
		_, tick := line["tick"]
		_, against := line["against"]
		switch {
		case tick:
			require.Len(t, findings, n, "findings come in the order of n")
			findings = append(findings, line)
		case role:
			require.NotContains(t, findings[n], "role", "note %d has one role", n)
			findings[n]["role"] = line["role"]
		case against:
			require.Empty(t, findings[n]["against"], "note %d is held against its chord once", n)
			findings[n]["against"] = line["against"]
		default:
			require.Equal(t, "pending", findings[n]["fate"], "note %d was open", n)
			findings[n]["fate"] = line["fate"]
			require.Contains(t, line, "by")
			colour, numbered := line["colour"]
			require.Equal(t, line["fate"] == "colour", numbered, "a colour is told by its number, and nothing else is")
			if numbered {
				findings[n]["colour"] = colour
			}
		}
	}
	return findings, last["summary"].(object)
}

// claimed returns the verdicts of the fit that listen --json printed among its
// findings, in order.
func claimed(lines []object) (verdicts []any) {
	for _, line := range lines {
		if fit, ok := line["fit"]; ok {
			verdicts = append(verdicts, fit)
		}
	}
	return verdicts
}

// reviewed is what review --json says of a file: its findings, and the rest
// but for what only a file has.
func (h home) reviewed(file string, flags ...string) (findings []any, summary object) {
	h.t.Helper()
	r := h.run(append([]string{"review", "--json", file}, flags...)...)
	require.Zero(h.t, r.code, r.err)
	all := objects(h.t, r.out)
	require.Len(h.t, all, 1)
	review := all[0]
	findings = review["findings"].([]any)
	require.Equal(h.t, file, review["file"])
	require.Empty(h.t, review["damage"])
	for _, own := range []string{"file", "findings", "phrases_detail"} {
		delete(review, own)
	}
	return findings, review
}
