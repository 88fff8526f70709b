package take_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"shedlight/analyse"
	"shedlight/listen/take"
)

// At 480 ms a quarter note a millisecond is two ticks.
const perMillisecond = 2

// twice plays 40 notes on a channel, and on another as much later as apart says; a
// negative time leaves a note of the other out.
func twice(first, second uint8, apart func(i int) (ms int64)) []analyse.Event {
	events := []analyse.Event{{Kind: analyse.Tempo, Value: 480_000}}
	for i := range 40 {
		at, key := int64(i)*500, uint8(60+i%7)
		events = append(events, analyse.Event{Tick: at, Kind: analyse.NoteOn, Channel: first, Key: key, Velocity: 80})
		if ms := apart(i); ms >= 0 {
			events = append(events, analyse.Event{Tick: at + ms*perMillisecond, Kind: analyse.NoteOn, Channel: second, Key: key, Velocity: 60})
		}
	}
	return events
}

func doubled(events []analyse.Event) (first, second uint8, ok bool) {
	var d take.Doubles
	for _, e := range events {
		d.Add(e)
	}
	return d.Found()
}

func TestDoubled(t *testing.T) {
	always := func(ms int64) func(int) int64 { return func(int) int64 { return ms } }
	for name, test := range map[string]struct {
		events []analyse.Event
		want   [2]uint8
		ok     bool
	}{
		"at once":                 {twice(0, 1, always(0)), [2]uint8{0, 1}, true},
		"a few milliseconds on":   {twice(3, 2, always(9)), [2]uint8{2, 3}, true},
		"an echo":                 {twice(0, 1, always(12)), [2]uint8{}, false},
		"one channel":             {twice(0, 1, always(-1)), [2]uint8{}, false},
		"the same channel":        {twice(4, 4, always(0)), [2]uint8{}, false},
		"most notes":              {twice(0, 1, func(i int) int64 { return int64(min(i-4, 0)) }), [2]uint8{0, 1}, true},
		"a second voice at times": {twice(0, 1, func(i int) int64 { return int64(min(i-8, 0)) }), [2]uint8{}, false},
		"too few to tell":         {twice(0, 1, always(0))[:1+2*15], [2]uint8{}, false},
		"enough to tell":          {twice(0, 1, always(0))[:1+2*16], [2]uint8{0, 1}, true},
	} {
		t.Run(name, func(t *testing.T) {
			first, second, ok := doubled(test.events)
			assert.Equal(t, test.want, [2]uint8{first, second})
			assert.Equal(t, test.ok, ok)
		})
	}
	other := twice(0, 1, always(0))
	for i := range other {
		if other[i].Channel == 1 {
			other[i].Key += 12
		}
	}
	_, _, ok := doubled(other)
	assert.False(t, ok, "octaves are two voices")
}
