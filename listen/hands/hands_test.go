package hands

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"shedlight/analyse"
	"shedlight/listen/beat"
)

func TestParse(t *testing.T) {
	m, err := Parse([]string{"cc67=again", "note21=tap", "program0=stop", "cc66=forward", "cc65=back"})
	require.NoError(t, err)
	require.Equal(t, Map{
		{Ask: analyse.Ask{Kind: analyse.Control, Key: 67}, Action: beat.Again},
		{Ask: analyse.Ask{Kind: analyse.NoteOn, Key: 21}, Action: beat.Tap},
		{Ask: analyse.Ask{Kind: analyse.Program, Key: 0}, Action: beat.Stop},
		{Ask: analyse.Ask{Kind: analyse.Control, Key: 66}, Action: beat.BarOn},
		{Ask: analyse.Ask{Kind: analyse.Control, Key: 65}, Action: beat.BarBack},
	}, m)
	for _, wrong := range [][]string{
		{""}, {"cc67"}, {"cc=again"}, {"cc128=again"}, {"cc-1=again"}, {"67=again"}, {"pedal67=again"},
		{"cc67=louder"}, {"cc67="}, {"=again"}, {"cc64=again"}, {"cc120=stop"}, {"cc67=again", "cc67=tap"},
		{"note99999999999999999999=tap"},
	} {
		_, err := Parse(wrong)
		require.Error(t, err, "%q", wrong)
	}
}

// Each action has a name to ask for it by and a word that answers.
func TestEachActionHasItsWord(t *testing.T) {
	for name, a := range Actions() {
		require.NotEmpty(t, Word(a), name)
	}
	require.Len(t, Actions(), int(beat.Tap-beat.Again)+1)
}

// A pedal is down from 64 on and up under 40; between them it stays what it is.
// For 30 ms after it has asked it asks for nothing.
func TestWhenAControlAsks(t *testing.T) {
	const ms = time.Millisecond
	pedal := func(value uint8) analyse.Event {
		return analyse.Event{Kind: analyse.Control, Channel: 3, Key: 67, Velocity: value}
	}
	key := func(kind analyse.Kind, velocity uint8) analyse.Event {
		return analyse.Event{Kind: kind, Key: 21, Velocity: velocity}
	}
	h := New(Map{
		{Ask: analyse.Ask{Kind: analyse.Control, Key: 67}, Action: beat.Again},
		{Ask: analyse.Ask{Kind: analyse.NoteOn, Key: 21}, Action: beat.Tap},
		{Ask: analyse.Ask{Kind: analyse.Program, Key: 5}, Action: beat.Stop},
	})
	for _, step := range []struct {
		at             time.Duration
		event          analyse.Event
		asked, control bool
	}{
		{0, pedal(63), false, true},
		{0, pedal(64), true, true},
		{100 * ms, pedal(127), false, true},
		{100 * ms, pedal(40), false, true},
		{100 * ms, pedal(64), false, true},
		{100 * ms, pedal(39), false, true},
		{200 * ms, pedal(64), true, true},
		{210 * ms, pedal(0), false, true},
		{229 * ms, pedal(127), false, true}, // it bounces
		{229 * ms, pedal(0), false, true},
		{230 * ms, pedal(127), true, true},
		{300 * ms, key(analyse.NoteOn, 80), true, true},
		{310 * ms, key(analyse.NoteOff, 0), false, true},
		{320 * ms, key(analyse.NoteOn, 80), false, true},
		{330 * ms, key(analyse.NoteOn, 80), true, true},
		{340 * ms, key(analyse.NoteOn, 0), false, true},
		{400 * ms, analyse.Event{Kind: analyse.Program, Key: 5}, true, true},
		{400 * ms, analyse.Event{Kind: analyse.Program, Key: 6}, false, false},
		{400 * ms, analyse.Event{Kind: analyse.NoteOn, Key: 67, Velocity: 80}, false, false},
		{400 * ms, analyse.Event{Kind: analyse.Control, Key: 21, Velocity: 80}, false, false},
	} {
		_, asked, control := h.Hear(step.event, step.at)
		require.Equal(t, []bool{step.asked, step.control}, []bool{asked, control}, "%v %v", step.at, step.event)
	}
}
